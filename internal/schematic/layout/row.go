package layout

import (
	"strconv"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// setting is where a lane stands: which rails are near enough to be reached by
// a wire. What else hangs on a rail gets its flag.
type setting struct {
	cell   int                  // in the slice of that cell, between two rails; 0: elsewhere
	bottom int                  // of a slice: where its lower rail lies
	ground map[board.NetID]bool // nets of the power line under the lane
	roof   map[board.NetID]bool // nets of the power line over it
}

// near reports whether a wire can go from a hanging part to net n.
func (w *work) near(set setting, n board.NetID, upward bool) bool {
	if n == board.NoNet {
		return true
	}
	if set.cell > 0 {
		return upward && n == w.taps[set.cell] || !upward && n == w.taps[set.cell-1] ||
			w.nets[n].tap < 0 && !w.nets[n].power && (w.nets[n].cell == set.cell || w.nets[n].cell == 0 && w.nets[n].level < 0)
	}
	return !upward && set.ground[n] || upward && set.roof[n] || !w.anchored(n)
}

// hanging draws a part that hangs on a net at height y, and the flag at its far
// end where that is a rail elsewhere. In a slice, what reaches up to the rail
// stands right under it, which leaves the space between for wires.
func (w *work) hanging(c *column, set setting, i int, n board.NetID, x, y int, upward bool) {
	p := &w.parts[i]
	m := p.other(n)
	top, centre, end := n, y+schematic.Lead, y+2*schematic.Lead
	if upward {
		top, centre, end = m, y-schematic.Lead, y-2*schematic.Lead
		if set.cell > 0 && m == w.taps[set.cell] && centre > schematic.Lead {
			centre, end = schematic.Lead, 0
		}
	}
	s := w.upright(p, top)
	s.Role = c.key
	c.symbols = append(c.symbols, moved(s, schematic.Point{X: x, Y: centre}))
	if !w.near(set, m, upward) {
		c.names = append(c.names, w.flag(m, schematic.Point{X: x, Y: end}, upward))
	}
}

// node draws what hangs on a net of a row at height y: one column a pair of
// parts above and below.
func (l *lane) node(nd node, y int, key string, set setting) {
	for i := range max(len(nd.ups), len(nd.downs)) {
		c := column{key: key + "/" + strconv.Itoa(i)}
		if i < len(nd.ups) {
			l.w.hanging(&c, set, nd.ups[i], nd.net, 0, y, true)
		}
		if i < len(nd.downs) {
			l.w.hanging(&c, set, nd.downs[i], nd.net, 0, y, false)
		}
		l.add(c)
	}
}

// level draws a part in series in a row.
func (l *lane) level(i int, left board.NetID, y int, key string) {
	s := l.w.level(&l.w.parts[i], left)
	s.Role = key
	l.add(column{key: key, symbols: []schematic.Symbol{moved(s, schematic.Point{Y: y})}})
}

// rowIn draws a row that leads to a control pin, all but what hangs on its
// last net.
func (l *lane) rowIn(r row, y int, key string, set setting) {
	for i, p := range r.series {
		k := key + "<" + strconv.Itoa(len(r.series)-i)
		l.node(r.nodes[i], y, k+"n", set)
		l.level(p, r.nodes[i].net, y, k)
	}
}

// rowsIn draws all rows that lead to a control pin: the main one at height y,
// others over each other at dy from it where nothing hangs on them, else before
// it.
func (l *lane) rowsIn(rows []row, y, dy int, key string, set setting) {
	bare, most := true, 0
	for _, r := range rows {
		most = max(most, len(r.series))
		for _, nd := range r.nodes[:len(r.nodes)-1] {
			bare = bare && len(nd.ups)+len(nd.downs) == 0
		}
	}
	if len(rows) == 1 || !bare {
		for i := len(rows) - 1; i > 0; i-- {
			l.rowIn(rows[i], y, key+"+"+strconv.Itoa(i), set)
		}
		l.rowIn(rows[0], y, key, set)
		return
	}
	for at := most; at > 0; at-- {
		c := column{key: key + "<" + strconv.Itoa(at)}
		for i, r := range rows {
			if k := len(r.series) - at; k >= 0 {
				s := l.w.level(&l.w.parts[r.series[k]], r.nodes[k].net)
				s.Role = c.key + strconv.Itoa(i)
				c.symbols = append(c.symbols, moved(s, schematic.Point{Y: y + i*dy}))
			}
		}
		l.add(c)
	}
}

// rowsPitch is the distance of rows over each other.
const rowsPitch = 50

// rowOut draws a row that leads away from a pin, all but what hangs on its
// first net.
func (l *lane) rowOut(r row, y int, key string, set setting) {
	for i, p := range r.series {
		k := key + ">" + strconv.Itoa(i)
		l.level(p, r.nodes[i].net, y, k)
		l.node(r.nodes[i+1], y, k+"n", set)
	}
}

// stage draws a transistor with what leads into it and what hangs on it. It
// returns the height of the net that it drives.
func (l *lane) stage(s *stage, y int, key string, set setting) (out int) {
	s.done = true
	l.rowsIn(s.in, y, -rowsPitch, key, set)
	l.node(s.in[0].nodes[len(s.in[0].nodes)-1], y, key+"b", set)

	o, _ := schematic.OutlineOf(s.p.shape)
	centre := schematic.Point{Y: y - o.Pins[controlPin(s.p)].Y}
	c := column{key: key + "Q"}
	sym := l.w.standing(s.p)
	sym.Role = c.key
	c.symbols = append(c.symbols, moved(sym, centre))
	up, down := &s.head, &s.foot
	if s.p.upsideDown() {
		up, down = down, up
	}
	restUp := l.inline(&c, set, up, centre.Add(schematic.Point{X: 10, Y: -20}), true)
	restDown := l.inline(&c, set, down, centre.Add(schematic.Point{X: 10, Y: 20}), false)
	l.add(c)
	l.node(restUp, centre.Y-20, key+"h", set)
	l.node(restDown, centre.Y+20, key+"f", set)
	if s.driver() == up {
		return centre.Y - 20
	}
	return centre.Y + 20
}

func controlPin(p *part) string {
	if p.fet() {
		return "g"
	}
	return "b"
}

// driver is the row of the net that a transistor drives: the collector's, or
// the emitter's where the collector lies on a rail.
func (s *stage) driver() *row {
	if len(s.head.series) == 0 && len(s.foot.series) > 0 {
		return &s.foot
	}
	return &s.head
}

// inline draws the first of the parts that hang on a transistor's channel in
// line with it, or the flag of the rail it lies on. It returns the others.
func (l *lane) inline(c *column, set setting, r *row, at schematic.Point, upward bool) node {
	nd := r.nodes[0]
	parts := append(append([]int{}, nd.ups...), nd.downs...)
	if upward && len(nd.ups) == 0 || !upward && len(nd.downs) > 0 {
		parts = append(append([]int{}, nd.downs...), nd.ups...)
	}
	if len(parts) > 0 {
		l.w.hanging(c, set, parts[0], nd.net, at.X, at.Y, upward)
		rest := node{net: nd.net}
		for _, i := range parts[1:] {
			if upward {
				rest.ups = append(rest.ups, i)
			} else {
				rest.downs = append(rest.downs, i)
			}
		}
		return rest
	}
	if l.w.anchored(nd.net) && !l.w.near(set, nd.net, upward) {
		c.names = append(c.names, l.w.flag(nd.net, at, upward))
	}
	return node{net: nd.net}
}
