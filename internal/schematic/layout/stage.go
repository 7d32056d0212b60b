package layout

import (
	"slices"

	"cupel/internal/board"
)

// stage is a transistor or an IC with the passives that serve it.
type stage struct {
	p    *part
	in   []row // to the control pin: the main row first, others join it
	head row   // from the collector or drain
	foot row   // from the emitter or source
	pins []row // of an IC, by pin
	done bool  // has its place
	y    int   // of its control row, where that is chosen before it is drawn
}

// row is a chain of nets with parts in series between them. The pin that it
// serves is at its last net if it leads in, at its first if it leads out.
type row struct {
	nodes  []node
	series []int // part between node i and i+1
}

// node is a net of a row with what hangs on it.
type node struct {
	net        board.NetID
	ups, downs []int // parts to something above or below
}

func (r *row) first() board.NetID { return r.nodes[0].net }
func (r *row) last() board.NetID  { return r.nodes[len(r.nodes)-1].net }

// simple reports whether a row is nothing but its net.
func (r *row) simple() bool {
	return len(r.series) == 0 && len(r.nodes[0].ups)+len(r.nodes[0].downs) == 0
}

// claimer collects the passives that serve a pin.
type claimer struct {
	w    *work
	p    *part       // whose pin it is
	cell int         // only parts of this slice
	foot board.NetID // the emitter or source net, which counts as a rail
	low  int         // the tap that it stands on: what leads to one above is drawn above
}

// stages gives the passives to the transistors and ICs that they serve: what
// leads into control pins first, then what leaves them, then the ICs' pins.
func (w *work) stages() {
	var all []*stage
	for i := range w.parts {
		if p := &w.parts[i]; p.transistor() && !p.power || p.ic() || p.power && p.fet() {
			p.stage = &stage{p: p}
			all = append(all, p.stage)
		}
	}
	for _, s := range all {
		w.gateRows(s)
	}
	for _, s := range all {
		if s.p.transistor() && !s.p.power {
			c := claimer{w: w, p: s.p, cell: s.p.cell, foot: s.p.foot()}
			s.in = c.inputs(s.p.control())
		}
	}
	for _, s := range all {
		if s.p.transistor() && !s.p.power {
			c := claimer{w: w, p: s.p, cell: s.p.cell, foot: board.NoNet}
			s.head = c.channel(s.p.head())
			s.foot = c.channel(s.p.foot())
		}
	}
	for _, s := range all {
		if s.p.ic() {
			s.pins = w.pinRows(s.p)
		}
	}
}

// gateRows claims for the first FET of a bank.
func (w *work) gateRows(s *stage) {
	if !s.p.power {
		return
	}
	c := claimer{w: w, p: s.p, foot: s.p.foot()}
	s.in = c.inputs(s.p.control())
}

func (w *work) pinRows(p *part) []row {
	rows := make([]row, len(p.Pins))
	seen := map[board.NetID]bool{}
	for k, n := range p.nets {
		rows[k] = row{nodes: []node{{net: n}}}
		if n == board.NoNet || w.nets[n].tap >= 0 || w.nets[n].power || seen[n] {
			continue
		}
		seen[n] = true
		c := claimer{w: w, p: p, cell: p.cell, foot: board.NoNet, low: w.bottom(p)}
		if isSupplyPin(p.Pins[k].Name) {
			rows[k].nodes[0] = c.hangs(n) // what else it feeds is theirs
			continue
		}
		rows[k] = c.output(n)
	}
	return rows
}

// inputs are the rows that lead into a control pin.
func (c *claimer) inputs(n board.NetID) []row {
	if !c.w.signal(n) {
		return []row{{nodes: []node{{net: n}}}}
	}
	var rows []row
	first := c.hangs(n)
	var series []int
	if !c.driven(n) && !c.w.nets[n].bus {
		series = c.series(n)
	}
	if len(series) == 0 {
		return []row{{nodes: []node{first}}}
	}
	for i, s := range series {
		r := c.back(n, s)
		if i == 0 {
			r.nodes[len(r.nodes)-1] = first
		}
		rows = append(rows, r)
	}
	return rows
}

// back follows a row from a control net backwards through part s.
func (c *claimer) back(n board.NetID, s int) row {
	r := row{nodes: []node{{net: n}}}
	for s >= 0 {
		p := &c.w.parts[s]
		p.used = true
		n = p.other(n)
		nd := c.hangs(n)
		r.nodes, r.series = slices.Insert(r.nodes, 0, nd), slices.Insert(r.series, 0, s)
		s = c.next(n)
	}
	return r
}

// channel is the row at an end of a transistor's channel. What hangs on a
// supply serves the IC that lives on it.
func (c *claimer) channel(n board.NetID) row {
	if c.w.anchored(n) {
		return row{nodes: []node{{net: n}}}
	}
	return c.output(n)
}

// output is the row that leads away from a net.
func (c *claimer) output(n board.NetID) row {
	if !c.w.signal(n) {
		return row{nodes: []node{{net: n}}}
	}
	r := row{nodes: []node{c.hangs(n)}}
	for s := c.after(n); s >= 0; {
		p := &c.w.parts[s]
		p.used = true
		n = p.other(n)
		r.nodes, r.series = append(r.nodes, c.hangs(n)), append(r.series, s)
		s = c.next(n)
	}
	return r
}

// after is the first part in series behind a net at a pin; −1 if none.
func (c *claimer) after(n board.NetID) int {
	if c.w.nets[n].bus {
		return -1
	}
	if s := c.series(n); len(s) > 0 {
		return s[0]
	}
	return -1
}

// next is the part in series behind a net that only passives touch; −1 if
// there is none, or more than one.
func (c *claimer) next(n board.NetID) int {
	if n == board.NoNet || c.w.nets[n].bus || c.driven(n) || c.controls(n) {
		return -1
	}
	if s := c.series(n); len(s) == 1 {
		return s[0]
	}
	return -1
}

// hangs claims the parts between a net and a rail.
func (c *claimer) hangs(n board.NetID) node {
	nd := node{net: n}
	if !c.w.signal(n) {
		return nd
	}
	for _, i := range c.passives(n) {
		p := &c.w.parts[i]
		m := p.other(n)
		if m == n || !c.rail(m) {
			continue
		}
		p.used = true
		if c.up(m) {
			nd.ups = append(nd.ups, i)
		} else {
			nd.downs = append(nd.downs, i)
		}
	}
	return nd
}

// series lists the parts between a net and another signal.
func (c *claimer) series(n board.NetID) []int {
	var out []int
	for _, i := range c.passives(n) {
		if m := c.w.parts[i].other(n); m != n && !c.rail(m) {
			out = append(out, i)
		}
	}
	return out
}

func (c *claimer) passives(n board.NetID) []int {
	var out []int
	c.w.each(n, func(p *part, _ int) {
		if p.passive() && !p.used && !p.power && p.cell == c.cell && !slices.Contains(out, p.index) {
			out = append(out, p.index)
		}
	})
	return out
}

// rail reports whether a part that leads to net m hangs on it.
func (c *claimer) rail(m board.NetID) bool {
	return m == board.NoNet || m == c.foot || c.w.anchored(m)
}

// up reports whether a rail is drawn above what hangs on it.
func (c *claimer) up(m board.NetID) bool {
	if m == c.foot {
		return c.p.upsideDown()
	}
	l, ok := c.w.levelOf(m)
	if !ok {
		return false
	}
	if c.cell > 0 {
		return l >= c.cell
	}
	return l > c.low
}

// driven reports whether a transistor's channel or an IC touches a net.
func (c *claimer) driven(n board.NetID) bool {
	found := false
	c.w.each(n, func(p *part, k int) {
		found = found || p != c.p && (p.ic() || p.transistor() && p.nets[k] != p.control() || p.power)
	})
	return found
}

// controls reports whether a net is at a control pin of another part.
func (c *claimer) controls(n board.NetID) bool {
	found := false
	c.w.each(n, func(p *part, _ int) { found = found || p != c.p && p.transistor() && p.control() == n })
	return found
}
