package layout

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// collect turns the grid's edges into polylines between ends, junctions and
// pins. What goes round without any of these is taken last.
func (d *drawing) collect(s *schematic.Sheet) {
	c := collector{d: d, pins: d.pinsAt()}
	c.taken = [2][]bool{make([]bool, len(d.g.level)), make([]bool, len(d.g.level))}
	for _, rings := range []bool{false, true} {
		for i := range d.g.level {
			for dir := range 2 {
				id := d.g.wireAt(i, dir)
				switch {
				case id <= 0 || c.taken[dir][i]:
				case c.stops(i, id) || rings:
					s.Wires = append(s.Wires, c.line(i, dir, id))
				case c.stops(d.g.step(i, dir), id):
					s.Wires = append(s.Wires, c.line(d.g.step(i, dir), dir^2, id))
				}
			}
		}
	}
	d.junctions(s, c.pins)
}

// collector follows wires.
type collector struct {
	d     *drawing
	pins  []int     // leads that end at each place
	taken [2][]bool // edges: level, upright
}

// stops reports whether a polyline ends at place i.
func (c *collector) stops(i int, id int32) bool { return c.d.g.degree(i, id) != 2 || c.pins[i] > 0 }

// line follows a wire from place i in direction dir to its end.
func (c *collector) line(i, dir int, id int32) schematic.Wire {
	g := c.d.g
	points := []schematic.Point{g.point(i)}
	for {
		c.taken[dir&1][g.edge(i, dir)] = true
		if i = g.step(i, dir); c.stops(i, id) {
			break
		}
		next := -1
		for k := range dirs {
			if k != dir^2 && g.wire(i, k) == id && !c.taken[k&1][g.edge(i, k)] {
				next = k
			}
		}
		if next < 0 {
			break
		}
		if next != dir {
			points = append(points, g.point(i))
		}
		dir = next
	}
	points = append(points, g.point(i))
	return schematic.Wire{Net: board.NetID(id - 1), Points: points, Power: c.d.onPower(points)}
}

// onPower reports whether every step of a wire is a piece of a line that
// carries the pack's current.
func (d *drawing) onPower(line []schematic.Point) bool {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		for dir := dirs[toward(a, b)]; a != b; {
			next := a.Add(schematic.Point{X: dir.X * schematic.Grid, Y: dir.Y * schematic.Grid})
			if !slices.ContainsFunc(d.rails, func(r rail) bool {
				box := schematic.R(r.a.X, r.a.Y, r.b.X, r.b.Y)
				return r.power && within(box, a) && within(box, next)
			}) {
				return false
			}
			a = next
		}
	}
	return true
}

func within(r schematic.Rect, p schematic.Point) bool {
	return p.X >= r.Min.X && p.X <= r.Max.X && p.Y >= r.Min.Y && p.Y <= r.Max.Y
}

func (g *grid) wireAt(i, dir int) int32 {
	if dir == 0 {
		return g.level[i]
	}
	return g.upward[i]
}

// pinsAt counts the leads that end at each place.
func (d *drawing) pinsAt() []int {
	pins := make([]int, len(d.g.level))
	for i := range d.symbols {
		for _, p := range d.symbols[i].Pins {
			pins[d.g.at(p.At)]++
		}
	}
	for i := range d.names {
		if d.names[i].Kind != schematic.Tag {
			pins[d.g.at(d.names[i].At)]++
		}
	}
	return pins
}

func (d *drawing) junctions(s *schematic.Sheet, pins []int) {
	for i := range d.g.level {
		seen := int32(0)
		for dir := range dirs {
			id := d.g.wire(i, dir)
			if id <= 0 || id == seen {
				continue
			}
			seen = id
			n := d.g.degree(i, id)
			if d.g.pin[i] == id {
				n += pins[i]
			}
			if n >= 3 {
				s.Junctions = append(s.Junctions, schematic.Junction{Net: board.NetID(id - 1), At: d.g.point(i)})
			}
		}
		if seen == 0 && pins[i] >= 3 && d.g.pin[i] > 0 {
			s.Junctions = append(s.Junctions, schematic.Junction{Net: board.NetID(d.g.pin[i] - 1), At: d.g.point(i)})
		}
	}
}
