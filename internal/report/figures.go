package report

import (
	"fmt"
	"html/template"
	"math"

	"cupel/internal/answer"
	"cupel/internal/report/plot"
)

// figureView is a drawing as the page's template sees it.
type figureView struct {
	Title   string
	Caption phrase
	SVG     template.HTML
}

func waveSection(waves []answer.Waveform) section {
	s := section{Anchor: "waves", Title: "How it acts"}
	for i, w := range waves {
		s.Figures = append(s.Figures, waveFigure(fmt.Sprint("w", i), w))
	}
	if len(waves) > 0 {
		s.Notes = []phrase{say("Lines end at their names; each panel has its own unit. Upright lines mark what the parts did, where the run saw it.")}
	}
	return s
}

// waveFigure draws a waveform with one panel a unit.
func waveFigure(id string, w answer.Waveform) figureView {
	title := string(w.Title)
	if title == "" {
		title = w.Name
	}
	f := plot.Figure{ID: id, Title: title, Desc: describe(w).String(), X: plot.Axis{Name: "time", Unit: "s"}}
	panels := map[answer.Text]int{}
	for i, l := range w.Lines {
		n, ok := panels[l.Unit]
		if !ok {
			n = len(f.Panels)
			panels[l.Unit] = n
			f.Panels = append(f.Panels, plot.Panel{Y: plot.Axis{Unit: string(l.Unit)}})
		}
		f.Panels[n].Lines = append(f.Panels[n].Lines, plot.Line{Name: l.Name, X: w.Times, Y: w.Values[i]})
	}
	for _, e := range w.Events {
		if e.Time != nil {
			f.Marks = append(f.Marks, plot.Mark{X: *e.Time, Name: e.Part + " " + e.What})
		}
	}
	f.X.Low, f.X.High = window(w)
	return figureView{Title: sentenceCase(title), Caption: describe(w), SVG: template.HTML(f.SVG())}
}

// describe says in words what a waveform shows, by its extremes.
func describe(w answer.Waveform) phrase {
	var out phrase
	for _, l := range w.Lines {
		if l.Low == nil || l.High == nil {
			continue
		}
		out = list("; ", out, join(say(l.Name+" "), span(l)))
	}
	return out
}

func span(l answer.Line) phrase {
	unit := string(l.Unit)
	if same(*l.Low, *l.High) {
		return figure(l.Low, unit, 0)
	}
	return interval(l.Low, l.High, unit)
}

// still is the share of a line's span that counts as no longer moving.
const still = 0.01

// window is the part of a record where anything moves, with a little before
// and after; 0, 0 is all of it.
func window(w answer.Waveform) (low, high float64) {
	n := len(w.Times)
	first, last := n, 0
	for i := range w.Lines {
		a, b := moves(w.Values[i])
		first, last = min(first, a), max(last, b)
	}
	if n == 0 || first >= last {
		return 0, 0
	}
	from, to := w.Times[first], w.Times[last]
	room := 0.25 * (to - from)
	low, high = math.Max(w.Times[0], from-room), math.Min(w.Times[n-1], to+room)
	if high-low > 0.6*(w.Times[n-1]-w.Times[0]) {
		return 0, 0
	}
	return low, high
}

// moves is between which two points a line moves by more than a hundredth of
// its span.
func moves(v []float64) (first, last int) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, x := range v {
		low, high = math.Min(low, x), math.Max(high, x)
	}
	first, last = len(v), 0
	for i, x := range v {
		if math.Abs(x-v[0]) > still*(high-low) {
			first = min(first, max(i-1, 0))
		}
		if math.Abs(x-v[len(v)-1]) > still*(high-low) {
			last = i + 1
		}
	}
	return first, min(last, len(v)-1)
}
