// Package layout decides where the symbols and wires of a sheet go.
//
// # How
//
// The board is taken apart by structure, never by name. The power paths are
// found first; then the slice of each cell grows from the ICs that see it;
// what several slices lead to is a line that they share. Every passive goes to
// the pin it serves, so that a transistor with its base resistors becomes one
// stage, and stages that drive each other a chain.
//
// Then it is drawn: the taps as rails above each other, each slice between its
// two, in columns that all slices share; the shared lines upright at their
// right; the chains that they drive beside them; the power path along the
// bottom, B− to P− in one straight line. What fits into none of this stands in
// a box of its own.
//
// Wires are searched for on a grid, where a crossing costs more than a bend and
// a bend more than a detour. A wire that finds no way, or would be too long,
// becomes two names. So nothing can lie on anything: where there is no room
// even for a name, the part moves to the box, and the sheet is made again.
//
// # Trade-offs
//
// Places come from the order of the board's text where nothing else decides,
// so that a part more or a new name moves its neighbours and no one else.
package layout

import (
	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/schematic"
)

// mostTries bounds how often the sheet is made again with more parts in the
// box.
const mostTries = 12

// Lay lays out the sheet of a board.
func Lay(b *board.Board, sheet func(name string) (*catalog.Sheet, bool)) (*schematic.Sheet, schematic.Stats) {
	var apart []int
	for try := 0; ; try++ {
		d := draft(b, sheet, apart)
		crowded := d.collisions()
		if len(crowded) == 0 || try == mostTries {
			d.occupy(d.size())
			d.wire()
			crowded = d.nameAll()
		}
		if len(crowded) == 0 || try == mostTries {
			d.nameRest()
			s := d.sheet()
			return s, s.Count()
		}
		apart = append(apart, crowded...)
	}
}

// draft puts everything at its place; the parts apart go to the box.
func draft(b *board.Board, sheet func(string) (*catalog.Sheet, bool), apart []int) *drawing {
	w := newWork(b, sheet, apart)
	w.powerPaths()
	w.supplies()
	w.own()
	w.exports()
	w.stages()
	d := &drawing{w: w}
	d.compose()
	return d
}

// size is the sheet around everything that is placed.
func (d *drawing) size() schematic.Point {
	p := schematic.Point{X: d.right + 80, Y: d.lowest + 40}
	for i := range d.symbols {
		r := extent(&d.symbols[i].Symbol)
		p.X, p.Y = max(p.X, r.Max.X+marginX), max(p.Y, r.Max.Y+marginX)
	}
	for i := range d.names {
		p.X, p.Y = max(p.X, d.names[i].Box.Max.X+marginX), max(p.Y, d.names[i].Box.Max.Y+marginX)
	}
	return schematic.Point{X: up(p.X), Y: up(p.Y)}
}

// sheet hands over what was drawn.
func (d *drawing) sheet() *schematic.Sheet {
	b := d.w.b
	s := &schematic.Sheet{Name: b.Name, Title: b.Title, Cells: b.Cells, Size: schematic.Point{X: (d.g.w - 1) * schematic.Grid, Y: (d.g.h - 1) * schematic.Grid}, Boxes: d.boxes}
	for i := range b.Nets {
		s.Nets = append(s.Nets, schematic.Net{Name: b.Nets[i].Name, Grade: b.Nets[i].Grade})
	}
	for i := range d.symbols {
		s.Symbols = append(s.Symbols, d.symbols[i].Symbol)
	}
	for i := range d.names {
		s.Names = append(s.Names, d.names[i].Name)
	}
	for _, t := range d.texts {
		s.Texts = append(s.Texts, schematic.Text{Line: t})
	}
	d.collect(s)
	return s
}

// headings names the sheet.
func (d *drawing) headings() {
	b := d.w.b
	d.texts = append(d.texts, schematic.NewPair(b.Name, b.Title, schematic.TitleText, schematic.Point{X: marginX, Y: titleY}, schematic.Start))
	for _, x := range d.boxes {
		d.texts = append(d.texts, schematic.NewLine(x.Heading, schematic.HeadingText, schematic.Point{X: x.Rect.Min.X + 8, Y: x.Rect.Min.Y + 15}, schematic.Start))
	}
}
