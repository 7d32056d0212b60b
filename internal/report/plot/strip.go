package plot

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// Strip sets a predicted range beside stated limits on one line. What is
// absent is nil.
type Strip struct {
	Min, Typ, Max        *float64 // stated
	Low, Predicted, High *float64
	Title                string
}

// Size of a strip in px.
const (
	stripWidth  = 168
	stripHeight = 22
)

// SVG draws the strip: outside the stated limits the ground is hatched (by the
// page's pattern "hatch"), the stated typical value is a tick, the predicted
// range a bar, or a lozenge where it has no width. It is empty where there is
// nothing to compare.
func (s Strip) SVG() string {
	all := given(s.Min, s.Typ, s.Max, s.Low, s.Predicted, s.High)
	if len(given(s.Min, s.Typ, s.Max)) == 0 {
		return ""
	}
	low, high := span(Axis{}, all)
	pad := 0.22 * (high - low)
	x := scale{low: low - pad, high: high + pad, from: 1, to: stripWidth - 1}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="strip" viewBox="0 0 %d %d" role="img"><title>%s</title>`, stripWidth, stripHeight, html.EscapeString(s.Title))
	const mid = stripHeight / 2
	fmt.Fprintf(&b, `<path class="hair" d="M1 %dH%d"/>`, mid, stripWidth-1)
	if s.Min != nil {
		outside(&b, 1, x.at(*s.Min))
		fmt.Fprintf(&b, `<path class="limit" d="M%s 3v%d"/>`, px(x.at(*s.Min)), stripHeight-6)
	}
	if s.Max != nil {
		outside(&b, x.at(*s.Max), stripWidth-1)
		fmt.Fprintf(&b, `<path class="limit" d="M%s 3v%d"/>`, px(x.at(*s.Max)), stripHeight-6)
	}
	if s.Typ != nil {
		fmt.Fprintf(&b, `<path class="typ" d="M%s 7v%d"/>`, px(x.at(*s.Typ)), stripHeight-14)
	}
	s.predicted(&b, x)
	b.WriteString(`</svg>`)
	return b.String()
}

// predicted draws the range, at least as wide as an eye finds.
func (s Strip) predicted(b *strings.Builder, x scale) {
	const mid, least = stripHeight / 2, 3
	got := given(s.Low, s.High, s.Predicted)
	if len(got) == 0 {
		return
	}
	low, high := span(Axis{}, got)
	if got[0] == got[len(got)-1] {
		low, high = got[0], got[0]
	}
	from, to := x.at(low), x.at(high)
	if to-from < least {
		c := (from + to) / 2
		fmt.Fprintf(b, `<path class="bar" d="M%s %dl5 -6l5 6l-5 6z"/>`, px(c-5), mid)
		return
	}
	fmt.Fprintf(b, `<path class="bar" d="M%s %dH%sv6H%sz"/>`, px(from), mid-3, px(to), px(from))
}

func outside(b *strings.Builder, from, to float64) {
	if to > from {
		fmt.Fprintf(b, `<path fill="url(#hatch)" d="M%s 4H%sv%dH%sz"/>`, px(from), px(to), stripHeight-8, px(from))
	}
}

func given(vs ...*float64) []float64 {
	var out []float64
	for _, v := range vs {
		if v != nil && !math.IsNaN(*v) {
			out = append(out, *v)
		}
	}
	return out
}
