package layout

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// nameAll gives every piece of a net that is drawn in several pieces a name.
// It returns the parts at which there was no room for one.
func (d *drawing) nameAll() (crowded []int) {
	terms := d.terminals()
	for n := range terms {
		id := board.NetID(n)
		pieces := d.pieces(id, terms[n])
		for _, p := range pieces {
			if p.named || len(pieces) == 1 {
				continue
			}
			if !d.nameOf(id, p) {
				for _, t := range p.terms {
					if t.symbol >= 0 && d.symbols[t.symbol].Part >= 0 && t.area != spare {
						crowded = append(crowded, d.symbols[t.symbol].Part)
						break
					}
				}
			}
		}
	}
	return crowded
}

// piece is a part of a net whose wires hang together.
type piece struct {
	terms  []terminal
	places map[int]bool
	named  bool
}

func (d *drawing) pieces(n board.NetID, terms []terminal) []piece {
	var out []piece
	for _, t := range terms {
		at := d.g.at(t.at)
		found := false
		for i := range out {
			if out[i].places[at] {
				out[i].terms = append(out[i].terms, t)
				out[i].named = out[i].named || t.symbol < 0
				found = true
				break
			}
		}
		if !found {
			out = append(out, piece{[]terminal{t}, d.g.tree(n, t.at), t.symbol < 0})
		}
	}
	return out
}

// nameOf finds room for the name of a piece: over one of its wires, at a lone
// pin beyond it, at any of its places.
func (d *drawing) nameOf(n board.NetID, p piece) bool {
	if len(p.places) > 1 && d.tag(n, p.places, false) {
		return true
	}
	for _, t := range p.terms {
		if d.g.degree(d.g.at(t.at), int32(n)+1) == 0 && d.nameAtPin(n, t) {
			return true
		}
	}
	for _, t := range p.terms {
		if d.nameAtPin(n, t) {
			return true
		}
	}
	return d.tag(n, p.places, true)
}

// nameAtPin tries stubs from a pin in its own direction first.
func (d *drawing) nameAtPin(n board.NetID, t terminal) bool {
	first := d.outward(t)
	for _, turn := range []int{0, 1, 3, 2} {
		dir := (first + turn) & 3
		for steps := 0; steps <= 6; steps++ {
			if steps == 0 && turn != 0 {
				continue
			}
			at := schematic.Point{X: t.at.X + dirs[dir].X*steps*schematic.Grid, Y: t.at.Y + dirs[dir].Y*steps*schematic.Grid}
			if !d.g.has(at) {
				break
			}
			if d.tryName(n, t, at, dir) {
				return true
			}
		}
	}
	return false
}

// tryName puts a name at a place if there is room and a straight way to it.
func (d *drawing) tryName(n board.NetID, t terminal, at schematic.Point, dir int) bool {
	id := int32(n) + 1
	for _, way := range []int{dir, (dir + 1) & 3, (dir + 3) & 3} {
		if way != dir && at == t.at {
			continue
		}
		var name schematic.Name
		if way&1 == 0 {
			name = d.w.link(n, at, way == 0)
		} else {
			name = d.w.flag(n, at, way == 3)
		}
		if !d.g.free(d.g.at(at), id) || d.g.degree(d.g.at(at), id) > 1 || !d.g.room(name.Box) {
			continue
		}
		if !d.clear(n, t.at, at, name.Box) {
			continue
		}
		d.g.lay(n, t.at, at)
		d.names = append(d.names, nameAt{name, t.area})
		d.hold(&name)
		return true
	}
	return false
}

// clear reports whether a straight wire fits between two points and stays out
// of the box.
func (d *drawing) clear(n board.NetID, a, b schematic.Point, box schematic.Rect) bool {
	if a == b {
		return true
	}
	id := int32(n) + 1
	dir := toward(a, b)
	for i, end := d.g.at(a), d.g.at(b); i != end; i = d.g.step(i, dir) {
		if d.g.walled(i, dir) || !d.g.passes(i, dir, id) || d.g.wire(i, dir) != 0 || i != d.g.at(a) && d.g.foreign(i, dir, id) {
			return false
		}
	}
	return d.g.free(d.g.at(b), id) && !box.Cut(a, b)
}

// outward is the direction in which a pin's lead points.
func (d *drawing) outward(t terminal) int {
	if t.symbol < 0 {
		return 0
	}
	for _, p := range d.symbols[t.symbol].Pins {
		if l := leadOf(p); p.At == t.at && l != noDir {
			return int(l)
		}
	}
	return 0
}

// run is a level stretch of a net's wire.
type run struct{ from, length int } // place at the left, in units

// runs lists the level stretches of a piece, the longest first.
func (d *drawing) runs(n board.NetID, places map[int]bool) []run {
	id := int32(n) + 1
	var out []run
	for i := range places {
		if d.g.level[i] != id || i > 0 && d.g.level[i-1] == id {
			continue
		}
		r := run{from: i}
		for j := i; d.g.level[j] == id; j++ {
			r.length += schematic.Grid
		}
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b run) int {
		if a.length != b.length {
			return b.length - a.length
		}
		return a.from - b.from
	})
	return out
}

// tag writes the name over one of a net's level wires, where it is long enough
// and nothing is in the way; where it must, it may be longer than the wire.
func (d *drawing) tag(n board.NetID, places map[int]bool, must bool) bool {
	width := schematic.WidthOf(d.w.b.Nets[n].Name, schematic.NetText)
	for _, space := range []int{4, 1} {
		for _, r := range d.runs(n, places) {
			spare := r.length - width - 4
			if spare < 0 && !must {
				continue
			}
			for x := 0; x <= max(0, spare); x += schematic.Grid {
				for _, y := range []int{-4, 10} {
					if d.tagAt(n, d.g.point(r.from), schematic.Point{X: x + 2, Y: y}, space) {
						return true
					}
				}
			}
		}
	}
	return false
}

func (d *drawing) tagAt(n board.NetID, at, by schematic.Point, space int) bool {
	line := schematic.NewLine(d.w.b.Nets[n].Name, schematic.NetText, at.Add(by), schematic.Start)
	// On the side of its own wire it keeps the distance it was given.
	beside := line.Box.Grow(space)
	if by.Y < 0 {
		beside.Max.Y = line.Box.Max.Y
	} else {
		beside.Min.Y = line.Box.Min.Y
	}
	if !d.g.room(beside) {
		return false
	}
	at.X += by.X / schematic.Grid * schematic.Grid
	name := schematic.Name{Net: n, Kind: schematic.Tag, At: at, Toward: schematic.Point{Y: -1}, Line: line, Box: line.Box}
	if by.Y > 0 {
		name.Toward.Y = 1
	}
	d.names = append(d.names, nameAt{name, rim})
	d.g.block(name.Box)
	return true
}

// railNames writes the names of the rails at their left ends.
func (d *drawing) railNames() {
	for k, n := range d.w.taps {
		if n == board.NoNet {
			continue
		}
		at := schematic.Point{X: padX, Y: d.railY[k]}
		line := schematic.NewLine(d.w.b.Nets[n].Name, schematic.NetText, at.Add(schematic.Point{X: 6, Y: -4}), schematic.Start)
		d.names = append(d.names, nameAt{schematic.Name{Net: n, Kind: schematic.Tag, At: at, Toward: schematic.Point{Y: -1}, Line: line, Box: line.Box}, rim})
	}
}

// nameRest writes the names of all other nets that have room for it.
func (d *drawing) nameRest() {
	terms := d.terminals()
	for n := range terms {
		for _, p := range d.pieces(board.NetID(n), terms[n]) {
			if !p.named && len(p.places) > 1 && d.tag(board.NetID(n), p.places, false) {
				break
			}
		}
	}
}
