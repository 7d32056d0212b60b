package layout

import (
	"cupel/internal/board"
	"cupel/internal/schematic"
)

// grid knows what lies at every place of the sheet. Places are numbered row by
// row. An edge belongs to the place at its left or upper end.
//
// Nets are held as number + 1; 0 is nobody, taken is somebody no wire may
// touch.
type grid struct {
	w, h   int
	pin    []int32    // whose pin or name is at the place
	lead   []int8     // in which direction its lead points; noDir if in none
	level  []int32    // whose wire goes from the place to the right
	upward []int32    // whose wire goes from the place down
	wall   [2][]uint8 // what stands in the way of those edges: level, upright
	solid  []schematic.Rect
	buckets
}

const taken = -1

// dirs are the four directions: right, down, left, up. Even ones are level.
var dirs = [4]schematic.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}

func newGrid(size schematic.Point) *grid {
	w, h := size.X/schematic.Grid+1, size.Y/schematic.Grid+1
	n := w * h
	return &grid{
		w: w, h: h,
		pin: make([]int32, n), lead: leads(n), level: make([]int32, n), upward: make([]int32, n),
		wall: [2][]uint8{make([]uint8, n), make([]uint8, n)},
	}
}

func leads(n int) []int8 {
	l := make([]int8, n)
	for i := range l {
		l[i] = noDir
	}
	return l
}

func (g *grid) at(p schematic.Point) int { return p.Y/schematic.Grid*g.w + p.X/schematic.Grid }

func (g *grid) point(i int) schematic.Point {
	return schematic.Point{X: i % g.w * schematic.Grid, Y: i / g.w * schematic.Grid}
}

// has reports whether a point lies on the sheet, away from its rim.
func (g *grid) has(p schematic.Point) bool {
	return p.X > 0 && p.Y > 0 && p.X < (g.w-1)*schematic.Grid && p.Y < (g.h-1)*schematic.Grid
}

// edge returns the place that holds the edge leaving i in direction d.
func (g *grid) edge(i, d int) int {
	switch d {
	case 2:
		return i - 1
	case 3:
		return i - g.w
	}
	return i
}

func (g *grid) step(i, d int) int {
	switch d {
	case 0:
		return i + 1
	case 1:
		return i + g.w
	case 2:
		return i - 1
	}
	return i - g.w
}

// wire returns whose wire leaves i in direction d.
func (g *grid) wire(i, d int) int32 {
	e := g.edge(i, d)
	switch {
	case e < 0:
		return 0
	case d&1 == 0:
		return g.level[e]
	}
	return g.upward[e]
}

func (g *grid) setWire(i, d int, net int32) {
	if d&1 == 0 {
		g.level[g.edge(i, d)] = net
	} else {
		g.upward[g.edge(i, d)] = net
	}
}

func (g *grid) walled(i, d int) bool { return g.wall[d&1][g.edge(i, d)] > 0 }

// clearance is how far wires keep from texts and bodies.
const clearance = 2

// block makes r impassable for wires and remembers it for texts.
func (g *grid) block(r schematic.Rect) {
	if r.Empty() {
		return
	}
	g.solid = append(g.solid, r)
	g.fence(r, 1)
}

// fence counts a wall on every edge that enters r.
func (g *grid) fence(r schematic.Rect, by int) {
	r = r.Grow(clearance)
	const s = schematic.Grid
	for y := max(0, r.Min.Y/s-1); y <= min(g.h-1, r.Max.Y/s+1); y++ {
		for x := max(0, r.Min.X/s-1); x <= min(g.w-1, r.Max.X/s+1); x++ {
			p := schematic.Point{X: x * s, Y: y * s}
			if r.Cut(p, schematic.Point{X: p.X + s, Y: p.Y}) {
				g.wall[0][y*g.w+x] += uint8(by)
			}
			if r.Cut(p, schematic.Point{X: p.X, Y: p.Y + s}) {
				g.wall[1][y*g.w+x] += uint8(by)
			}
		}
	}
}

// lay draws a straight wire of a net between two points; it reports whether
// the way was free.
func (g *grid) lay(net board.NetID, a, b schematic.Point) bool {
	if a == b {
		return true
	}
	d := toward(a, b)
	id := int32(net) + 1
	for i, end := g.at(a), g.at(b); ; i = g.step(i, d) {
		if !g.passes(i, d, id) {
			return false
		}
		if i == end {
			break
		}
		if w := g.wire(i, d); g.walled(i, d) || w != 0 && w != id {
			return false
		}
	}
	for i, end := g.at(a), g.at(b); i != end; i = g.step(i, d) {
		g.setWire(i, d, id)
	}
	return true
}

func toward(a, b schematic.Point) int {
	switch {
	case b.X > a.X:
		return 0
	case b.Y > a.Y:
		return 1
	case b.X < a.X:
		return 2
	}
	return 3
}

// passes reports whether a wire of a net may go straight on in direction d at
// place i: nobody else ends, bends or runs there the same way.
func (g *grid) passes(i, d int, id int32) bool {
	if p := g.pin[i]; p != 0 && p != id {
		return false
	}
	for _, along := range []int{d, d ^ 2} {
		if w := g.wire(i, along); w != 0 && w != id {
			return false
		}
	}
	a, b := g.wire(i, d^1), g.wire(i, d^3)
	return a == b || (a == 0 || a == id) && (b == 0 || b == id)
}

// free reports whether a wire of a net may bend or end at place i.
func (g *grid) free(i int, id int32) bool {
	if p := g.pin[i]; p != 0 && p != id {
		return false
	}
	for d := range dirs {
		if w := g.wire(i, d); w != 0 && w != id {
			return false
		}
	}
	return true
}

// foreign reports whether another net's wire crosses direction d at place i.
func (g *grid) foreign(i, d int, id int32) bool {
	w := g.wire(i, d^1)
	return w != 0 && w != id
}

// degree counts the wires of a net at a place.
func (g *grid) degree(i int, id int32) int {
	n := 0
	for d := range dirs {
		if g.wire(i, d) == id {
			n++
		}
	}
	return n
}

// room reports whether nothing lies in r: no symbol, text, pin or wire.
func (g *grid) room(r schematic.Rect) bool {
	for _, s := range g.solid {
		if s.Overlaps(r) {
			return false
		}
	}
	return g.unwired(r)
}

// unwired reports whether no wire and no pin lies in r.
func (g *grid) unwired(r schematic.Rect) bool {
	const s = schematic.Grid
	if r.Min.X < s || r.Min.Y < s || r.Max.X > (g.w-2)*s || r.Max.Y > (g.h-2)*s {
		return false
	}
	r = r.Grow(clearance)
	for y := r.Min.Y/s - 1; y <= r.Max.Y/s+1; y++ {
		for x := r.Min.X/s - 1; x <= r.Max.X/s+1; x++ {
			if x < 0 || y < 0 || x >= g.w || y >= g.h {
				continue
			}
			i, p := y*g.w+x, schematic.Point{X: x * s, Y: y * s}
			if g.pin[i] != 0 && r.Min.X <= p.X && p.X < r.Max.X && r.Min.Y <= p.Y && p.Y < r.Max.Y ||
				g.level[i] != 0 && r.Cut(p, schematic.Point{X: p.X + s, Y: p.Y}) ||
				g.upward[i] != 0 && r.Cut(p, schematic.Point{X: p.X, Y: p.Y + s}) {
				return false
			}
		}
	}
	return true
}
