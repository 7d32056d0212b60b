package layout

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// drawing is a sheet being made.
type drawing struct {
	w       *work
	symbols []placed
	names   []nameAt
	rails   []rail
	buses   []bus
	texts   []schematic.Line
	boxes   []schematic.Box

	railY          []int // by tap
	topY           int   // of the line that leads to P+
	pitch          int
	sliceX, sliceR int // where the slices begin and end
	right          int // where the ports stand
	lowest         int // the lowest thing so far
	g              *grid
}

// area says which part of the sheet something stands in: the number of a
// cell's slice, or one of these.
const (
	common = 0
	spare  = -1
	rim    = -2 // pads and cells
)

type placed struct {
	schematic.Symbol
	area int
}

type nameAt struct {
	schematic.Name
	area int
}

// rail is a straight wire that is there before all others.
type rail struct {
	net   board.NetID
	a, b  schematic.Point
	power bool // carries the pack's current
}

// bus is an upright wire that gathers a net of several slices.
type bus struct {
	net board.NetID
	x   int
}

// Places on the sheet.
const (
	marginX  = 30
	padX     = 120
	titleY   = 40
	topLineY = 90
	busPitch = 20
	towerTop = 100 // from the line at the top to the rail of a tower's uppermost cell
)

func (d *drawing) put(s schematic.Symbol, area int, by schematic.Point) {
	d.symbols = append(d.symbols, placed{moved(s, by), area})
}

func (d *drawing) name(n schematic.Name, area int, by schematic.Point) {
	if n.Net != board.NoNet {
		d.names = append(d.names, nameAt{movedName(n, by), area})
	}
}

// lane puts the columns of a lane at their places, its y = 0 at height y.
func (d *drawing) lane(cols []column, at []int, y, area int) {
	for i := range cols {
		by := schematic.Point{X: at[i], Y: y}
		for _, s := range cols[i].symbols {
			d.put(s, area, by)
		}
		for _, n := range cols[i].names {
			d.name(n, area, by)
		}
		_, bottom := cols[i].reach()
		d.lowest = max(d.lowest, y+bottom)
	}
}

// compose puts everything at its place.
func (d *drawing) compose() {
	w := d.w
	cells := w.slices()
	towers := w.towers()
	var low, high []*track
	for _, l := range w.lines {
		if l.high {
			high = append(high, w.track(l, len(high) > 0))
		} else {
			low = append(low, w.track(l, len(low) > 0))
		}
	}
	alone := w.alone()
	bands := append(w.bands(), alone...)
	d.heights(cells, towers, low, high, bands)
	d.lowest = d.railY[0]

	lanes := make([]*lane, len(cells))
	for i, s := range cells {
		lanes[i] = &s.lane
	}
	d.sliceX = d.leftEdge()
	at, end := align(lanes, d.sliceX)
	d.sliceR = up(end)
	for _, s := range cells {
		places := make([]int, len(s.cols))
		for i := range s.cols {
			places[i] = at[s.cols[i].key]
		}
		d.lane(s.cols, places, d.railY[s.cell], s.cell)
	}
	x := d.sliceR
	for _, t := range towers {
		x = max(x, d.tower(t, d.sliceR))
	}
	x = d.busLines(up(x))
	d.commonParts(x, low, high, bands)
	d.tapRails(towers)
	d.senseRails(towers)
	d.pads()
	d.spareBox()
	d.mergeFlags()
	d.railNames()
	d.headings()
}

// leftEdge is where the slices begin: behind the names of the taps.
func (d *drawing) leftEdge() int {
	wide := 0
	for _, n := range d.w.taps {
		if n != board.NoNet {
			wide = max(wide, schematic.WidthOf(d.w.b.Nets[n].Name, schematic.NetText))
		}
	}
	return up(padX + wide + 2*gap)
}

// heights decides where the rails lie.
func (d *drawing) heights(cells []*slice, towers []*tower, low, high []*track, bands []*lane) {
	n := d.w.b.Cells
	d.pitch = 100
	for _, s := range cells {
		d.pitch = max(d.pitch, up(s.bottom))
	}
	top := topLineY
	towering := 0
	for _, t := range towers {
		d.pitch = max(d.pitch, up((t.height+t.depth-t.head+20)/max(1, t.cells)))
		if t.low+t.cells == n {
			towering = towerTop + t.head - towerHead
		}
	}
	need := 40
	for _, t := range low {
		if !t.branch {
			above, _ := t.reach()
			need += -above + gap
		}
	}
	for _, t := range high {
		_, below := t.reach()
		need += below + gap
	}
	for _, l := range bands {
		above, below := l.reach()
		need += below - above + gap
	}
	d.pitch = max(d.pitch, up((need-towering)/max(1, n)))
	d.topY = top
	d.railY = make([]int, n+1)
	d.railY[n] = top + towering
	for k := n - 1; k >= 0; k-- {
		d.railY[k] = d.railY[k+1] + d.pitch
		for _, t := range towers {
			if t.low == k {
				d.railY[k] += t.extra
			}
		}
	}
}

// tower puts a stack protector beside the slices; it returns where it ends.
func (d *drawing) tower(t *tower, x int) int {
	w := d.w
	t.measure(w, func(k int) int { return d.railY[k] })
	s := w.boxSymbol(t.st.p, t.box)
	d.put(s, common, schematic.Point{X: x})
	end := x + t.box.body.Max.X + boxLead
	right := end
	for i := range t.rows {
		at, e := pack(t.rows[i].cols, end+gap)
		d.lane(t.rows[i].cols, at, t.box.places[t.pins[i]], common)
		right = max(right, e)
	}
	for _, k := range t.caps {
		for j, i := range t.st.pins[k].nodes[0].downs {
			sym := w.upright(&w.parts[i], t.st.p.nets[k])
			d.put(sym, common, schematic.Point{X: x + t.box.places[k] + j*capPitch(w, t), Y: t.box.body.Max.Y + boxLead + schematic.Lead})
		}
	}
	if k := slices.Index(t.box.sides, bottom); t.low > 0 && k >= 0 {
		vss := schematic.Point{X: x + t.box.places[k], Y: t.box.body.Max.Y + boxLead + 2*schematic.Lead}
		if n := t.st.p.nets[k]; n != board.NoNet {
			d.name(w.flag(n, vss, false), common, schematic.Point{})
			d.rails = append(d.rails, rail{n, vss.Sub(schematic.Point{Y: 2 * schematic.Lead}), vss, false})
		}
	}
	for _, k := range t.supplies {
		d.supplyAbove(t, k, x)
	}
	return right + gap
}

// supplyAbove draws what hangs on a supply pin over the box: what feeds it
// upright, one beside the other, and what leads down lying, with the name of
// the rail it leads to.
func (d *drawing) supplyAbove(t *tower, k, x int) {
	w := d.w
	nd := t.st.pins[k].nodes[0]
	at := schematic.Point{X: x + t.box.places[k], Y: t.box.body.Min.Y - boxLead}
	for _, i := range nd.ups {
		m := w.parts[i].other(nd.net)
		s := w.upright(&w.parts[i], m)
		d.put(s, common, at.Add(schematic.Point{Y: -schematic.Grid - schematic.Lead}))
		if m != w.taps[len(w.taps)-1] {
			d.name(w.flag(m, at.Add(schematic.Point{Y: -schematic.Grid - 2*schematic.Lead}), true), common, schematic.Point{})
		}
		at.X += up(extent(&s).Max.X + gap)
	}
	for _, i := range nd.downs {
		m := w.parts[i].other(nd.net)
		y := schematic.Point{Y: -schematic.Grid}
		d.put(w.flat(&w.parts[i], nd.net), common, at.Add(y).Add(schematic.Point{X: schematic.Lead}))
		l := w.link(m, at.Add(y).Add(schematic.Point{X: 2 * schematic.Lead}), true)
		d.name(l, common, schematic.Point{})
		at.X = up(max(at.X+3*schematic.Lead, l.Box.Max.X) + gap)
	}
}
