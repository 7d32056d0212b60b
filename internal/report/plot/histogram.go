package plot

import (
	"fmt"
	"html"
	"strings"
)

// Histogram draws how often values came, with stated limits and worst corners.
// What is absent is nil.
type Histogram struct {
	From, To  float64
	Counts    []int
	Min, Max  *float64 // stated
	Low, High *float64 // worst corners
	Unit      string
	Title     string
}

// Size of a histogram in px.
const (
	histWidth  = 320
	histHeight = 96
	histFoot   = 16 // under the bars, for the axis
)

// SVG draws it: outside the stated limits the ground is hatched, the corners are
// a thin bar under the heap.
func (h Histogram) SVG() string {
	all := append(given(h.Min, h.Max, h.Low, h.High), h.From, h.To)
	low, high := span(Axis{}, all)
	pad := 0.05 * (high - low)
	x := scale{low: low - pad, high: high + pad, from: 1, to: histWidth - 1}
	most := 1
	for _, n := range h.Counts {
		most = max(most, n)
	}
	const base = histHeight - histFoot
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="histogram" viewBox="0 0 %d %d" role="img"><title>%s</title>`, histWidth, histHeight, html.EscapeString(h.Title))
	if h.Min != nil {
		excluded(&b, 1, x.at(*h.Min), base)
		fmt.Fprintf(&b, `<path class="limit" d="M%s 2v%d"/>`, px(x.at(*h.Min)), base-2)
	}
	if h.Max != nil {
		excluded(&b, x.at(*h.Max), histWidth-1, base)
		fmt.Fprintf(&b, `<path class="limit" d="M%s 2v%d"/>`, px(x.at(*h.Max)), base-2)
	}
	width := (h.To - h.From) / float64(len(h.Counts))
	for i, n := range h.Counts {
		left, right := x.at(h.From+float64(i)*width), x.at(h.From+float64(i+1)*width)
		tall := float64(base-6) * float64(n) / float64(most)
		if n > 0 {
			fmt.Fprintf(&b, `<rect class="bar" x="%s" y="%s" width="%s" height="%s"/>`, px(left), px(base-tall), px(max(right-left-0.5, 0.5)), px(tall))
		}
	}
	fmt.Fprintf(&b, `<path class="hair" d="M1 %dH%d"/>`, base, histWidth-1)
	if h.Low != nil && h.High != nil {
		fmt.Fprintf(&b, `<path class="corners" d="M%s %dH%s"/>`, px(x.at(*h.Low)), base+5, px(x.at(*h.High)))
	}
	b.WriteString(`</svg>`)
	return b.String()
}

// excluded hatches what a limit excludes.
func excluded(b *strings.Builder, from, to float64, height int) {
	if to > from {
		fmt.Fprintf(b, `<rect x="%s" y="2" width="%s" height="%d" fill="url(#hatch)"/>`, px(from), px(to-from), height-2)
	}
}
