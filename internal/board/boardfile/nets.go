package boardfile

import (
	"fmt"
	"strconv"
	"strings"

	"cupel/internal/board"
	"cupel/internal/evidence"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
)

// readNets reads the grades of nets.
func (r *reader) readNets(v text.Value) {
	if !v.Given() {
		return
	}
	v.Map().Each(func(key, entry text.Value) {
		m := entry.Map().Fields(netFields.Names()...)
		grade := m.Need("grade").OneOf(words(evidence.Grades)...)
		id, ok := r.ids[key.Text()]
		if !ok {
			key.Report(finding.Finding{
				Code: UnknownNet, Level: finding.Error,
				Text: fmt.Sprintf("no pin and no pad is on net %q", key.Text()),
				Do:   "delete the entry, or correct its name", Suggestion: finding.Nearest(key.Text(), r.netNames()),
			})
			return
		}
		n := &r.board.Nets[id]
		if grade != "" {
			n.Grade = evidence.Grade(grade)
		}
		if note := m.Get("note"); note.Given() {
			n.Note = note.Text()
		}
	})
}

func words[W ~string](list []W) []string {
	out := make([]string, len(list))
	for i, w := range list {
		out[i] = string(w)
	}
	return out
}

func (r *reader) netNames() []string {
	var names []string
	for _, n := range r.board.Nets {
		names = append(names, n.Name)
	}
	return names
}

// check looks at the board as a whole, once all of it is read.
func (r *reader) check() {
	r.checkTaps()
	r.checkNets()
	r.checkNames()
	r.checkWired()
}

// checkTaps reports the ends of cells that reach no pad, and taps above them.
func (r *reader) checkTaps() {
	b := r.board
	if b.Cells == 0 || len(b.Pads) == 0 {
		return
	}
	for k := 0; k <= b.Cells; k++ {
		if b.Tap(k) == board.NoNet {
			r.noTap(k)
		}
	}
	for _, p := range b.Pads {
		if k, ok := tapOf(p.Name); ok && k > b.Cells {
			r.doc.Report(finding.Finding{
				Code: TapTooHigh, Level: finding.Error, Place: p.Place,
				Text: fmt.Sprintf("pad %s is above the board's %d cells", p.Name, b.Cells),
				Do:   "correct cells, or the pad's name: taps count from the bottom",
			})
		}
	}
}

// tapOf returns k of a pad named Tk.
func tapOf(pad string) (int, bool) {
	n, ok := strings.CutPrefix(pad, "T")
	k, err := strconv.Atoi(n)
	return k, ok && err == nil && k >= 0
}

// endName is the usual name of the pad at the top of cell k.
func endName(k, cells int) string {
	switch k {
	case 0:
		return "B-"
	case cells:
		return "B+"
	}
	return "T" + strconv.Itoa(k)
}

func (r *reader) noTap(k int) {
	b := r.board
	name := endName(k, b.Cells)
	which := fmt.Sprintf("the top of cell %d", k)
	if k == 0 {
		which = "the bottom of cell 1"
	}
	place := b.Place
	place.Line, place.Column = 0, 0
	if len(b.Pads) > 0 {
		place = b.Pads[0].Place
	}
	var pads []string
	for _, p := range b.Pads {
		if p.Name != name && strings.EqualFold(p.Name, name) {
			pads = append(pads, p.Name)
		}
	}
	text := fmt.Sprintf("%s reaches no pad: there is no pad %s", which, name)
	if len(pads) > 0 {
		text += fmt.Sprintf(", only %s", pads[0])
	}
	r.doc.Report(finding.Finding{
		Code: NoTap, Level: finding.Error, Place: place, Text: text,
		Do: fmt.Sprintf("add %s: NET to the pads", name),
	})
}

// checkNets reports nets that lead nowhere.
func (r *reader) checkNets() {
	for i := range r.board.Nets {
		n := &r.board.Nets[i]
		switch {
		case len(n.Pins) == 1 && len(n.Pads) == 0:
			ref := n.Pins[0]
			p := &r.board.Parts[ref.Part]
			r.spots[i].Warn(PinAlone, "look for what else is on it: a hidden track, a misspelt name; or write "+Nothing,
				"net %q has a single pin, %s.%s", n.Name, p.Ref, p.Pins[ref.Pin].Name)
		// A board just begun has pads only; that it has no parts, or none of them rung
		// out yet, is said once.
		case len(n.Pins) == 0 && len(n.Pads) == 1 && len(r.board.Parts) > len(r.unwired):
			r.spots[i].Warn(PadAlone, "look for what else is on it, or for a misspelt name",
				"pad %s is on net %q, which nothing else is on", r.board.Pads[n.Pads[0]].Name, n.Name)
		}
	}
}

// checkNames reports nets whose names differ in case only.
func (r *reader) checkNames() {
	first := map[string]string{}
	for i := range r.board.Nets {
		name := r.board.Nets[i].Name
		lower := strings.ToLower(name)
		other, ok := first[lower]
		if !ok {
			first[lower] = name
			continue
		}
		r.spots[i].Report(finding.Finding{
			Code: NearNames, Level: finding.Warning,
			Text:       fmt.Sprintf("nets %q and %q differ in case only, and are two nets", other, name),
			Do:         "write them alike if they are one, or name them further apart",
			Suggestion: other,
		})
	}
}
