package layout

import (
	"strings"

	"cupel/internal/schematic"
)

// The sides of a box.
const (
	left = iota
	top
	right
	bottom
)

// box is the outline of an IC.
type box struct {
	topLead          int   // of pins at the top; boxLead where 0
	top, first, step int   // its upper edge, its first pin at a side, the distance between pins
	sides            []int // by pin
	places           []int // by pin: along its side; filled in by measure where nil
	body             schematic.Rect
	text             []string
}

// side lists the pins at a side, in order.
func (b *box) side(s int) []int {
	var out []int
	for k, at := range b.sides {
		if at == s {
			out = append(out, k)
		}
	}
	return out
}

const (
	boxLead   = 10 // from the edge to where wires attach
	boxMargin = 8
)

// measure gives the box its size: as wide as its pins at top and bottom and
// its text between the names at the sides need.
func (b *box) measure(w *work, p *part) {
	b.text = wrapped(p.Sheet, 14)
	inner := schematic.WidthOf(p.Ref, schematic.RefText)
	for _, t := range b.text {
		inner = max(inner, schematic.WidthOf(t, schematic.ValueText))
	}
	names := func(s int) int {
		n := 0
		for _, k := range b.side(s) {
			n = max(n, schematic.WidthOf(p.Pins[k].Name, schematic.PinText)+6)
		}
		return n
	}
	width := up(max(inner+names(left)+names(right)+boxMargin, pinPitch*(1+max(len(b.side(top)), len(b.side(bottom))))))
	tall := max(len(b.side(left)), len(b.side(right)), 1)
	height := max(b.first-b.top+(tall-1)*b.step+20, 20+schematic.LineHeight*(len(b.text)+3))
	b.body = schematic.R(-width/2/10*10, b.top, width-width/2/10*10, b.top+up(height))
	if b.places == nil {
		b.place()
	}
}

const pinPitch = 30

func (b *box) place() {
	b.places = make([]int, len(b.sides))
	for _, s := range []int{left, right} {
		for i, k := range b.side(s) {
			b.places[k] = b.first + i*b.step
		}
	}
	for _, s := range []int{top, bottom} {
		for i, k := range b.side(s) {
			b.places[k] = b.body.Min.X + pinPitch*(i+1)
		}
	}
}

// pinAt is where a pin's wire attaches, and where its lead leaves the box.
func (b *box) pinAt(k int) (at, root schematic.Point) {
	switch b.sides[k] {
	case left:
		root = schematic.Point{X: b.body.Min.X, Y: b.places[k]}
		return root.Add(schematic.Point{X: -boxLead}), root
	case right:
		root = schematic.Point{X: b.body.Max.X, Y: b.places[k]}
		return root.Add(schematic.Point{X: boxLead}), root
	case top:
		root = schematic.Point{X: b.places[k], Y: b.body.Min.Y}
		return root.Add(schematic.Point{Y: -max(boxLead, b.topLead)}), root
	}
	root = schematic.Point{X: b.places[k], Y: b.body.Max.Y}
	return root.Add(schematic.Point{Y: boxLead}), root
}

// nameOf is the name of a pin, inside the box.
func (b *box) nameOf(k int, name string) schematic.Line {
	_, at := b.pinAt(k)
	a := schematic.Middle
	switch b.sides[k] {
	case left:
		at, a = at.Add(schematic.Point{X: 4, Y: 3}), schematic.Start
	case right:
		at, a = at.Add(schematic.Point{X: -4, Y: 3}), schematic.End
	case top:
		at.Y += 10
	default:
		at.Y -= 5
	}
	return schematic.NewLine(name, schematic.PinText, at, a)
}

// boxSymbol draws an IC as a box.
func (w *work) boxSymbol(p *part, b box) schematic.Symbol {
	s := schematic.Symbol{Ref: p.Ref, Title: w.title(p), Part: p.index, Cell: p.cell, Shape: schematic.IC, Body: b.body}
	for k := range p.Pins {
		at, root := b.pinAt(k)
		s.Pins = append(s.Pins, schematic.Pin{Name: p.Pins[k].Name, Net: p.nets[k], At: at, Root: root, Text: b.nameOf(k, p.Pins[k].Name)})
	}
	names := func(side int) int {
		n := 0
		for _, k := range b.side(side) {
			n = max(n, schematic.WidthOf(p.Pins[k].Name, schematic.PinText)+4)
		}
		return n
	}
	at := schematic.Point{X: (b.body.Min.X + names(left) + b.body.Max.X - names(right)) / 2}
	at.Y = (b.body.Min.Y+b.body.Max.Y)/2 + 3 - len(b.text)*schematic.LineHeight/2
	s.Label = stack(at, schematic.Middle, p.Ref, b.text)
	return s
}

// wrapped splits a name at hyphens into lines of at most so many letters.
func wrapped(s string, most int) []string {
	if s == "" {
		return nil
	}
	var lines []string
	for _, piece := range strings.SplitAfter(s, "-") {
		if n := len(lines); n > 0 && len(lines[n-1])+len(strings.TrimSuffix(piece, "-")) <= most {
			lines[n-1] += piece
			continue
		}
		lines = append(lines, piece)
	}
	return lines
}
