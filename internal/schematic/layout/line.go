package layout

import (
	"strconv"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// gateDistance is how far the row of a bank's gate lies from the power line.
const gateDistance = 100

// track is a power path being drawn: its line lies at y = 0 of its lane.
type track struct {
	lane
	line
	elements []element
	gateY    int             // of the banks' gate rows: above a line at the bottom, below one at the top
	branch   bool            // not the first line of its side: drawn beyond it
	end      schematic.Point // where the line to the port begins
}

// element is one hop of a track: which column, and where the line meets it.
type element struct {
	col         int
	left, right schematic.Point // relative to the column's middle
}

// track draws a power path and what serves it: the stages that drive its
// banks, where they lie straight before the first one, the parts at the gates,
// and what hangs on the nets of the line.
func (w *work) track(l line, branch bool) *track {
	t := &track{lane: lane{w: w}, line: l, gateY: -gateDistance, branch: branch}
	if l.high {
		t.gateY = gateDistance
	}
	if !t.branch {
		t.drops(l.nets[0], "from")
		t.firstChain()
	}
	for h, hop := range l.hops {
		key := "hop" + strconv.Itoa(h)
		if s := w.leader(hop); s != nil {
			t.bank(h, s, key)
		} else {
			t.element(hop, h, key)
		}
		t.drops(l.nets[h+1], key)
	}
	return t
}

// firstChain draws the stages that drive the first bank, on the line before
// all its hops.
func (t *track) firstChain() {
	for h, hop := range t.hops {
		if s := t.w.leader(hop); s != nil {
			t.chain(s, "hop"+strconv.Itoa(h))
			return
		}
	}
}

// leader is the stage of the FET that the parts at a bank's gate were given to.
func (w *work) leader(hop []int) *stage {
	for _, i := range hop {
		if s := w.parts[i].stage; s != nil && len(s.in) > 0 {
			return s
		}
	}
	return nil
}

func (t *track) setting(nets ...board.NetID) setting {
	set := setting{ground: map[board.NetID]bool{}, roof: map[board.NetID]bool{}}
	for _, n := range nets {
		if t.high {
			set.roof[n] = true
		} else {
			set.ground[n] = true
		}
	}
	return set
}

// chain draws the stages that drive a bank in the line's own lane, so that
// what the last one drives meets the gate's row in a straight line.
func (t *track) chain(bank *stage, key string) {
	var chain []*stage
	for s := t.w.feeder(bank); s != nil; s = t.w.feeder(s) {
		chain = append(chain, s)
		s.done = true
	}
	y := t.gateY
	for i, s := range chain {
		y -= s.rise()
		chain[i].y = y
	}
	set := t.setting(t.nets[0])
	for i := len(chain) - 1; i >= 0; i-- {
		k := key + "-" + strconv.Itoa(i)
		t.entry(chain[i], k)
		t.stage(chain[i], chain[i].y, k, set)
	}
}

// entry names the signal that leads into a stage from elsewhere.
func (l *lane) entry(s *stage, key string) {
	for i, r := range s.in {
		if n := r.first(); l.w.comesFromSlice(n) {
			y := s.y
			l.add(column{key: key + "@" + strconv.Itoa(i), names: []schematic.Name{l.w.link(n, schematic.Point{Y: y}, false)}})
		}
	}
}

// comesFromSlice reports whether a net goes on in a slice that no line leads
// from, or is a rail.
func (w *work) comesFromSlice(n board.NetID) bool {
	return n != board.NoNet && !w.nets[n].bus && (w.nets[n].cell > 0 || w.nets[n].tap >= 0 || w.nets[n].power)
}

// feeder is a stage, not drawn yet, that drives a control row of s.
func (w *work) feeder(s *stage) *stage {
	for _, r := range s.in {
		n := r.first()
		if !w.signal(n) || w.nets[n].bus {
			continue
		}
		for i := range w.parts {
			p := &w.parts[i]
			if p.cell == 0 && p.transistor() && !p.power && p.stage != s && !p.stage.done && p.stage.driver().last() == n {
				return p.stage
			}
		}
	}
	return nil
}

// rise is how far below a stage's control row the net lies that it drives.
func (s *stage) rise() int {
	o, _ := schematic.OutlineOf(s.p.shape)
	pin := o.Pins[controlPin(s.p)]
	y := o.Pins[headPin(s.p)].Y
	if s.driver() == &s.foot {
		y = -y
	}
	return y - pin.Y
}

func headPin(p *part) string {
	if p.fet() {
		return "d"
	}
	return "c"
}

// bank draws a hop of FETs with what serves their gate.
func (t *track) bank(h int, s *stage, key string) {
	first := len(t.cols)
	defer func() { t.cols[first].net, t.cols[first].driven = s.in[0].first(), true }()
	dy := -rowsPitch
	if t.high {
		dy = rowsPitch
	}
	t.rowsIn(s.in, t.gateY, dy, key, setting{})
	last := s.in[0].nodes[len(s.in[0].nodes)-1]
	before, after := t.sides(last, t.nets[h+1])
	t.node(before, t.gateY, key+"g", t.setting(t.nets[h]))
	t.element(t.hops[h], h, key)
	t.node(after, t.gateY, key+"h", t.setting(t.nets[h+1]))
}

// hold keeps what a chain of stages drives behind that chain.
func (t *track) hold(reach map[board.NetID]int) {
	for i := range t.cols {
		if t.cols[i].driven {
			t.cols[i].after = reach[t.cols[i].net]
		}
	}
}

// sides parts what hangs on a gate: what leads to the net behind the bank goes
// behind it.
func (t *track) sides(nd node, behind board.NetID) (before, after node) {
	before, after = node{net: nd.net}, node{net: nd.net}
	for _, i := range nd.ups {
		if t.high && t.w.parts[i].other(nd.net) == behind {
			after.ups = append(after.ups, i)
		} else {
			before.ups = append(before.ups, i)
		}
	}
	for _, i := range nd.downs {
		if !t.high && t.w.parts[i].other(nd.net) == behind {
			after.downs = append(after.downs, i)
		} else {
			before.downs = append(before.downs, i)
		}
	}
	return before, after
}

// parallelPitch is the distance of parts in parallel under each other.
const parallelPitch = 80

// element draws the parts of one hop: the first on the line, others beyond it.
func (t *track) element(hop []int, h int, key string) {
	c := column{key: key}
	var e element
	for i, k := range hop {
		sym := t.onLine(&t.w.parts[k], t.nets[h])
		sym.Role = key
		y := i * parallelPitch
		if t.high {
			y = -y
		}
		sym = moved(sym, schematic.Point{Y: y})
		if i == 0 {
			e.left, e.right = ends(&sym)
		}
		c.symbols = append(c.symbols, sym)
	}
	e.col = len(t.cols)
	t.elements = append(t.elements, e)
	t.add(c)
}

// ends are the pins of a lying symbol at y = 0, left and right.
func ends(s *schematic.Symbol) (left, right schematic.Point) {
	found := false
	for _, p := range s.Pins {
		if p.At.Y != 0 {
			continue
		}
		if !found || p.At.X < left.X {
			left = p.At
		}
		if !found || p.At.X > right.X {
			right = p.At
		}
		found = true
	}
	return left, right
}

// onLine draws a part lying on the line, the net before it at its left and its
// gate towards the gates' row.
func (t *track) onLine(p *part, before board.NetID) schematic.Symbol {
	if !p.fet() {
		s := t.w.level(p, before)
		if p.shape == schematic.HeaterFuse {
			s = t.w.symbol(p, heaterTurn(p, before, t.high))
		}
		s.Label = below(s.Body, p.Ref, t.w.value(p))
		if t.high {
			s.Label = above(s.Body, p.Ref, t.w.value(p))
		}
		return s
	}
	for _, turn := range []schematic.Turn{{Quarters: 1}, {Quarters: 3}, {Quarters: 1, Mirror: true}, {Quarters: 3, Mirror: true}} {
		s := t.w.symbol(p, turn)
		var gate, head, foot schematic.Pin
		for _, pin := range s.Pins {
			switch pin.Name {
			case "g":
				gate = pin
			case "d":
				head = pin
			default:
				foot = pin
			}
		}
		beforePin := head
		if foot.Net == before {
			beforePin = foot
		}
		if beforePin.At.X > 0 || (gate.At.Y > 0) != t.high {
			continue
		}
		s = moved(s, schematic.Point{Y: -head.At.Y})
		if t.high {
			s.Label = above(s.Body, p.Ref, t.w.value(p))
		} else {
			s.Label = below(s.Body, p.Ref, t.w.value(p))
		}
		return s
	}
	return t.w.standing(p)
}

// heaterTurn lays a fuse with its heater towards the gates' row.
func heaterTurn(p *part, before board.NetID, high bool) schematic.Turn {
	first := p.net("1") == before
	switch {
	case first && high:
		return schematic.Turn{}
	case high:
		return schematic.Turn{Mirror: true}
	case first:
		return schematic.Turn{Quarters: 2, Mirror: true}
	}
	return schematic.Turn{Quarters: 2}
}

// above sets a reference and a value over a body.
func above(body schematic.Rect, ref string, value []string) []schematic.Line {
	at := schematic.Point{X: (body.Min.X + body.Max.X) / 2, Y: body.Min.Y - 4 - len(value)*schematic.LineHeight}
	return stack(at, schematic.Middle, ref, value)
}
