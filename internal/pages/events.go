package pages

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"

	"cupel/internal/desk"
	"cupel/internal/report"
)

// beat is how often an idle stream says that it is alive, so that a browser
// sees a lost line and the server a browser that is gone.
const beat = 10 * time.Second

// event is what a module is told of a desk's event.
type event struct {
	Number int      `json:"number"`
	Parts  int      `json:"parts,omitempty"` // of results, with hello
	Label  string   `json:"label,omitempty"`
	Names  []string `json:"names,omitempty"`
	Work   *working `json:"work,omitempty"`
}

// working is work as a module sees it: its texts are ready to be shown.
type working struct {
	Name    string `json:"name"`
	Key     string `json:"key"`
	Running bool   `json:"running"`
	Done    int    `json:"done"`
	Total   int    `json:"total"`
	Part    int    `json:"part"` // grows with every part of the result
	Text    string `json:"text"`
}

// events streams what happens on the desk to a browser.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	v := s.visit(w, r, s.pages[0])
	happens := s.desk.Watch(r.Context())
	w.Header().Set("Content-Type", "text/event-stream")
	if send(w, "hello", event{Number: s.desk.Now().Number, Parts: s.desk.Parts()}) != nil {
		return
	}
	t := time.NewTicker(beat)
	defer t.Stop()
	for {
		var err error
		select {
		case e, ok := <-happens:
			if !ok {
				return
			}
			err = send(w, string(e.Kind), v.told(e))
		case <-t.C:
			err = send(w, "beat", event{Number: s.desk.Now().Number})
		}
		if err != nil {
			return
		}
	}
}

// told is an event in the reader's language.
func (v *visit) told(e desk.Event) event {
	out := event{Number: e.Number, Label: v.label(e.Label), Names: e.Names}
	if e.Kind == desk.Worked {
		out.Work = &working{
			Name: e.Work.Name, Key: e.Work.Key, Running: e.Work.Running, Done: e.Work.Done, Total: e.Work.Total,
			Part: e.Work.Number, Text: v.progress(e.Work),
		}
	}
	return out
}

// send writes one event, and gives up a browser that does not take it.
func send(w http.ResponseWriter, kind string, e event) error {
	data, err := json.Marshal(e)
	if err != nil {
		return err
	}
	c := http.NewResponseController(w)
	// A writer that knows no deadline is one of a test.
	_ = c.SetWriteDeadline(time.Now().Add(beat))
	if _, err := fmt.Fprintf(w, "event: %s\ndata: %s\n\n", kind, data); err != nil {
		return err
	}
	return c.Flush()
}

// progress says how far work is: "simulating: 12 of 40, about 20 s left".
func (v *visit) progress(p desk.Progress) string {
	name := v.T("work." + p.Name)
	switch {
	case !p.Running:
		return v.T("work.ended", "what", name)
	case p.Total == 0:
		return v.T("work.begins", "what", name)
	case p.Remaining < time.Second:
		return v.T("work.some", "what", name, "share", report.Percent(float64(p.Done)/float64(p.Total)))
	}
	return v.T("work.left", "what", name, "share", report.Percent(float64(p.Done)/float64(p.Total)), "left", v.span(p.Remaining))
}

// span is a time a person waits, in whole seconds or minutes.
func (v *visit) span(d time.Duration) string {
	if s := int(d.Round(time.Second).Seconds()); s < 100 {
		return v.T("span.seconds", "n", s)
	}
	return v.T("span.minutes", "n", int(d.Round(time.Minute).Minutes()))
}

// Progress is progress for templates.
func (v *visit) Progress(p desk.Progress) string { return v.progress(p) }
