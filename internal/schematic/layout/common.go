package layout

import (
	"strings"

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
	ceiling := d.railY[0]
	branchY := d.railY[0]
	xs := map[board.NetID]int{d.w.taps[0]: x, d.w.taps[d.w.b.Cells]: x}
	reach := d.driversEnd(x, bands)
	for _, t := range low {
		t.hold(reach)
		at, end := pack(t.cols, x+gap)
		y := d.railY[0]
		if t.branch {
			above, _ := t.reach()
			y = up(branchY - above + 2*gap)
			if from, ok := xs[t.nets[0]]; ok {
				at, end = pack(t.cols, from+2*gap)
			}
		}
		d.track(t, at, y, xs)
		above, below := t.reach()
		if !t.branch {
			ceiling = min(ceiling, y+above)
		}
		branchY = max(branchY, y+below)
		d.right = max(d.right, end)
	}
	roofY := d.topY
	for _, t := range high {
		at, end := pack(t.cols, x+gap)
		y := d.topY
		above, below := t.reach()
		if t.branch {
			y = up(roofY - above + 2*gap)
			if from, ok := xs[t.nets[0]]; ok {
				at, end = pack(t.cols, from+2*gap)
			}
		}
		d.track(t, at, y, xs)
		roofY = max(roofY, y+below)
		d.right = max(d.right, end)
	}
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

// pad draws a terminal of the board with its name outside.
func (d *drawing) pad(name string, n board.NetID, at schematic.Point, right bool) {
	o, _ := schematic.OutlineOf(schematic.Pad)
	text, turn := schematic.Point{X: at.X - 3, Y: at.Y - 9}, schematic.Turn{}
	anchor := schematic.End
	if right {
		text = schematic.Point{X: at.X + 17, Y: at.Y + 4}
		turn, anchor = firstRight, schematic.Start
	}
	d.symbols = append(d.symbols, placed{schematic.Symbol{
		Ref: name, Title: "pad " + name + ", net " + d.w.b.Nets[n].Name, Part: schematic.NoPart, Shape: schematic.Pad,
		At: at, Turn: turn, Body: turn.Rect(o.Body).Add(at), Pins: []schematic.Pin{{Net: n, At: at, Root: turn.Point(schematic.Point{X: o.Body.Max.X}).Add(at)}},
		Label: []schematic.Line{schematic.NewLine(printable(name), schematic.HeadingText, text, anchor)},
	}, rim})
}

// printable writes a pad's name with a real minus sign.
func printable(name string) string {
	if len(name) > 1 && name[len(name)-1] == '-' {
		return name[:len(name)-1] + "−"
	}
	return name
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
		for i, pin := range t.st.p.Pins {
			if c := senseCell(pin.Name); c > 0 && t.low+c == k && t.st.p.nets[i] == d.w.taps[k] {
				end = d.sliceR - boxLead
			}
		}
	}
	return end
}

// senseRails lays the straight lines from the sense resistors to the towers.
func (d *drawing) senseRails(towers []*tower) {
	for _, t := range towers {
		for i, pin := range t.st.p.Pins {
			c := senseCell(pin.Name)
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

// pads draws the taps' pads and cells at the left, the ports at the right, and
// all other pads in a list.
func (d *drawing) pads() {
	drawn := map[string]bool{}
	for i := range d.symbols {
		if d.symbols[i].Shape == schematic.Pad {
			drawn[d.symbols[i].Ref] = true
		}
	}
	b := d.w.b
	for _, p := range b.Pads {
		if drawn[p.Name] || p.Net == board.NoNet {
			continue
		}
		if k := d.w.nets[p.Net].tap; k >= 0 && isTapPad(b, p.Name, k) {
			d.pad(p.Name, p.Net, schematic.Point{X: padX, Y: d.railY[k]}, false)
			drawn[p.Name] = true
		}
	}
	top := schematic.Point{X: d.right, Y: d.topY}
	for _, name := range []string{"P+", "C+"} {
		if p, ok := b.Pad(name); ok && !drawn[name] && p.Net == d.w.taps[b.Cells] && p.Net != board.NoNet {
			d.rails = append(d.rails, rail{p.Net, schematic.Point{X: padX, Y: d.topY}, top, true})
			d.pad(name, p.Net, top, true)
			drawn[name] = true
			break
		}
	}
	d.cells()
	d.otherPads(drawn)
}

func isTapPad(b *board.Board, name string, k int) bool {
	switch name {
	case "B-":
		return k == 0
	case "B+":
		return k == b.Cells
	}
	return strings.HasPrefix(name, "T") && numbered(name, "T") == k
}

// otherPads lists the pads that have no place of their own under the left edge.
func (d *drawing) otherPads(drawn map[string]bool) {
	y := d.lowest + 40
	for _, p := range d.w.b.Pads {
		if drawn[p.Name] || p.Net == board.NoNet {
			continue
		}
		at := schematic.Point{X: padX, Y: up(y)}
		d.pad(p.Name, p.Net, at, false)
		l := &d.symbols[len(d.symbols)-1].Label[0]
		*l = l.Moved(schematic.Point{X: -13, Y: 13})
		d.name(d.w.link(p.Net, at.Add(schematic.Point{X: 2 * schematic.Grid}), true), rim, schematic.Point{})
		d.rails = append(d.rails, rail{p.Net, at, at.Add(schematic.Point{X: 2 * schematic.Grid}), false})
		y += 2 * schematic.Grid
		d.lowest = max(d.lowest, y)
	}
}

// cells hints at the cells outside the board, between their taps' pads.
func (d *drawing) cells() {
	x := padX - 60
	for k := 1; k <= d.w.b.Cells; k++ {
		top, bottom := d.railY[k], d.railY[k-1]
		at := schematic.Point{X: x, Y: (top + bottom) / 2}
		ref := "cell " + itoa(k)
		d.symbols = append(d.symbols, placed{schematic.Symbol{
			Ref: ref, Title: ref + ", outside the board", Part: schematic.NoPart, Cell: k, Shape: schematic.Cell, At: at,
			Body: schematic.R(x-12, at.Y-4, x+12, at.Y+4),
			Pins: []schematic.Pin{
				{Name: "+", Net: board.NoNet, At: schematic.Point{X: padX - 2*schematic.Grid, Y: top}, Root: schematic.Point{X: x, Y: at.Y - 4}},
				{Name: "-", Net: board.NoNet, At: schematic.Point{X: padX - 2*schematic.Grid, Y: bottom}, Root: schematic.Point{X: x, Y: at.Y + 4}},
			},
			Label: []schematic.Line{schematic.NewLine(ref, schematic.HeadingText, schematic.Point{X: x + 18, Y: at.Y + 4}, schematic.Start)},
		}, rim})
	}
}
