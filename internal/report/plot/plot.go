// Package plot draws small line figures as SVG for a printed page.
//
// A line is told from the next by its dashes and by its name at its right end,
// never by colour alone; colours, text size and type come from the page's style
// sheet by the classes axis, grid, tick, line, l0 to l5, name, mark and point.
// Points that fall into one column of pixels are drawn as that column's span,
// so a figure of any length stays small and loses no spike.
package plot

import (
	"fmt"
	"html"
	"strconv"
	"strings"
)

// Figure is one drawing: panels over a common horizontal axis.
type Figure struct {
	ID          string // unique on the page; ties title and description to the drawing
	Title, Desc string // for readers who do not see it
	X           Axis
	Panels      []Panel
	Marks       []Mark // moments or places worth a line across all panels
}

// Axis is a scale with its quantity and unit.
type Axis struct {
	Name, Unit string // "time", "s"
	Log        bool
	Low, High  float64 // ends; both 0: those of the data
}

// Panel is one field of a figure with a vertical axis of its own.
type Panel struct {
	Y      Axis
	Lines  []Line
	Points []Point
}

// Line is one line; X grows.
type Line struct {
	Name string
	X, Y []float64
}

// Point is a single point with a shape and a word.
type Point struct {
	X, Y  float64
	Shape Shape
	Name  string // at the point; empty for none
}

// Mark is a vertical line with a word at its head.
type Mark struct {
	X    float64
	Name string
}

// Geometry of every figure, in px of its own drawing.
const (
	width       = 640
	left        = 62
	headRoom    = 34 // for the words of marks, and the name of the first axis
	panelHeight = 112
	panelGap    = 26 // for the name of the next axis
	footRoom    = 38
	markTop     = 14
)

// SVG draws the figure.
func (f Figure) SVG() string {
	height := headRoom + len(f.Panels)*(panelHeight+panelGap) - panelGap + footRoom
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="plot" viewBox="0 0 %d %d" role="img" aria-labelledby="%s-t %s-d">`+"\n",
		width, height, f.ID, f.ID)
	fmt.Fprintf(&b, "<title id=\"%s-t\">%s</title>\n<desc id=\"%s-d\">%s</desc>\n",
		f.ID, html.EscapeString(f.Title), f.ID, html.EscapeString(f.Desc))
	x := f.scaleX()
	top := float64(headRoom)
	for _, p := range f.Panels {
		p.draw(&b, x, newScale(p.Y, p.values(), top+panelHeight, top), top)
		top += panelHeight + panelGap
	}
	bottom := top - panelGap
	f.drawMarks(&b, x, bottom)
	f.drawX(&b, x, bottom)
	b.WriteString("</svg>")
	return b.String()
}

// scaleX is the common horizontal scale.
func (f Figure) scaleX() scale {
	var all []float64
	for _, p := range f.Panels {
		for _, l := range p.Lines {
			all = append(all, l.X...)
		}
		for _, q := range p.Points {
			all = append(all, q.X)
		}
	}
	s := newScale(f.X, all, left, width-f.nameRoom())
	if !f.X.Log {
		s.tighten(all)
	}
	return s
}

// letter is the width of a letter of the page's small type, roughly, in px.
const letter = 6.2

// nameRoom is the room that the names at the ends of lines need.
func (f Figure) nameRoom() float64 {
	n := 0
	for _, p := range f.Panels {
		for _, l := range p.Lines {
			n = max(n, len([]rune(l.Name)))
		}
	}
	return 24 + letter*float64(n)
}

func (p Panel) values() []float64 {
	var all []float64
	for _, l := range p.Lines {
		all = append(all, l.Y...)
	}
	for _, q := range p.Points {
		all = append(all, q.Y)
	}
	return all
}

func (p Panel) draw(b *strings.Builder, x, y scale, top float64) {
	for _, t := range y.ticks() {
		at := y.at(t)
		fmt.Fprintf(b, `<path class="grid" d="M%s %sH%s"/>`, px(left), px(at), px(x.to))
		fmt.Fprintf(b, `<text class="tick" x="%s" y="%s" text-anchor="end">%s</text>`+"\n", px(left-6), px(at+4), y.tick(t))
	}
	fmt.Fprintf(b, `<path class="axis" d="M%s %sV%s"/>`, px(left), px(top), px(top+panelHeight))
	fmt.Fprintf(b, `<text class="unit" x="%s" y="%s">%s</text>`+"\n", px(left-6), px(top-7), html.EscapeString(y.label()))
	ends := make([]end, 0, len(p.Lines))
	for i, l := range p.Lines {
		e := l.draw(b, x, y, i)
		if e.name != "" {
			ends = append(ends, e)
		}
	}
	for _, q := range p.Points {
		q.draw(b, x, y)
	}
	drawEnds(b, ends, x.to, top, top+panelHeight)
}

// drawX draws the horizontal axis under the last panel.
func (f Figure) drawX(b *strings.Builder, x scale, bottom float64) {
	fmt.Fprintf(b, `<path class="axis" d="M%s %sH%s"/>`, px(left), px(bottom), px(x.to))
	for _, t := range x.ticks() {
		at := px(x.at(t))
		fmt.Fprintf(b, `<path class="axis" d="M%s %sv4"/>`, at, px(bottom))
		fmt.Fprintf(b, `<text class="tick" x="%s" y="%s" text-anchor="middle">%s</text>`+"\n", at, px(bottom+17), x.tick(t))
	}
	fmt.Fprintf(b, `<text class="unit" x="%s" y="%s" text-anchor="middle">%s</text>`+"\n",
		px((left+x.to)/2), px(bottom+33), html.EscapeString(x.label()))
}

// drawMarks draws the marks, leaving out words that would lie on the last one.
func (f Figure) drawMarks(b *strings.Builder, x scale, bottom float64) {
	free := 0.0
	for _, m := range f.Marks {
		at := x.at(m.X)
		if at < left || at > x.to {
			continue
		}
		fmt.Fprintf(b, `<path class="mark" d="M%s %sV%s"/>`, px(at), px(markTop), px(bottom))
		if at < free {
			continue
		}
		fmt.Fprintf(b, `<text class="tick" x="%s" y="%s">%s</text>`+"\n", px(at+3), px(markTop-2), html.EscapeString(m.Name))
		free = at + 8 + letter*float64(len([]rune(m.Name)))
	}
}

// px prints a coordinate: a tenth of a pixel is finer than paper shows.
func px(v float64) string { return strconv.FormatFloat(float64(int(v*10+0.5))/10, 'f', -1, 64) }
