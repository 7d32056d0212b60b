package layout

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// wireCommon draws the wires of what serves the whole board: first to the
// rails, then between the parts, the shortest first.
func (d *drawing) wireCommon(terms [][]terminal) {
	var jobs []job
	for n := range terms {
		id := board.NetID(n)
		var mine []terminal
		for _, t := range terms[n] {
			if t.area == common && !(d.w.anchored(id) && d.flagged(t.at) && hasPin(terms[n], t.at)) {
				mine = append(mine, t)
			}
		}
		switch {
		case d.w.nets[n].tap >= 0 || d.w.nets[n].power:
			for _, t := range mine {
				if t.symbol >= 0 {
					d.toRail(id, t, terms[n])
				}
			}
		case d.busX(id) > 0 && len(mine) > 0:
			goal := d.g.tree(id, schematic.Point{X: d.busX(id), Y: d.busAny(id)})
			jobs = append(jobs, newJob(id, mine, goal).reaching(d.g))
		case len(mine) > 0 || d.w.nets[n].bus:
			if mine = append(mine, d.crossing(id, terms[n])...); len(mine) > 0 {
				jobs = append(jobs, newJob(id, mine, nil))
			}
		}
	}
	sortJobs(jobs)
	for _, j := range jobs {
		if len(j.terms) == 1 && j.goal == nil && len(terms[j.net]) > 1 && j.terms[0].symbol >= 0 {
			d.nameAtPin(j.net, j.terms[0]) // now, while there is room
		}
	}
	for _, j := range jobs {
		d.run(j, d.g.all(), commonLimit)
	}
}

// toRail brings a pin to what is drawn of its rail, or names it.
func (d *drawing) toRail(n board.NetID, t terminal, terms []terminal) {
	goal := d.drawn(n, t.at, terms)
	limit := railLimit
	switch s := &d.symbols[t.symbol]; {
	case s.Shape == schematic.IC:
		limit = pinLimit
	case s.Part >= 0 && d.w.parts[s.Part].power:
		if line := d.lineOf(n); len(line) > 0 && len(goal) > 0 {
			goal = line // it branches off the line itself
		}
		limit = commonLimit
	}
	switch {
	case len(goal) > 0 && d.g.connect(n, t.at, goal, d.g.all(), limit):
		if limit == commonLimit {
			d.thicken(n, t.at, goal)
		}
	case len(d.g.tree(n, t.at)) == 1:
		d.nameAtPin(n, t)
	}
}

// thicken makes the wire from a point to the line it branches off part of the
// power path.
func (d *drawing) thicken(n board.NetID, from schematic.Point, goal map[int]bool) {
	id := int32(n) + 1
	dir := noDir
	for i := d.g.at(from); !goal[i]; {
		next := noDir
		for k := range dirs {
			if d.g.wire(i, k) == id && (dir == noDir || k != dir^2) {
				next = k
			}
		}
		if next == noDir {
			return
		}
		j := d.g.step(i, next)
		d.rails = append(d.rails, rail{n, d.g.point(i), d.g.point(j), true})
		i, dir = j, next
	}
}

// lineOf are the places of the power path that a net is part of.
func (d *drawing) lineOf(n board.NetID) map[int]bool {
	goal := map[int]bool{}
	for _, r := range d.rails {
		if r.power && r.net == n {
			for i := range d.g.tree(n, r.a) {
				goal[i] = true
			}
		}
	}
	return goal
}

// hasPin reports whether a symbol's pin is at a place.
func hasPin(terms []terminal, at schematic.Point) bool {
	return slices.ContainsFunc(terms, func(t terminal) bool { return t.at == at && t.symbol >= 0 })
}

// flagged reports whether a name stands at a place.
func (d *drawing) flagged(at schematic.Point) bool {
	return slices.ContainsFunc(d.names, func(n nameAt) bool { return n.At == at && n.Kind != schematic.Tag })
}

// busAny is a height at which the bus of a net is drawn.
func (d *drawing) busAny(n board.NetID) int {
	x := d.busX(n)
	for y := d.topY; y < d.railY[0]; y += schematic.Grid {
		if d.g.degree(d.g.at(schematic.Point{X: x, Y: y}), int32(n)+1) > 0 {
			return y
		}
	}
	return d.railY[0] - schematic.Grid
}

// crossing are the ends of a net in slices, where it is one that goes straight
// on from there: to a stack protector beside them, or to the slice next to it.
func (d *drawing) crossing(n board.NetID, terms []terminal) []terminal {
	if !d.w.sensed(n) && !d.w.nets[n].bus {
		return nil
	}
	var out []terminal
	for _, t := range terms {
		if t.area > 0 {
			out = append(out, t)
		}
	}
	return out
}

// drawn are all places that wires, flags and rails of a net take, but not what
// is joined to a point already.
func (d *drawing) drawn(n board.NetID, from schematic.Point, terms []terminal) map[int]bool {
	goal := map[int]bool{}
	own := d.g.tree(n, from)
	if len(own) > 1 {
		return nil
	}
	for _, t := range terms {
		if t.at == from || t.area == spare {
			continue
		}
		tree := d.g.tree(n, t.at)
		if t.symbol < 0 || len(tree) > 1 {
			for i := range tree {
				goal[i] = true
			}
		}
	}
	return goal
}
