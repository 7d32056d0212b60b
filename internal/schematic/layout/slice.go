package layout

import (
	"slices"
	"strconv"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/schematic"
)

// Heights in a slice, from its upper rail down.
const (
	supplyY = 50 // the supply that the ICs share with the shifters
	boxTopY = 70
	baseY   = 90 // control pins
	pinStep = 30 // between pins at the side of a box
	outY    = 110
)

// slice is the group of parts that serves one cell, drawn between two rails.
type slice struct {
	lane
	cell   int
	bottom int   // where the lower rail lies
	outs   []out // what leaves to the right
}

// out is a row that leaves a slice.
type out struct {
	row row
	key string
	y   int // where the transistor drives it
}

// slices draws the slice of every cell, in columns common to all.
func (w *work) slices() []*slice {
	var all []*slice
	for k := 1; k <= w.b.Cells; k++ {
		s := &slice{lane: lane{w: w}, cell: k, bottom: 100}
		s.draw()
		all = append(all, s)
	}
	return all
}

func (s *slice) setting() setting { return setting{cell: s.cell, bottom: s.bottom} }

func (s *slice) draw() {
	count := map[string]int{}
	for _, st := range s.ics() {
		key := string(st.p.kind())
		count[key]++
		s.ic(st, key+strconv.Itoa(count[key]))
	}
	for i := range s.w.parts {
		p := &s.w.parts[i]
		if p.cell == s.cell && p.stage != nil && !p.stage.done && p.transistor() {
			key := "Q"
			count[key]++
			s.chain(p.stage, baseY, key+strconv.Itoa(count[key]))
		}
	}
	s.across()
	s.leave()
	s.senses()
}

// ics lists the slice's ICs: those that lead to no other slice first, so that
// what leaves need not pass by them.
func (s *slice) ics() []*stage {
	var out []*stage
	for i := range s.w.parts {
		if p := &s.w.parts[i]; p.cell == s.cell && p.ic() {
			out = append(out, p.stage)
		}
	}
	rank := func(st *stage) int {
		if st.p.kind() == catalog.Balancer {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(out, func(a, b *stage) int { return rank(a) - rank(b) })
	return out
}

// ic draws an IC of one cell: its supply at the left, what it drives at the right.
func (s *slice) ic(st *stage, key string) {
	st.done = true
	box := s.box(st)
	for k, pin := range st.p.Pins {
		if isSupplyPin(pin.Name) && !st.pins[k].simple() {
			s.supply(st.pins[k].nodes[0], key+"."+pin.Name)
		}
	}
	sym := s.w.boxSymbol(st.p, box)
	sym.Role = key
	s.add(column{key: key, symbols: []schematic.Symbol{sym}})
	y := baseY
	for _, k := range box.side(right) {
		s.pin(st, k, y, key+"."+st.p.Pins[k].Name)
		y += pinStep
	}
	s.bottom = max(s.bottom, box.body.Max.Y+30)
}

// supply draws what hangs on a supply pin.
func (s *slice) supply(nd node, key string) {
	set := s.setting()
	for i := range max(len(nd.ups), len(nd.downs)) {
		c := column{key: key + "/" + strconv.Itoa(i)}
		if i < len(nd.ups) {
			s.w.hanging(&c, set, nd.ups[i], nd.net, 0, supplyY, true)
		}
		if i < len(nd.downs) {
			s.w.hanging(&c, set, nd.downs[i], nd.net, 0, baseY, false)
		}
		s.add(c)
	}
}

// box decides at which side each pin of a slice's IC stands: supply at the top,
// what lies on the lower rail at the bottom, what leads on at the right.
func (s *slice) box(st *stage) box {
	b := box{top: boxTopY, first: baseY, step: pinStep, topLead: boxTopY - supplyY}
	for k, pin := range st.p.Pins {
		n := st.p.nets[k]
		switch {
		case pin.Name == "vdd", n != board.NoNet && n == s.w.taps[s.cell]:
			b.sides = append(b.sides, top)
		case pin.Name == "vss", n != board.NoNet && n == s.w.taps[s.cell-1], pin.Name == "cs" && st.pins[k].simple():
			b.sides = append(b.sides, bottom)
		default:
			b.sides = append(b.sides, right)
		}
	}
	b.measure(s.w, st.p)
	return b
}

// pin draws what an IC's pin leads to.
func (s *slice) pin(st *stage, k, y int, key string) {
	r := st.pins[k]
	s.node(r.nodes[0], y, key+"n", s.setting())
	if len(r.series) > 0 {
		s.outs = append(s.outs, out{r, key, y})
	}
	s.follow(st.p.nets[k], key)
}

// follow draws the stages that a net leads to, and what those lead to.
func (s *slice) follow(n board.NetID, key string) {
	if !s.w.signal(n) || s.w.nets[n].bus {
		return
	}
	count := 0
	for i := range s.w.parts {
		p := &s.w.parts[i]
		if p.cell != s.cell || !p.transistor() || p.stage == nil || p.stage.done || !leadsFrom(p.stage, n) {
			continue
		}
		count++
		s.chain(p.stage, baseY, key+strconv.Itoa(count))
	}
}

// leadsFrom reports whether a stage is driven by net n.
func leadsFrom(st *stage, n board.NetID) bool {
	return slices.ContainsFunc(st.in, func(r row) bool { return r.first() == n })
}

// chain draws a stage and those behind it.
func (s *slice) chain(st *stage, y int, key string) {
	y = s.stage(st, y, key, s.setting())
	s.bottom = max(s.bottom, 160)
	r := st.driver()
	if len(r.series) > 0 || s.w.signal(r.last()) && s.w.nets[r.last()].bus {
		s.outs = append(s.outs, out{*r, key + ">", y})
	}
	s.follow(r.last(), key+"/")
}

// across draws what lies straight across the cell.
func (s *slice) across() {
	for i := range s.w.parts {
		p := &s.w.parts[i]
		if p.used || p.power || p.cell != s.cell || !p.passive() {
			continue
		}
		a, b := p.ends()
		hi, lo := s.w.taps[s.cell], s.w.taps[s.cell-1]
		if !(a == hi && b == lo || a == lo && b == hi) || a == b {
			continue
		}
		p.used = true
		sym := s.w.upright(p, hi)
		sym.Role = "across:" + string(p.shape)
		s.cols = slices.Insert(s.cols, 0, column{key: sym.Role, symbols: []schematic.Symbol{moved(sym, schematic.Point{Y: baseY})}})
	}
}

// leave draws the parts in series in the rows that leave, under each other in
// the last column: the row of the last stage highest, so that the rows of
// earlier stages pass under it.
func (s *slice) leave() {
	y := outY
	for i := len(s.outs) - 1; i >= 0; i-- {
		o := &s.outs[i]
		if i == len(s.outs)-1 && len(o.row.series) > 0 && o.y >= baseY {
			y = o.y
		}
		for j, p := range o.row.series {
			key := "out" + strconv.Itoa(len(o.row.series)-j)
			sym := s.w.flat(&s.w.parts[p], o.row.nodes[j].net)
			sym.Role = o.key + strconv.Itoa(j)
			c := s.column(key)
			c.symbols = append(c.symbols, moved(sym, schematic.Point{Y: y}))
		}
		if len(o.row.series) > 0 {
			s.bottom = max(s.bottom, y+30)
			y += pinStep
		}
	}
}

// column returns the column of that key, new at the end if there is none.
func (s *slice) column(key string) *column {
	for i := range s.cols {
		if s.cols[i].key == key {
			return &s.cols[i]
		}
	}
	return s.add(column{key: key})
}

// senses draws the filter of a stack protector's sense input: the resistor in
// line with the rail, the capacitor to the input below.
func (s *slice) senses() {
	for i := range s.w.parts {
		p := &s.w.parts[i]
		if p.used || p.power || p.cell != s.cell || !p.passive() {
			continue
		}
		a, b := p.ends()
		if !s.w.anchored(a) || !s.w.anchored(b) || a == b {
			continue
		}
		if s.w.nets[b].tap >= 0 && s.w.nets[a].tap < 0 {
			a, b = b, a
		}
		switch hi, lo := s.w.nets[a].level, s.w.nets[b].level; {
		case hi == s.cell && lo == s.cell && s.w.nets[a].tap >= 0:
			p.used = true
			sym := s.w.flat(p, a)
			sym.Role = "sense"
			c := s.column("sense")
			c.symbols = append(c.symbols, sym)
		case hi != lo && max(hi, lo) == s.cell && min(hi, lo) == s.cell-1:
			p.used = true
			if hi < lo {
				a = b
			}
			sym := s.w.upright(p, a)
			sym.Role = "sense-across:" + string(p.shape)
			c := s.column(sym.Role)
			c.symbols = append(c.symbols, moved(sym, schematic.Point{Y: baseY - 30}))
		}
	}
}
