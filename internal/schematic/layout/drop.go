package layout

import (
	"slices"
	"strconv"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// drops draws what hangs on a net of the line and was given to nothing else.
func (t *track) drops(n board.NetID, key string) {
	set := t.setting()
	for i := range t.w.parts {
		p := &t.w.parts[i]
		switch {
		case p.cell != 0 || p.power:
		case p.transistor() && !p.stage.done:
			t.dropStage(p.stage, n, key+":"+strconv.Itoa(len(t.cols)))
		case p.passive() && !p.used && slices.Contains(p.nets, n) && p.nets[0] != p.nets[1] && !t.later(p, n):
			p.used = true
			c := column{key: key + ":" + strconv.Itoa(len(t.cols))}
			m := p.other(n)
			upward := t.high
			if l, ok := t.w.levelOf(m); ok {
				upward = l > 0 && !(t.high && l < t.w.b.Cells)
			}
			y := 10
			if upward {
				y = -10
			}
			t.w.hanging(&c, set, i, n, 0, y, upward)
			if t.w.signal(m) && t.w.comesFromSlice(m) && !t.w.anchored(m) {
				c.names = append(c.names, t.w.flag(m, schematic.Point{Y: 5 * y}, upward))
			}
			t.add(c)
		}
	}
}

// later reports whether a part also hangs on a net further along the line,
// where it is drawn instead.
func (t *track) later(p *part, n board.NetID) bool {
	i := slices.Index(t.nets, n)
	return slices.Index(t.nets, p.other(n)) > i
}

// dropStage draws a transistor whose channel hangs on a net of the line by a
// passive: under the line, in one column with it.
func (t *track) dropStage(s *stage, n board.NetID, key string) {
	if t.high {
		return
	}
	up, down := &s.head, &s.foot
	if s.p.upsideDown() {
		up, down = down, up
	}
	nd := up.nodes[0]
	hung := append(append([]int{}, nd.ups...), nd.downs...)
	k := slices.IndexFunc(hung, func(i int) bool { return t.w.parts[i].other(nd.net) == n })
	if k < 0 {
		return
	}
	s.done = true
	c := column{key: key}
	t.w.hanging(&c, setting{}, hung[k], n, 0, 10, false)
	c.names = nil
	rest := node{net: nd.net}
	for j, i := range hung {
		if j != k {
			rest.downs = append(rest.downs, i)
		}
	}
	o, _ := schematic.OutlineOf(s.p.shape)
	pin := o.Pins[controlPin(s.p)]
	centre := schematic.Point{X: -10, Y: 70}
	s.y = centre.Y + pin.Y
	t.entry(s, key)
	sym := t.w.standing(s.p)
	c.symbols = append(c.symbols, moved(sym, centre))
	foot := schematic.Point{Y: centre.Y + 20}
	if m := down.nodes[0].net; m != board.NoNet && (t.w.anchored(m) || t.w.comesFromSlice(m)) {
		c.names = append(c.names, t.w.flag(m, foot, false))
	}
	t.add(c)
	t.node(rest, 50, key+"r", setting{})
	t.node(node{net: down.nodes[0].net, downs: append(append([]int{}, down.nodes[0].ups...), down.nodes[0].downs...)}, foot.Y, key+"f", setting{})
}
