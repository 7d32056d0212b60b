package layout

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// terminal is a place that a net must be brought to.
type terminal struct {
	at     schematic.Point
	area   int
	order  int
	symbol int // −1 for a name
}

// How far a wire may go, by what it costs. Longer ones become names.
const (
	localLimit  = 700 // in a slice
	commonLimit = 900
	railLimit   = 110 // from a part to a piece of its rail elsewhere
	pinLimit    = 34  // the same from an IC's pin, where a name reads better
)

// occupy enters everything that is placed into a fresh grid.
func (d *drawing) occupy(size schematic.Point) {
	g := newGrid(size)
	d.g = g
	for i := range d.symbols {
		s := &d.symbols[i]
		g.block(s.Body)
		for _, l := range s.Label {
			g.block(l.Box)
		}
		for _, p := range s.Pins {
			g.pin[g.at(p.At)] = pinOf(p.Net)
			g.lead[g.at(p.At)] = leadOf(p)
			g.block(leadRect(p))
		}
	}
	for i := range d.names {
		d.hold(&d.names[i].Name)
	}
	for _, t := range d.texts {
		g.block(t.Box)
	}
}

// pinOf is how the grid notes a pin: one without a net may not be touched.
func pinOf(n board.NetID) int32 {
	if n == board.NoNet {
		return taken
	}
	return int32(n) + 1
}

// leadRect is the lead of a pin but for its end, as something that lies there.
func leadRect(p schematic.Pin) schematic.Rect {
	l := leadOf(p)
	if l == noDir {
		return schematic.Rect{}
	}
	end := schematic.Point{X: p.At.X - dirs[l].X*schematic.Grid/2, Y: p.At.Y - dirs[l].Y*schematic.Grid/2}
	r := schematic.R(p.Root.X, p.Root.Y, end.X, end.Y)
	if l&1 == 0 {
		r.Min.Y, r.Max.Y = r.Min.Y-1, r.Max.Y+1
	} else {
		r.Min.X, r.Max.X = r.Min.X-1, r.Max.X+1
	}
	return r
}

// leadOf is the direction in which a pin's lead points.
func leadOf(p schematic.Pin) int8 {
	switch {
	case p.At.X > p.Root.X:
		return 0
	case p.At.Y > p.Root.Y:
		return 1
	case p.At.X < p.Root.X:
		return 2
	case p.At.Y < p.Root.Y:
		return 3
	}
	return noDir
}

func (d *drawing) hold(n *schematic.Name) {
	d.g.block(n.Box)
	if n.Kind == schematic.Tag {
		return
	}
	d.g.pin[d.g.at(n.At)] = pinOf(n.Net)
}

// terminals lists the places of each net.
func (d *drawing) terminals() [][]terminal {
	out := make([][]terminal, len(d.w.nets))
	add := func(n board.NetID, t terminal) {
		if n != board.NoNet {
			t.order = len(out[n])
			out[n] = append(out[n], t)
		}
	}
	for i := range d.symbols {
		for _, p := range d.symbols[i].Pins {
			add(p.Net, terminal{at: p.At, area: d.symbols[i].area, symbol: i})
		}
	}
	for i := range d.names {
		add(d.names[i].Net, terminal{at: d.names[i].At, area: d.names[i].area, symbol: -1})
	}
	return out
}

// wire draws all wires.
func (d *drawing) wire() {
	for _, r := range d.rails {
		d.g.lay(r.net, r.a, r.b)
	}
	terms := d.terminals()
	for _, b := range d.buses {
		d.layBus(b, terms[b.net])
	}
	for k := 1; k <= d.w.b.Cells; k++ {
		d.wireSlice(k, terms)
	}
	d.wireCommon(terms)
	for _, r := range d.rails {
		d.trim(r, terms[r.net])
	}
}

// layBus draws the upright line of a bus from its uppermost slice to the
// lowest place that it leads to.
func (d *drawing) layBus(b bus, terms []terminal) {
	top, bottom := far, 0
	for _, t := range terms {
		if t.area < 0 {
			continue
		}
		y := t.at.Y
		if t.area > 0 {
			top, bottom = min(top, d.railY[t.area]+supplyY), max(bottom, d.railY[t.area-1]-schematic.Grid)
			continue
		}
		top, bottom = min(top, y), max(bottom, y)
	}
	if b := d.railY[0] - schematic.Grid; bottom > b {
		bottom = b
	}
	if top >= bottom {
		return // what it would gather stands in the box
	}
	r := rail{b.net, schematic.Point{X: b.x, Y: up(top)}, schematic.Point{X: b.x, Y: bottom}, false}
	if d.g.lay(r.net, r.a, r.b) {
		d.rails = append(d.rails, r)
	}
}

// job is a piece of a net to be wired: terminals to bring together, and what
// is drawn of it already.
type job struct {
	net   board.NetID
	terms []terminal
	goal  map[int]bool
	span  int
	first int // number of the first symbol, to break ties as the board does
}

func newJob(n board.NetID, terms []terminal, goal map[int]bool) job {
	j := job{net: n, terms: terms, goal: goal, first: far}
	var r schematic.Rect
	for i, t := range terms {
		p := schematic.Rect{Min: t.at, Max: t.at.Add(schematic.Point{X: 1, Y: 1})}
		if i == 0 {
			r = p
		}
		r = r.Union(p)
		if t.symbol >= 0 {
			j.first = min(j.first, t.symbol)
		}
	}
	j.span = r.Max.X - r.Min.X + r.Max.Y - r.Min.Y
	return j
}

// reaching adds the way to what is drawn of the net already.
func (j job) reaching(g *grid) job {
	near := far
	for i := range j.goal {
		for _, t := range j.terms {
			p := g.point(i)
			near = min(near, abs(p.X-t.at.X)+abs(p.Y-t.at.Y))
		}
	}
	if near < far {
		j.span += near
	}
	return j
}

func sortJobs(jobs []job) {
	slices.SortStableFunc(jobs, func(a, b job) int {
		if a.span != b.span {
			return a.span - b.span
		}
		return a.first - b.first
	})
}

// wireSlice draws the wires of one slice: to its rails, within it, and out to
// the lines it shares.
func (d *drawing) wireSlice(k int, terms [][]terminal) {
	box := schematic.R(d.sliceX-2*schematic.Grid, d.railY[k], d.busEnd(), d.railY[k-1])
	win := d.g.windowOf(box)
	var rails, jobs, outs []job
	for n := range terms {
		var mine []terminal
		for _, t := range terms[n] {
			if t.area == k {
				mine = append(mine, t)
			}
		}
		if len(mine) == 0 {
			continue
		}
		id := board.NetID(n)
		switch tap := d.w.nets[n].tap; {
		case tap >= 0:
			if goal := d.railPlaces(id, k); len(goal) > 0 {
				for _, t := range mine {
					rails = append(rails, newJob(id, []terminal{t}, goal))
				}
			}
		case d.busX(id) > 0:
			goal := d.g.tree(id, schematic.Point{X: d.busX(id), Y: d.railY[k-1] - schematic.Grid})
			outs = append(outs, newJob(id, mine, goal))
		default:
			jobs = append(jobs, newJob(id, mine, nil))
		}
	}
	sortJobs(jobs)
	sortJobs(outs)
	slices.SortStableFunc(rails, func(a, b job) int { return a.first - b.first })
	for _, j := range slices.Concat(rails, jobs, outs) {
		d.run(j, win, localLimit)
	}
}

// railPlaces are the places of a tap's rails around slice k.
func (d *drawing) railPlaces(n board.NetID, k int) map[int]bool {
	goal := map[int]bool{}
	for _, tap := range []int{k, k - 1} {
		if d.w.taps[tap] == n {
			for i := range d.g.tree(n, schematic.Point{X: d.sliceX, Y: d.railY[tap]}) {
				goal[i] = true
			}
		}
	}
	return goal
}

func (d *drawing) busX(n board.NetID) int {
	for _, b := range d.buses {
		if b.net == n {
			return b.x
		}
	}
	return 0
}

// busEnd is the right end of what slices may use.
func (d *drawing) busEnd() int {
	end := d.sliceR
	for _, b := range d.buses {
		end = max(end, b.x)
	}
	return end
}

// run brings the terminals of a job together, each time the one that is
// nearest to what is drawn.
func (d *drawing) run(j job, win window, limit int) {
	goal := j.goal
	todo := slices.Clone(j.terms)
	if goal == nil {
		goal = d.g.tree(j.net, todo[0].at)
		todo = todo[1:]
	}
	for len(todo) > 0 {
		i := d.closest(todo, goal)
		t := todo[i]
		todo = slices.Delete(todo, i, i+1)
		if d.g.connect(j.net, t.at, goal, win, limit) {
			for p := range d.g.tree(j.net, t.at) {
				goal[p] = true
			}
		}
	}
}

func (d *drawing) closest(todo []terminal, goal map[int]bool) int {
	best, least := 0, far
	for i, t := range todo {
		x, y := t.at.X/schematic.Grid, t.at.Y/schematic.Grid
		for p := range goal {
			dist := abs(p%d.g.w-x) + abs(p/d.g.w-y)
			if dist < least {
				best, least = i, dist
			}
		}
	}
	return best
}

func abs(x int) int {
	if x < 0 {
		return -x
	}
	return x
}

// wireCommon draws the wires of what serves the whole board.
func (d *drawing) wireCommon(terms [][]terminal) {
	var jobs, rails []job
	for n := range terms {
		id := board.NetID(n)
		var mine []terminal
		for _, t := range terms[n] {
			if t.area == common {
				mine = append(mine, t)
			}
		}
		if len(mine) == 0 && !d.w.nets[n].bus {
			continue
		}
		switch {
		case d.w.nets[n].tap >= 0 || d.w.nets[n].power:
			for _, t := range mine {
				if t.symbol >= 0 && !d.flagged(t.at) {
					rails = append(rails, newJob(id, []terminal{t}, nil))
				}
			}
		case d.busX(id) > 0:
			goal := d.g.tree(id, schematic.Point{X: d.busX(id), Y: d.busAny(id)})
			jobs = append(jobs, newJob(id, mine, goal).reaching(d.g))
		default:
			if mine = append(mine, d.crossing(id, terms[n])...); len(mine) > 0 {
				jobs = append(jobs, newJob(id, mine, nil))
			}
		}
	}
	sortJobs(jobs)
	for _, j := range rails {
		t := j.terms[0]
		goal := d.drawn(j.net, t.at, terms[j.net])
		limit := railLimit
		switch s := &d.symbols[t.symbol]; {
		case s.Shape == schematic.IC:
			limit = pinLimit
		case s.Part >= 0 && d.w.parts[s.Part].power:
			if line := d.lineOf(j.net); len(line) > 0 && len(goal) > 0 {
				goal = line // it branches off the line itself
			}
			limit = commonLimit
		}
		if (len(goal) == 0 || !d.g.connect(j.net, t.at, goal, d.g.all(), limit)) && len(d.g.tree(j.net, t.at)) == 1 {
			d.nameAtPin(j.net, t) // now, while there is room
		}
	}
	for _, j := range jobs {
		if len(j.terms) == 1 && j.goal == nil && len(terms[j.net]) > 1 && j.terms[0].symbol >= 0 {
			d.nameAtPin(j.net, j.terms[0])
		}
	}
	for _, j := range jobs {
		d.run(j, d.g.all(), commonLimit)
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

// trim takes away the ends of a rail that lead nowhere.
func (d *drawing) trim(r rail, terms []terminal) {
	id := int32(r.net) + 1
	for _, end := range []schematic.Point{r.a, r.b} {
		at := d.g.at(end)
		for d.g.degree(at, id) == 1 && !slices.ContainsFunc(terms, func(t terminal) bool { return d.g.at(t.at) == at }) {
			for k := range dirs {
				if d.g.wire(at, k) == id {
					d.g.setWire(at, k, 0)
					at = d.g.step(at, k)
					break
				}
			}
		}
	}
}
