package pages

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
	"cupel/internal/report"
)

// panel is a common axis with its strips.
type panel struct {
	Name   string
	Axis   template.HTML
	Strips []stripView
}

// stripView is one figure on the axis of its panel.
type stripView struct {
	report.Strip
	SVG     template.HTML
	Text    template.HTML // the range in words
	Class   string        // of the verdict; empty where nothing is stated
	Verdict string
	Spread  spread
	Rows    []stripRow
}

// stripRow is a line of a strip as a row of its table.
type stripRow struct {
	Degrees                 string
	Typical, Corners, Outer template.HTML
}

// family says which figures share an axis: the cells' voltages, the currents of
// the path, the times. All others stand alone.
func family(s report.Strip) (name string, log bool) {
	cell := s.Trial == string(protection.Overcharge) || s.Trial == string(protection.Overdischarge) || s.Trial == string(protection.Balance)
	path := s.Trial == string(protection.DischargeOvercurrent) || s.Trial == string(protection.ChargeOvercurrent) || s.Trial == string(protection.LoadShort)
	switch {
	case s.Unit == "V" && cell:
		return "cell", false
	case s.Unit == "A" && path:
		return "current", false
	case s.Unit == "s":
		return "time", true
	}
	return "", false
}

// sorted parts the figures that a person looks for first from the others: what is
// stated, and at which voltage, current and after which time a protection acts.
func (v *visit) sorted(strips []report.Strip) (main, more []report.Strip) {
	first := []protection.Quantity{protection.Detect, protection.ReleaseAt, protection.Start, protection.Stop, protection.Delay}
	for _, s := range strips {
		if s.Stated != nil || slices.Contains(first, protection.Quantity(s.Quantity)) {
			main = append(main, s)
		} else {
			more = append(more, s)
		}
	}
	return main, more
}

// panels sorts strips into panels and draws them.
func (v *visit) panels(strips []report.Strip) []panel {
	var names []string
	byName := map[string][]report.Strip{}
	for _, s := range strips {
		name, _ := family(s)
		if name == "" {
			name = "other " + s.Key
		}
		if byName[name] == nil {
			names = append(names, name)
		}
		byName[name] = append(byName[name], s)
	}
	rank := map[string]int{"cell": 1, "current": 2, "time": 3}
	slices.SortStableFunc(names, func(a, b string) int {
		if rank[a] == 0 || rank[b] == 0 {
			return rank[b] - rank[a]
		}
		return rank[a] - rank[b]
	})
	var out []panel
	for _, name := range names {
		_, log := family(byName[name][0])
		out = append(out, v.panel(name, byName[name], log))
	}
	return out
}

func (v *visit) panel(name string, strips []report.Strip, log bool) panel {
	x := axisOf(strips, log)
	p := panel{Axis: v.Number(x.svg())}
	if !strings.HasPrefix(name, "other ") {
		p.Name = v.T("limits.panel." + name)
	}
	for _, s := range strips {
		view := stripView{Strip: s, SVG: v.drawStrip(s, x), Text: v.Number(ranged(s)), Spread: v.spread(s)}
		if s.Stated != nil && (s.Stated.Verdict != "fails" || outside(s)) {
			view.Class, view.Verdict = report.Class(s.Stated.Verdict), s.Stated.Verdict
		}
		for _, l := range s.Lines {
			view.Rows = append(view.Rows, stripRow{
				v.Degrees(l.Degrees), v.Number(report.Between(l.TypLow, l.TypHigh, s.Unit)),
				v.Number(report.Between(l.Low, l.High, s.Unit)), v.Number(report.Between(l.PLow, l.PHigh, s.Unit)),
			})
		}
		p.Strips = append(p.Strips, view)
	}
	return p
}

// outside reports whether a figure goes beyond its stated limits: of several that
// one claim speaks of, another may be what fails.
func outside(s report.Strip) bool {
	l := s.Stated.Stated
	for _, x := range s.Lines {
		for _, v := range []*float64{x.TypLow, x.TypHigh, x.Low, x.High} {
			if v != nil && (l.Min != nil && *v < *l.Min || l.Max != nil && *v > *l.Max) {
				return true
			}
		}
	}
	return l.Min == nil && l.Max == nil
}

// ranged is the widest range there is, in words: over all temperatures the
// corners, else the typical values.
func ranged(s report.Strip) template.HTML {
	var low, high *float64
	for _, l := range s.Lines {
		a, b := l.TypLow, l.TypHigh
		if l.Low != nil && l.High != nil {
			a, b = l.Low, l.High
		}
		if a != nil && (low == nil || *a < *low) {
			low = a
		}
		if b != nil && (high == nil || *b > *high) {
			high = b
		}
	}
	return report.Between(low, high, s.Unit)
}

// scaleAxis is an axis that strips share; places on it are percents of the width.
type scaleAxis struct {
	low, high float64
	log       bool
	unit      string
}

func axisOf(strips []report.Strip, log bool) scaleAxis {
	low, high := math.Inf(1), math.Inf(-1)
	take := func(v *float64) {
		if v != nil && (!log || *v > 0) {
			low, high = min(low, *v), max(high, *v)
		}
	}
	for _, s := range strips {
		for _, l := range s.Lines {
			for _, x := range []*float64{l.TypLow, l.TypHigh, l.Low, l.High, l.PLow, l.PHigh} {
				take(x)
			}
		}
		if s.Stated != nil {
			take(s.Stated.Stated.Min)
			take(s.Stated.Stated.Typ)
			take(s.Stated.Stated.Max)
		}
	}
	a := scaleAxis{low: low, high: high, log: log, unit: strips[0].Unit}
	switch {
	case log:
		a.low, a.high = low/2, high*2
	case low == high:
		a.low, a.high = low-math.Abs(low)/10-1e-12, high+math.Abs(high)/10+1e-12
	default:
		pad := (high - low) * 0.06
		a.low, a.high = low-pad, high+pad
		if low >= 0 && a.low < 0 {
			a.low = 0
		}
	}
	return a
}

// at is the place of a value, in percent.
func (a scaleAxis) at(v float64) float64 {
	if a.log {
		return 100 * math.Log(v/a.low) / math.Log(a.high/a.low)
	}
	return 100 * (v - a.low) / (a.high - a.low)
}

// ticks are round values on the axis.
func (a scaleAxis) ticks() []float64 {
	var out []float64
	if a.log {
		for e := math.Floor(math.Log10(a.low)); e <= math.Log10(a.high); e++ {
			if v := math.Pow(10, e); v >= a.low && v <= a.high {
				out = append(out, v)
			}
		}
		return out
	}
	// Kelvins are shown as degrees, so degrees are what is round.
	shift := 0.0
	if a.unit == "K" {
		shift = zeroCelsius
	}
	const about = 4
	raw := (a.high - a.low) / about
	step := math.Pow(10, math.Floor(math.Log10(raw)))
	for _, m := range []float64{1, 2, 5, 10} {
		if m*step >= raw {
			step *= m
			break
		}
	}
	for v := math.Ceil((a.low-shift)/step) * step; v <= a.high-shift; v += step {
		out = append(out, math.Round(v/step)*step+shift)
	}
	return out
}

// svg draws the axis.
func (a scaleAxis) svg() template.HTML {
	var b strings.Builder
	b.WriteString(`<svg class="axis" aria-hidden="true" focusable="false">`)
	for _, t := range a.ticks() {
		x, anchor := a.at(t), "middle"
		if x < 4 {
			anchor = "start"
		} else if x > 96 {
			anchor = "end"
		}
		fmt.Fprintf(&b, `<line class="tick" x1="%.2f%%" x2="%.2f%%" y1="0" y2="5"/><text x="%.2f%%" y="18" text-anchor="%s">%s</text>`,
			x, x, x, anchor, template.HTMLEscapeString(plain(report.Stated(answer.Limits{Typ: &t}, a.unit))))
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// Heights of a strip, px.
const (
	lineStep = 11
	lineTop  = 9
)

// drawStrip draws a figure: outside the stated limits the ground is hatched; of each
// temperature the corners are a thin bar, the inner range a thick one, typical
// values a tick, or a lozenge's two ticks where the cells differ.
func (v *visit) drawStrip(s report.Strip, a scaleAxis) template.HTML {
	var b strings.Builder
	tall := 2*lineTop + lineStep*(len(s.Lines)-1)
	fmt.Fprintf(&b, `<svg class="figure" height="%d" role="img" aria-label="%s">`, tall, template.HTMLEscapeString(v.describe(s)))
	if s.Stated != nil {
		l := s.Stated.Stated
		hatch(&b, a, l.Min, nil, tall)
		hatch(&b, a, nil, l.Max, tall)
		for _, x := range []*float64{l.Min, l.Max} {
			if x != nil {
				upright(&b, "limit", a.at(*x), 1, tall-1)
			}
		}
		if l.Typ != nil {
			upright(&b, "stated", a.at(*l.Typ), 1, tall-1)
		}
	}
	for i, l := range s.Lines {
		y := lineTop + lineStep*i
		bar(&b, a, "corners", l.Low, l.High, y, 2)
		bar(&b, a, "outer", l.PLow, l.PHigh, y, 6)
		bar(&b, a, "cells", l.TypLow, l.TypHigh, y, 2)
		for _, x := range []*float64{l.TypLow, l.TypHigh} {
			if x != nil {
				upright(&b, "typ", a.at(*x), y-5, y+5)
			}
		}
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}

// describe says in words what a strip shows.
func (v *visit) describe(s report.Strip) string {
	said := v.T("limits.strip", "figure", v.Number2(plain(s.Name)), "range", v.Number2(plain(ranged(s))))
	if s.Stated != nil {
		said += " " + v.T("limits.strip.stated", "limits", plain(report.Stated(s.Stated.Stated, s.Unit)), "verdict", v.Verdict(s.Stated.Verdict))
	}
	return said
}

func upright(b *strings.Builder, class string, x float64, from, to int) {
	fmt.Fprintf(b, `<line class="%s" x1="%.2f%%" x2="%.2f%%" y1="%d" y2="%d"/>`, class, x, x, from, to)
}

func bar(b *strings.Builder, a scaleAxis, class string, low, high *float64, y, thick int) {
	if low == nil || high == nil || a.log && *low <= 0 {
		return
	}
	from, to := a.at(*low), a.at(*high)
	fmt.Fprintf(b, `<rect class="%s" x="%.2f%%" width="%.2f%%" y="%d" height="%d"/>`, class, from, max(to-from, 0.15), y-thick/2, thick)
}

// hatch marks what lies below a least or above a most value.
func hatch(b *strings.Builder, a scaleAxis, least, most *float64, tall int) {
	from, to := 0.0, 0.0
	switch {
	case least != nil && (!a.log || *least > 0):
		to = a.at(*least)
	case most != nil && (!a.log || *most > 0):
		from, to = a.at(*most), 100
	}
	if to > from {
		fmt.Fprintf(b, `<rect class="excluded" fill="url(#hatch)" x="%.2f%%" width="%.2f%%" y="1" height="%d"/>`, from, to-from, tall-2)
	}
}
