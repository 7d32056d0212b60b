package layout

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// collect turns the grid's edges into polylines between ends, junctions and
// pins.
func (d *drawing) collect(s *schematic.Sheet) {
	pins := d.pinsAt()
	visited := [2][]bool{make([]bool, len(d.g.level)), make([]bool, len(d.g.level))}
	stop := func(i int, id int32) bool {
		n := d.g.degree(i, id)
		return n != 2 || pins[i] > 0
	}
	walk := func(i, dir int, id int32) {
		line := []schematic.Point{d.g.point(i)}
		for {
			visited[dir&1][d.g.edge(i, dir)] = true
			i = d.g.step(i, dir)
			if stop(i, id) {
				break
			}
			next := -1
			for k := range dirs {
				if k != dir^2 && d.g.wire(i, k) == id && !visited[k&1][d.g.edge(i, k)] {
					next = k
				}
			}
			if next < 0 {
				break
			}
			if next != dir {
				line = append(line, d.g.point(i))
			}
			dir = next
		}
		line = append(line, d.g.point(i))
		s.Wires = append(s.Wires, schematic.Wire{Net: board.NetID(id - 1), Points: line, Power: d.onPower(line)})
	}
	for pass := range 2 {
		for i := range d.g.level {
			for dir := range 2 {
				id := d.g.wireAt(i, dir)
				if id <= 0 || visited[dir][i] {
					continue
				}
				switch {
				case stop(i, id):
					walk(i, dir, id)
				case pass == 0 && stop(d.g.step(i, dir), id):
					walk(d.g.step(i, dir), dir^2, id)
				case pass == 1:
					walk(i, dir, id)
				}
			}
		}
	}
	d.junctions(s, pins)
}

// onPower reports whether a wire is a piece of a line that carries the pack's
// current.
func (d *drawing) onPower(line []schematic.Point) bool {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		if !slices.ContainsFunc(d.rails, func(r rail) bool {
			box := schematic.R(r.a.X, r.a.Y, r.b.X, r.b.Y)
			return r.power && (a.X == b.X) == (r.a.X == r.b.X) && within(box, a) && within(box, b)
		}) {
			return false
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
