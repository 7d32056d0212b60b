package plot

import (
	"fmt"
	"html"
	"math"
	"slices"
	"strings"
)

// dashes tell the lines of one panel apart, in stroke widths.
var dashes = [...]string{"", "7 3", "2 3", "10 3 2 3", "4 2", "1 4"}

// end is the name of a line at its right end.
type end struct {
	name string
	y    float64 // where the line ends
}

// draw draws l as the i-th line of its panel and returns its end.
func (l Line) draw(b *strings.Builder, x, y scale, i int) end {
	pts := l.columns(x, y)
	if len(pts) == 0 {
		return end{}
	}
	var d strings.Builder
	for k, p := range pts {
		op := "L"
		if k == 0 {
			op = "M"
		}
		fmt.Fprintf(&d, "%s%s %s", op, px(p[0]), px(p[1]))
	}
	n := i % len(dashes)
	fmt.Fprintf(b, `<path class="line l%d" stroke-dasharray="%s" d="%s"/>`+"\n", n, dashes[n], d.String())
	return end{name: l.Name, y: pts[len(pts)-1][1]}
}

// columns turns the line into points of the drawing: of every column of
// pixels the first, lowest, highest and last point. A line that runs on beyond
// the scale is cut at its edge.
func (l Line) columns(x, y scale) [][2]float64 {
	var out, col [][2]float64
	flush := func() {
		out = append(out, reduce(col)...)
		col = col[:0]
	}
	for i := range min(len(l.X), len(l.Y)) {
		p := [2]float64{x.at(l.X[i]), y.at(l.Y[i])}
		switch {
		case math.IsNaN(p[0]) || math.IsNaN(p[1]) || p[0] < x.from-0.5:
			continue
		case p[0] > x.to+0.5:
			if len(col) > 0 {
				last := col[len(col)-1]
				flush()
				out = append(out, [2]float64{x.to, last[1] + (p[1]-last[1])*(x.to-last[0])/(p[0]-last[0])})
			}
			return out
		}
		if len(col) > 0 && math.Floor(p[0]) != math.Floor(col[0][0]) {
			flush()
		}
		col = append(col, p)
	}
	flush()
	return out
}

// reduce keeps at most four points of one column, in their order.
func reduce(col [][2]float64) [][2]float64 {
	if len(col) <= 4 {
		return slices.Clone(col)
	}
	lo, hi := 0, 0
	for i, p := range col {
		if p[1] < col[lo][1] {
			lo = i
		}
		if p[1] > col[hi][1] {
			hi = i
		}
	}
	keep := []int{0, min(lo, hi), max(lo, hi), len(col) - 1}
	out := make([][2]float64, 0, len(keep))
	for _, i := range slices.Compact(keep) {
		out = append(out, col[i])
	}
	return out
}

// nameHeight is the least distance of two names, in px.
const nameHeight = 14

// drawEnds writes the names at the ends of lines, moved apart where they would
// lie on each other, each with a hair line from its end.
func drawEnds(b *strings.Builder, ends []end, right, top, bottom float64) {
	slices.SortStableFunc(ends, func(a, c end) int {
		switch {
		case a.y < c.y:
			return -1
		case a.y > c.y:
			return 1
		}
		return 0
	})
	at := spread(ends, top, bottom)
	for i, e := range ends {
		fmt.Fprintf(b, `<path class="hair" d="M%s %sL%s %s"/>`, px(right+1), px(e.y), px(right+10), px(at[i]))
		fmt.Fprintf(b, `<text class="name" x="%s" y="%s">%s</text>`+"\n", px(right+13), px(at[i]+4), html.EscapeString(e.name))
	}
}

// spread gives sorted ends places at least nameHeight apart, inside the panel
// if there is room.
func spread(ends []end, top, bottom float64) []float64 {
	at := make([]float64, len(ends))
	for i, e := range ends {
		at[i] = math.Max(e.y, top+4)
		if i > 0 {
			at[i] = math.Max(at[i], at[i-1]+nameHeight)
		}
	}
	limit := bottom
	for i := len(at) - 1; i >= 0; i-- {
		at[i] = math.Min(at[i], limit)
		limit = at[i] - nameHeight
	}
	return at
}

// Shape is the form of a point.
type Shape int

// The shapes; they stay apart on a bad copy.
const (
	Dot Shape = iota
	Square
	Triangle
	Ring
	Cross
)

func (q Point) draw(b *strings.Builder, x, y scale) {
	cx, cy := x.at(q.X), y.at(q.Y)
	if math.IsNaN(cx) || math.IsNaN(cy) {
		return
	}
	switch q.Shape {
	case Square:
		fmt.Fprintf(b, `<path class="point" d="M%s %sh7v7h-7z"/>`, px(cx-3.5), px(cy-3.5))
	case Triangle:
		fmt.Fprintf(b, `<path class="point" d="M%s %sl4.5 8h-9z"/>`, px(cx), px(cy-5))
	case Ring:
		fmt.Fprintf(b, `<circle class="ring" cx="%s" cy="%s" r="4"/>`, px(cx), px(cy))
	case Cross:
		fmt.Fprintf(b, `<path class="ring" d="M%s %sl7 7m0 -7l-7 7"/>`, px(cx-3.5), px(cy-3.5))
	default:
		fmt.Fprintf(b, `<circle class="point" cx="%s" cy="%s" r="3.5"/>`, px(cx), px(cy))
	}
	if q.Name != "" {
		fmt.Fprintf(b, `<text class="name" x="%s" y="%s">%s</text>`, px(cx+8), px(cy-6), html.EscapeString(q.Name))
	}
	b.WriteString("\n")
}
