package layout

import (
	"maps"
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
					rails = append(rails, newJob(id, []terminal{t}, maps.Clone(goal)))
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
