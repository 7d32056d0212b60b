// Package svg turns a sheet into a picture: SVG with an id for every part and
// net, in ink on paper by day, in light on dark by night, black on white in
// print. It brings no font and no script.
package svg

import (
	"bytes"
	"fmt"
	"html"
	"io"

	"cupel/internal/schematic"
)

// Options say how the picture is made. The zero value is a file of its own
// with its style inside.
type Options struct {
	// Inline leaves out the colours' values: the page that holds the picture
	// sets the custom properties itself.
	Inline bool
	// Unstyled leaves out the style altogether, for a page that has [Rules].
	Unstyled bool
	// Prefix stands before every id, where a page holds several sheets.
	Prefix string
}

// Write writes the picture of a sheet.
func Write(w io.Writer, s *schematic.Sheet, o schematic.Overlay, opt Options) error {
	p := &picture{s: s, o: o, opt: opt, ids: newIDs(opt.Prefix, s), power: powerPins(s)}
	p.draw()
	_, err := w.Write(p.b.Bytes())
	return err
}

// picture is a picture being written.
type picture struct {
	b   bytes.Buffer
	s   *schematic.Sheet
	o   schematic.Overlay
	opt Options
	ids ids

	power map[schematic.Point]bool // pins that lie in a power path
}

// powerPins are the pins in a power path: of FETs their channel, of passives
// and pads all that a thick wire ends at.
func powerPins(s *schematic.Sheet) map[schematic.Point]bool {
	ends := map[schematic.Point]bool{}
	for _, w := range s.Wires {
		if w.Power {
			ends[w.Points[0]], ends[w.Points[len(w.Points)-1]] = true, true
		}
	}
	in := map[schematic.Point]bool{}
	for i := range s.Symbols {
		x := &s.Symbols[i]
		n := 0
		for _, p := range x.Pins {
			if ends[p.At] {
				n++
			}
		}
		for _, p := range x.Pins {
			if ends[p.At] && (n >= 2 || x.Shape == schematic.Pad) {
				in[p.At] = true
			}
		}
	}
	return in
}

func (p *picture) f(format string, args ...any) { fmt.Fprintf(&p.b, format, args...) }

func esc(s string) string { return html.EscapeString(s) }

func (p *picture) draw() {
	over := *p
	over.b = bytes.Buffer{}
	notes := over.overlay()
	size := p.s.Size
	size.Y += p.noteRoom(notes)
	p.f(`<svg xmlns="http://www.w3.org/2000/svg" class="sheet" width="%d" height="%d" viewBox="0 0 %d %d" role="img" aria-labelledby="%s %s">`+"\n",
		size.X, size.Y, size.X, size.Y, p.ids.own("title"), p.ids.own("desc"))
	p.f(`<title id="%s">%s</title>`+"\n", p.ids.own("title"), esc(p.heading()))
	p.f(`<desc id="%s">%s</desc>`+"\n", p.ids.own("desc"), esc(p.describe()))
	p.style()
	p.f(`<rect class="ground" width="%d" height="%d"/>`+"\n", size.X, size.Y)
	for _, b := range p.s.Boxes {
		p.f(`<rect class="box" x="%d" y="%d" width="%d" height="%d" rx="4"/>`+"\n", b.Rect.Min.X, b.Rect.Min.Y, b.Rect.Max.X-b.Rect.Min.X, b.Rect.Max.Y-b.Rect.Min.Y)
	}
	p.nets()
	p.parts()
	for _, t := range p.s.Texts {
		p.line(t.Line, "")
		p.f("\n")
	}
	if p.o.Heading != "" {
		p.f(`<text class="heading" x="%d" y="40" text-anchor="end">%s</text>`+"\n", size.X-30, esc(p.o.Heading))
	}
	p.b.Write(over.b.Bytes())
	if len(notes) > 0 {
		p.list(notes)
	}
	p.f("</svg>\n")
}

// heading names the picture.
func (p *picture) heading() string {
	h := p.s.Name + ": schematic"
	if p.o.Heading != "" {
		h += ", " + p.o.Heading
	}
	return h
}

func (p *picture) describe() string {
	n := 0
	for i := range p.s.Symbols {
		if p.s.Symbols[i].Part != schematic.NoPart {
			n++
		}
	}
	return fmt.Sprintf("%s. %d parts, %d nets, %d cells; taps as rails with the highest potential at the top.", p.s.Title, n, len(p.s.Nets), p.s.Cells)
}

// nets writes the wires, dots and names of each net as one group.
func (p *picture) nets() {
	wires := make([][]schematic.Wire, len(p.s.Nets))
	for _, w := range p.s.Wires {
		wires[w.Net] = append(wires[w.Net], w)
	}
	dots := make([][]schematic.Point, len(p.s.Nets))
	for _, j := range p.s.Junctions {
		dots[j.Net] = append(dots[j.Net], j.At)
	}
	names := make([][]schematic.Name, len(p.s.Nets))
	for _, n := range p.s.Names {
		names[n.Net] = append(names[n.Net], n)
	}
	for i := range p.s.Nets {
		class := "net"
		if p.walked("", p.s.Nets[i].Name) {
			class = "net walked"
		}
		p.f(`<g class="%s" id="%s" data-name="%s"><title>%s</title>`, class, p.ids.net(i), esc(p.s.Nets[i].Name), esc(p.netTitle(i)))
		p.wires("wire", wires[i], false)
		p.wires("wire power", wires[i], true)
		for _, d := range dots[i] {
			p.f(`<circle class="dot" cx="%d" cy="%d" r="2.2"/>`, d.X, d.Y)
		}
		for _, m := range names[i] {
			p.name(m)
		}
		p.f("</g>\n")
	}
}

// wires writes those wires that carry the pack's current, or the others.
func (p *picture) wires(class string, all []schematic.Wire, power bool) {
	first := true
	for _, w := range all {
		if w.Power != power {
			continue
		}
		if first {
			p.f(`<path class="%s" d="`, class)
			first = false
		}
		p.path(w.Points)
	}
	if !first {
		p.f(`"/>`)
	}
}

func (p *picture) netTitle(i int) string {
	n := p.s.Nets[i]
	t := "net " + n.Name
	if n.Grade != "" {
		t += ", " + string(n.Grade)
	}
	if v := p.o.Voltages[n.Name]; v != "" {
		t += ", " + v
	}
	return t
}

func (p *picture) path(points []schematic.Point) {
	last := points[0]
	p.f("M%d %d", last.X, last.Y)
	for _, q := range points[1:] {
		if q.X == last.X {
			p.f("V%d", q.Y)
		} else {
			p.f("H%d", q.X)
		}
		last = q
	}
}

// name writes a net's name with its bar or arrow.
func (p *picture) name(n schematic.Name) {
	at := n.At
	switch n.Kind {
	case schematic.Flag:
		y := at.Y + 6*n.Toward.Y
		p.f(`<path class="wire" d="M%d %dV%d"/><path class="bar" d="M%d %dh16"/>`, at.X, at.Y, y, at.X-8, y)
	case schematic.Link:
		x0, x1 := n.Box.Min.X, n.Box.Max.X
		if n.Toward.X > 0 {
			p.f(`<path class="flag" d="M%d %dl5 -6H%dV%dH%dz"/>`, at.X, at.Y, x1, at.Y+6, at.X+5)
		} else {
			p.f(`<path class="flag" d="M%d %dl-5 -6H%dV%dH%dz"/>`, at.X, at.Y, x0, at.Y+6, at.X-5)
		}
	}
	p.line(n.Line, "")
	if p.o.Grades {
		p.underline(n.Line, string(p.s.Nets[n.Net].Grade))
	}
}

// line writes one line of text.
func (p *picture) line(l schematic.Line, class string) {
	p.f(`<text class="%s%s" x="%d" y="%d"%s>%s`, l.Kind, class, l.At.X, l.At.Y, anchorOf(l.Anchor), esc(l.Text))
	if l.Tail != "" {
		p.f(`<tspan class="value" dx="%d">%s</tspan>`, schematic.PairGap, esc(l.Tail))
	}
	p.f("</text>")
}

func anchorOf(a schematic.Anchor) string {
	if a == schematic.Start {
		return ""
	}
	return ` text-anchor="` + string(a) + `"`
}

// parts writes each part as a group: its symbol, its leads, its text.
func (p *picture) parts() {
	for i := range p.s.Symbols {
		s := &p.s.Symbols[i]
		class := "part"
		if s.Part == schematic.NoPart {
			class = string(s.Shape)
		}
		if p.walked(s.Ref, "") {
			class += " walked"
		}
		p.f(`<g class="%s" id="%s" data-name="%s"><title>%s</title>`, class, p.ids.symbol(i), esc(s.Ref), esc(p.partTitle(s)))
		p.symbol(s)
		for _, l := range s.Label {
			p.line(l, "")
		}
		p.f("</g>\n")
	}
}

func (p *picture) partTitle(s *schematic.Symbol) string {
	t := s.Title
	if s.Part == schematic.NoPart {
		return t
	}
	if r := p.o.Roles[s.Ref]; r != "" {
		t += "; " + r
	}
	if x, ok := p.o.Stress[s.Ref]; ok {
		t += "; " + x.Text
	}
	return t
}
