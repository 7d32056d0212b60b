package layout

import (
	"slices"
	"strconv"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// bands draws the stages that serve the whole board and stand in no power
// path's lane: each chain, from the line that drives it to what it drives, in
// a lane of its own.
func (w *work) bands() []*lane {
	var all []*lane
	for _, l := range w.lines {
		for _, hop := range l.hops {
			if s := w.leader(hop); s != nil {
				for f := w.feeder(s); f != nil; f = w.feeder(s) {
					all = append(all, w.band(f, "band"+strconv.Itoa(len(all))))
				}
			}
		}
	}
	for {
		s := w.lastStage()
		if s == nil {
			return all
		}
		all = append(all, w.band(s, "band"+strconv.Itoa(len(all))))
	}
}

// lastStage is a stage, not drawn yet, that drives no other such stage; any
// where they drive each other in a ring.
func (w *work) lastStage() *stage {
	var any *stage
	for i := range w.parts {
		p := &w.parts[i]
		if p.cell != 0 || p.power || !p.transistor() || p.stage.done {
			continue
		}
		if any == nil {
			any = p.stage
		}
		if !w.feeds(p.stage) {
			return p.stage
		}
	}
	return any
}

// feeds reports whether a stage drives another that is not drawn yet.
func (w *work) feeds(s *stage) bool {
	n := s.driver().last()
	if !w.signal(n) {
		return false
	}
	for i := range w.parts {
		p := &w.parts[i]
		if p.cell == 0 && p.transistor() && !p.power && p.stage != s && !p.stage.done && leadsFrom(p.stage, n) {
			return true
		}
	}
	return false
}

// band draws a chain of stages that ends with s, each row at the height of the
// net before, so that the signal runs straight.
func (w *work) band(s *stage, key string) *lane {
	var chain []*stage
	for ; s != nil; s = w.feeder(s) {
		chain = append(chain, s)
		s.done = true
	}
	slices.Reverse(chain)
	l := &lane{w: w, drives: board.NoNet}
	y := 0
	set := setting{ground: map[board.NetID]bool{}}
	for i, c := range chain {
		key := key + "-" + strconv.Itoa(i)
		c.y = y
		l.entry(c, key)
		y = l.stage(c, y, key, set)
		r := c.driver()
		l.drives = r.last()
		l.rowOut(*r, y, key+">", set)
		if n := r.last(); len(r.series) > 0 && w.comesFromSlice(n) {
			l.add(column{key: key + "]", names: []schematic.Name{w.link(n, schematic.Point{Y: y}, true)}})
		}
	}
	return l
}
