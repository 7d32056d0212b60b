package pages

import (
	"bytes"
	"html/template"
	"slices"

	"cupel/internal/answer"
	"cupel/internal/evidence"
	"cupel/internal/report"
	"cupel/internal/study"
)

func recordPage() *page {
	return &page{
		name: "record", place: 90, module: true, styles: true, links: recordLinks, show: showRecord,
		files: map[string]func(*visit) error{"page.css": recordStyle, "report.html": recordFile},
	}
}

// recordLinks say which revision was published: there is none before publishing.
func recordLinks(v *visit) []link {
	if v.State.Empty() {
		return nil
	}
	return []link{{Text: v.T("chain.revision", "n", 0)}}
}

// record is what the page's template shows.
type record struct {
	Paper   template.HTML
	Missing []gap
	Rules   []string
	Saved   string // the name of the file that is saved
}

func showRecord(v *visit) (string, any, error) {
	d := v.dossier()
	if d == nil {
		return v.T("record.first.empty"), record{}, nil
	}
	p, x := v.recorded(), record{Saved: d.Board.Name + ".html"}
	var b bytes.Buffer
	if err := report.Body(&b, p.Answer, p.Waveforms); err != nil {
		return "", nil, err
	}
	x.Paper = v.Number(template.HTML(b.String()))
	for _, c := range p.Answer.Claims {
		if c.Rule != "" && !slices.Contains(x.Rules, string(c.Rule)) {
			x.Rules = append(x.Rules, string(c.Rule))
		}
	}
	x.Missing = v.missing(p)
	return v.recordFirst(p.Answer.Summary), x, nil
}

// recorded is what the record is made from: the prediction, or where nothing
// could be tried every figure not tested.
func (v *visit) recorded() predicted {
	p := v.predict()
	if !p.Have || p.Before {
		p.Prediction = study.Prediction{Answer: study.Skeleton(v.dossier())}
	}
	return p
}

// recordFirst says what would be signed, and what was not tested.
func (v *visit) recordFirst(s answer.Summary) string {
	all := s.Meets + s.Fails + s.CannotTell + s.NotTested
	if all == 0 {
		return v.T("record.first.nothing")
	}
	var said []string
	for _, c := range []struct {
		key string
		n   int
	}{{"holds", s.Meets}, {"fails", s.Fails}, {"cannot", s.CannotTell}, {"untested", s.NotTested}} {
		if c.n > 0 {
			said = append(said, v.T("record.say."+c.key, "n", c.n))
		}
	}
	return v.T("record.first", "n", all, "said", v.List(said))
}

// missing is what lacks before the record may be signed.
func (v *visit) missing(p predicted) []gap {
	var out []gap
	add := func(key, link string, args ...any) {
		out = append(out, gap{Text: template.HTML(template.HTMLEscapeString(v.T(key, args...))), Link: link, Next: v.T("record.go")})
	}
	f, d := v.facts(), v.dossier()
	if v.mistakes() != nil {
		add("record.missing.mistakes", "/texts")
	}
	switch {
	case len(d.Board.Parts) == 0:
		add("record.missing.parts", "/texts?file=board.yaml#import")
	case p.Work.Running:
		add("record.missing.running", "/limits")
	case p.Work.Stopped || !p.Have:
		add("record.missing.stopped", "/limits")
	case !p.Ranges:
		add("record.missing.ranges", "/limits")
	}
	if n := f.grades[evidence.Assumed] + f.grades[evidence.Unknown] + f.grades[evidence.Contradicted]; n > 0 {
		add("record.missing.nets", "/ringout", "n", n)
	}
	if len(d.Claims.Claims) == 0 {
		add("record.missing.claims", "/texts?file=claims.yaml")
	}
	out = append(out, gap{Text: template.HTML(template.HTMLEscapeString(v.T("record.missing.readings")))})
	return out
}

// recordStyle is the report's style sheet, for the paper on this page alone.
func recordStyle(v *visit) error {
	v.w.Header().Set("Content-Type", "text/css; charset=utf-8")
	_, err := v.w.Write([]byte(".paper {\n" + report.CSS() + "\n}\n"))
	return err
}

// recordFile hands out the report as one file, as the command line writes it.
func recordFile(v *visit) error {
	d := v.dossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	p := v.recorded()
	var b bytes.Buffer
	if err := report.Page(&b, p.Answer, p.Waveforms); err != nil {
		return err
	}
	h := v.w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	h.Set("Content-Disposition", `attachment; filename="`+slug(d.Board.Name)+`.html"`)
	// It carries its style inside and no script; it is saved, not shown here.
	h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; sandbox")
	_, err := v.w.Write(b.Bytes())
	return err
}
