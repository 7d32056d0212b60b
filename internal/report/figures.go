package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

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

// waveFigure draws a waveform: currents, then gates with the lowest supply,
// then what the discharge bank blocks. A record has more lines than an eye
// follows.
func waveFigure(id string, w answer.Waveform) figureView {
	title := string(w.Title)
	if title == "" {
		title = w.Name
	}
	shown := seen(w)
	f := plot.Figure{ID: id, Title: title, Desc: describe(w, shown).String(), X: plot.Axis{Name: "time", Unit: "s"}}
	for _, group := range shown {
		var p plot.Panel
		for _, i := range group {
			l := w.Lines[i]
			p.Y.Unit = string(l.Unit)
			p.Lines = append(p.Lines, plot.Line{Name: l.Name, X: w.Times, Y: w.Values[i]})
		}
		f.Panels = append(f.Panels, p)
	}
	for _, e := range w.Events {
		if e.Time != nil {
			f.Marks = append(f.Marks, plot.Mark{X: *e.Time, Name: e.Part + " " + e.What})
		}
	}
	f.X.Low, f.X.High = window(w, shown[:1]) // gates may creep on long after
	return figureView{Title: sentenceCase(title), Caption: describe(w, shown), SVG: template.HTML(f.SVG())}
}

// seen picks the lines to draw, by panel. Of a record of other make every line
// is drawn, one panel a unit.
func seen(w answer.Waveform) [][]int {
	var amps, drives, blocked []int
	lowest := -1
	for i, l := range w.Lines {
		switch {
		case l.Unit == "A":
			amps = append(amps, i)
		case strings.HasSuffix(l.Name, " gate"):
			drives = append(drives, i)
		case strings.HasSuffix(l.Name, " supply"):
			if l.Low != nil && (lowest < 0 || *l.Low < *w.Lines[lowest].Low) {
				lowest = i
			}
		case l.Name == "discharge bank":
			blocked = append(blocked, i)
		}
	}
	if lowest >= 0 {
		drives = append(drives, lowest)
	}
	var out [][]int
	for _, group := range [][]int{amps, drives, blocked} {
		if len(group) > 0 {
			out = append(out, group)
		}
	}
	if len(out) < 2 {
		return byUnit(w)
	}
	return out
}

func byUnit(w answer.Waveform) [][]int {
	var out [][]int
	panel := map[answer.Text]int{}
	for i, l := range w.Lines {
		n, ok := panel[l.Unit]
		if !ok {
			n = len(out)
			panel[l.Unit] = n
			out = append(out, nil)
		}
		out[n] = append(out[n], i)
	}
	return out
}

// describe says in words what a waveform shows, by its extremes.
func describe(w answer.Waveform, shown [][]int) phrase {
	var out phrase
	for _, group := range shown {
		for _, i := range group {
			if l := w.Lines[i]; l.Low != nil && l.High != nil {
				out = list("; ", out, join(say(l.Name+" "), span(l)))
			}
		}
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
func window(w answer.Waveform, shown [][]int) (low, high float64) {
	n := len(w.Times)
	first, last := n, 0
	for _, group := range shown {
		for _, i := range group {
			a, b := moves(w.Values[i])
			first, last = min(first, a), max(last, b)
		}
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
