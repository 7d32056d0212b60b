package layout

import (
	"cupel/internal/board"
	"cupel/internal/schematic"
)

// busLines chooses a place for each net that leads from slices to what they
// share.
func (d *drawing) busLines(x int) int {
	for n := range d.w.nets {
		if d.w.nets[n].bus && d.gathers(board.NetID(n)) {
			d.buses = append(d.buses, bus{board.NetID(n), x})
			x += busPitch
		}
	}
	return x + schematic.Grid
}

// gathers reports whether a net leads from slices to something outside them,
// or joins more than two. What joins two neighbours goes straight from one to
// the other.
func (d *drawing) gathers(n board.NetID) bool {
	var cells []int
	outside := false
	d.w.each(n, func(p *part, _ int) {
		cells = include(cells, p.cell)
		outside = outside || p.cell == 0
	})
	return len(cells) > 2 || len(cells) > 0 && outside
}

// commonParts puts the power paths along the bottom and the top, and the
// chains of stages between them.
func (d *drawing) commonParts(x int, low, high []*track, bands []*lane) {
	d.right = x
	xs := map[board.NetID]int{d.w.taps[0]: x, d.w.taps[d.w.b.Cells]: x}
	reach := d.driversEnd(x, bands)
	ceiling := d.tracks(low, d.railY[0], x, reach, xs)
	d.tracks(high, d.topY, x, reach, xs)
	for _, l := range bands {
		above, below := l.reach()
		y := (ceiling - below - gap) / schematic.Grid * schematic.Grid
		for d.meetsExit(y) {
			y -= schematic.Grid
		}
		at, end := pack(l.cols, x+gap)
		d.lane(l.cols, at, y, common)
		ceiling = y + above
		d.right = max(d.right, end)
	}
	d.right = up(d.right + gap)
	d.ends(low)
	d.ends(high)
}

// tracks puts the power paths of one side: the first at height y, each other
// under the one before, where it branches off. It returns how far the first
// reaches up.
func (d *drawing) tracks(all []*track, y, x int, reach, xs map[board.NetID]int) int {
	next, ceiling := y, y
	for _, t := range all {
		t.hold(reach)
		above, below := t.reach()
		from := x
		if t.branch {
			y = up(next - above + 2*gap)
			if b, ok := xs[t.nets[0]]; ok {
				from = b + gap
			}
		} else {
			ceiling = y + above
		}
		at, end := pack(t.cols, from+gap)
		d.track(t, at, y, xs)
		next = max(next, y+below)
		d.right = max(d.right, end)
	}
	return ceiling
}

// driversEnd tells for each net that a chain of stages drives how far to the
// right that chain reaches: what it drives stands behind it.
func (d *drawing) driversEnd(x int, bands []*lane) map[board.NetID]int {
	reach := map[board.NetID]int{}
	for _, l := range bands {
		at, end := pack(l.cols, x+gap)
		if n := l.drives; n != board.NoNet && len(at) > 0 {
			reach[n] = end - gap
		}
	}
	return reach
}

// meetsExit reports whether a slice leaves to a shared line at height y, so that
// a chain there would make a junction of four ends.
func (d *drawing) meetsExit(y int) bool {
	for i := range d.symbols {
		if d.symbols[i].area <= 0 {
			continue
		}
		for _, p := range d.symbols[i].Pins {
			if p.At.Y == y && d.busX(p.Net) > 0 {
				return true
			}
		}
	}
	return false
}

// track puts a power path at height y and lays its line between the parts.
func (d *drawing) track(t *track, at []int, y int, xs map[board.NetID]int) {
	d.lane(t.cols, at, y, common)
	from := schematic.Point{X: padX, Y: y}
	if t.branch {
		from.X = xs[t.nets[0]]
		from.Y = y
	}
	for h, e := range t.elements {
		by := schematic.Point{X: at[e.col], Y: y}
		if h > 0 || !t.branch {
			d.rails = append(d.rails, rail{t.nets[h], from, e.left.Add(by), true})
		}
		from = e.right.Add(by)
		if _, ok := xs[t.nets[h+1]]; !ok {
			xs[t.nets[h+1]] = from.X
		}
	}
	t.end = from
}

// ends lays the last piece of each line, to its port.
func (d *drawing) ends(tracks []*track) {
	for _, t := range tracks {
		at := schematic.Point{X: d.right, Y: t.end.Y}
		n := t.nets[len(t.nets)-1]
		if t.branch && len(t.elements) == 0 {
			continue
		}
		d.rails = append(d.rails, rail{n, t.end, at, true})
		d.pad(t.pad, n, at, true)
	}
}

// tapRails lays the rails of the taps through the slices.
func (d *drawing) tapRails(towers []*tower) {
	n := d.w.b.Cells
	for k, net := range d.w.taps {
		if net == board.NoNet {
			continue
		}
		y := d.railY[k]
		at := schematic.Point{X: padX, Y: y}
		d.rails = append(d.rails, rail{net, at, schematic.Point{X: d.railEnd(k, towers), Y: y}, false})
		if k == n && d.topY != y {
			d.rails = append(d.rails, rail{net, at, schematic.Point{X: padX, Y: d.topY}, true})
			d.rails = append(d.rails, rail{net, schematic.Point{X: padX, Y: d.topY}, schematic.Point{X: d.sliceR, Y: d.topY}, false})
		}
	}
}

// railEnd is how far to the right the rail of tap k goes: past the slices, but
// no further than a sense resistor in line with it.
func (d *drawing) railEnd(k int, towers []*tower) int {
	end := d.sliceR - schematic.Grid
	for i := range d.symbols {
		s := &d.symbols[i]
		if s.area != k || s.area == 0 {
			continue
		}
		for _, p := range s.Pins {
			if s.Role == "sense" && p.Net == d.w.taps[k] {
				end = min(end, p.At.X)
			}
		}
	}
	for _, t := range towers {
		for i := range t.st.p.Pins {
			if c := t.st.p.cellAt(i); c > 0 && t.low+c == k && t.st.p.nets[i] == d.w.taps[k] {
				end = d.sliceR - boxLead
			}
		}
	}
	return end
}

// senseRails lays the straight lines from the sense resistors to the towers.
func (d *drawing) senseRails(towers []*tower) {
	for _, t := range towers {
		for i := range t.st.p.Pins {
			c := t.st.p.cellAt(i)
			n := t.st.p.nets[i]
			if c == 0 || n == board.NoNet {
				continue
			}
			to := schematic.Point{X: d.sliceR - boxLead, Y: d.railY[t.low+c]}
			for k := range d.symbols {
				s := &d.symbols[k]
				if s.area != t.low+c || s.Role != "sense" {
					continue
				}
				for _, q := range s.Pins {
					if q.Net == n {
						d.rails = append(d.rails, rail{n, q.At, to, false})
					}
				}
			}
		}
	}
}
