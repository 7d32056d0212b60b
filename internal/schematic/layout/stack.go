package layout

import (
	"slices"
	"strconv"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// tower is a stack protector: a box beside the slices of its cells, its sense
// inputs in line with their rails, everything else at its right and bottom.
type tower struct {
	st       *stage
	box      box
	low      int    // the tap it stands on
	cells    int    // how many slices it stands beside
	rows     []lane // by right pin, at the pin's height
	pins     []int  // the right pins, from above
	supplies []int  // pins at the top
	caps     []int  // pins at the bottom with parts to the lower rail
	height   int    // from the uppermost right pin to the lower edge
	depth    int    // from the lower edge to the rail below
	head     int    // from the upper edge to the rail of the uppermost cell
	extra    int    // room under it, for what feeds the one below
}

// strapPitch is the distance of sense inputs that are strapped to each other.
const strapPitch = 20

// strap counts the sense inputs under input k that lie on the same cell.
func (p *part) strap(k int) int {
	n := 0
	for i := range p.Pins {
		if c := senseCell(p.Pins[i].Name); c > 0 && c < senseCell(p.Pins[k].Name) && p.cellAt(i) == p.cellAt(k) {
			n++
		}
	}
	return n
}

// Heights of a tower, from the rail of its uppermost cell.
const (
	towerHead   = 30 // from the upper edge to the uppermost sense input
	towerDepth  = 80 // room for parts between the lower edge and the rail
	towerSupply = 90 // more room, for what feeds the tower below
)

// towers draws the stack protectors beside the slices, the lowest first.
func (w *work) towers() []*tower {
	var all []*tower
	for i := range w.parts {
		if p := &w.parts[i]; p.ic() && w.beside[i] {
			p.stage.done = true
			all = append(all, w.tower(p.stage))
		}
	}
	slices.SortStableFunc(all, func(a, b *tower) int { return a.low - b.low })
	for i, t := range all {
		if i > 0 {
			t.extra = towerSupply + all[i-1].head - towerHead
		}
	}
	return all
}

func (w *work) tower(st *stage) *tower {
	t := &tower{st: st, low: w.bottom(st.p), head: towerHead}
	for k, pin := range st.p.Pins {
		side := right
		switch n := st.p.nets[k]; {
		case senseCell(pin.Name) > 0:
			side = left
			t.cells = max(t.cells, st.p.cellAt(k))
		case numbered(pin.Name, "bal") > 0:
			side = left
		case pin.Name == "vdd":
			side = top
			t.supplies = append(t.supplies, k)
		case pin.Name == "vss":
			side = bottom
		case w.onlyDown(st, k):
			side = bottom
			t.caps = append(t.caps, k)
		case n == board.NoNet:
		}
		t.box.sides = append(t.box.sides, side)
	}
	for k := range st.p.Pins {
		if st.p.cellAt(k) == t.cells {
			t.head = max(t.head, towerHead+strapPitch*st.p.strap(k))
		}
	}
	t.rightRows(w)
	return t
}

// onlyDown reports whether a pin leads to nothing but parts to the rail that
// the IC stands on.
func (w *work) onlyDown(st *stage, k int) bool {
	r := st.pins[k]
	nd := r.nodes[0]
	return len(r.series) == 0 && len(nd.ups) == 0 && len(nd.downs) > 0 && len(w.nets[nd.net].pins) == 1+len(nd.downs) &&
		!slices.ContainsFunc(nd.downs, func(i int) bool { return w.parts[i].other(nd.net) != st.p.net("vss") })
}

// order puts the pins that lead to the power path at the bottom of the right
// side, the bank nearest to the cells lowest.
func (w *work) order(st *stage, pins []int) {
	rank := func(k int) int {
		if slices.ContainsFunc(st.pins[k].nodes[0].downs, func(i int) bool { return w.powerEnd(i) }) {
			if st.p.Pins[k].Name == "cs" {
				return 100
			}
			return 10
		}
		for _, l := range w.lines {
			for h, hop := range l.hops {
				s := w.leader(hop)
				if s != nil && slices.ContainsFunc(s.in, func(r row) bool { return r.first() == st.p.nets[k] }) {
					if w.nets[l.nets[0]].tap < 0 {
						return 95 // a branch is drawn under the line
					}
					return 90 - h
				}
			}
		}
		return 0
	}
	slices.SortStableFunc(pins, func(a, b int) int { return rank(a) - rank(b) })
}

func (w *work) powerEnd(i int) bool {
	return slices.ContainsFunc(w.parts[i].nets, func(n board.NetID) bool { return n != board.NoNet && w.nets[n].power })
}

// rightRows draws the rows at the right side and finds how far apart they
// must be.
func (t *tower) rightRows(w *work) {
	t.pins = t.box.side(right)
	w.order(t.st, t.pins)
	y := 0
	t.box.places = make([]int, len(t.box.sides))
	last := 0
	for i, k := range t.pins {
		l := lane{w: w}
		key := t.st.p.Pins[k].Name
		set := setting{}
		if i == len(t.pins)-1 && t.low == 0 {
			set.ground = map[board.NetID]bool{w.taps[0]: true}
		}
		t.row(&l, t.st.pins[k], key, set)
		above, below := l.reach()
		switch {
		case i > 0 && len(t.st.pins[t.pins[i-1]].series) > 0 && t.st.pins[t.pins[i-1]].last() == t.st.p.nets[k]:
			// The row before leads back here: it closes its loop beside it.
			y += pinStep - 10
			below = max(below, last-(pinStep-10))
		case i > 0:
			y += up(max(pinStep-10, last-above+4))
		}
		if i < len(t.pins)-1 || len(set.ground) == 0 {
			last = below
		} else {
			last = 0
		}
		t.box.places[k] = y
		t.rows = append(t.rows, l)
	}
	t.height = y + 20
	t.depth = towerDepth
}

// row draws what hangs on a right pin: capacitors and thermistors upright,
// resistors to a power path lying, with the name of what they lead to.
func (t *tower) row(l *lane, r row, key string, set setting) {
	nd := r.nodes[0]
	rest := node{net: nd.net}
	var lying []int
	for _, i := range nd.downs {
		if p := &l.w.parts[i]; p.shape == schematic.Resistor && l.w.powerEnd(i) {
			lying = append(lying, i)
		} else {
			rest.downs = append(rest.downs, i)
		}
	}
	rest.ups = nd.ups
	l.node(rest, 0, key+"n", set)
	l.rowOut(r, 0, key, set)
	for j, i := range lying {
		l.level(i, nd.net, 0, key+"="+strconv.Itoa(j))
		c := &l.cols[len(l.cols)-1]
		if m := l.w.parts[i].other(nd.net); m != board.NoNet {
			c.room = schematic.R(0, -6, 30+schematic.WidthOf(l.w.b.Nets[m].Name, schematic.NetText), 6)
		}
	}
}

// measure sets the box between its rails: rail gives the height of a tap.
func (t *tower) measure(w *work, rail func(int) int) {
	b, p := &t.box, t.st.p
	topRail, lowRail := rail(t.low+t.cells), rail(t.low)
	b.top = topRail - t.head
	b.text = wrapped(p.Sheet, 18)
	wide := 0
	for _, s := range b.text {
		wide = max(wide, schematic.WidthOf(s, schematic.ValueText))
	}
	pitch := capPitch(w, t)
	foot := 2 * pinPitch
	for _, k := range t.caps {
		foot += pitch * len(t.st.pins[k].nodes[0].downs)
	}
	width := up(max(wide+80, foot, 120))
	b.body = schematic.R(0, b.top, width, lowRail-t.depth-t.extra)
	x := pinPitch
	for _, k := range b.side(bottom) {
		b.places[k] = x
		if slices.Contains(t.caps, k) {
			x += pitch * len(t.st.pins[k].nodes[0].downs)
		} else {
			x += pinPitch
		}
	}
	for i, k := range b.side(top) {
		b.places[k] = width/2/schematic.Grid*schematic.Grid + pinPitch*i
	}
	for _, k := range b.side(left) {
		if senseCell(p.Pins[k].Name) > 0 {
			b.places[k] = rail(t.low+p.cellAt(k)) - strapPitch*p.strap(k)
		} else {
			b.places[k] = rail(t.low+numbered(p.Pins[k].Name, "bal")) + 30
		}
	}
	shift := b.body.Max.Y - t.height
	for _, k := range t.pins {
		b.places[k] += shift
	}
}

// capPitch is the distance of the pins at the bottom that have a part each.
func capPitch(w *work, t *tower) int {
	wide := pinPitch
	for _, k := range t.caps {
		for _, i := range t.st.pins[k].nodes[0].downs {
			s := w.upright(&w.parts[i], t.st.p.nets[k])
			r := extent(&s)
			wide = max(wide, up(r.Max.X-r.Min.X+gap))
		}
	}
	return wide
}
