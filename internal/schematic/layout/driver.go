package layout

import (
	"slices"

	"cupel/internal/board"
)

// gateDrivers takes the stages that drive a power path's gates out of the slice
// they would grow into, back to where an IC of that slice drives them: where
// slices pass a signal down, the last one has the whole board's driver beside it.
func (w *work) gateDrivers() {
	if w.b.Cells < 2 {
		return
	}
	var todo []board.NetID
	for n := range w.nets {
		if w.gate(board.NetID(n)) {
			todo = append(todo, board.NetID(n))
		}
	}
	seen := map[board.NetID]bool{}
	for len(todo) > 0 {
		n := todo[0]
		todo = todo[1:]
		if seen[n] {
			continue
		}
		seen[n] = true
		inner, ends := w.joinedTo(n)
		for _, m := range append(inner, ends...) {
			w.each(m, func(p *part, k int) {
				if !p.transistor() || p.power || p.nets[k] == p.control() || w.fromIC(p.control()) {
					return
				}
				for _, q := range inner {
					w.nets[q].cell = 0
				}
				w.nets[m].cell = 0
				if c := p.control(); w.grows(c) {
					w.nets[c].cell = 0
				}
				todo = append(todo, p.control())
			})
		}
	}
}

// joinedTo follows passives from a net to others: inner nets that only passives
// touch, the net itself among them, and the ends where something else does.
func (w *work) joinedTo(n board.NetID) (inner, ends []board.NetID) {
	inner = []board.NetID{n}
	for i := 0; i < len(inner); i++ {
		w.each(inner[i], func(p *part, _ int) {
			if !p.passive() || p.power {
				return
			}
			m := p.other(inner[i])
			switch {
			case !w.signal(m) || w.anchored(m) || slices.Contains(inner, m) || slices.Contains(ends, m):
			case w.nets[m].bus || w.active(m):
				ends = append(ends, m)
			default:
				inner = append(inner, m)
			}
		})
	}
	return inner, ends
}

// active reports whether something besides passives touches a net.
func (w *work) active(n board.NetID) bool {
	found := false
	w.each(n, func(p *part, _ int) { found = found || !p.passive() })
	return found
}

// fromIC reports whether an IC of a slice drives a net through nothing but
// passives.
func (w *work) fromIC(n board.NetID) bool {
	if !w.signal(n) {
		return false
	}
	inner, ends := w.joinedTo(n)
	found := false
	for _, m := range append(inner, ends...) {
		w.each(m, func(p *part, k int) { found = found || p.ic() && p.cell > 0 && !isSupplyPin(p.Pins[k].Name) })
	}
	return found
}

// exports makes a shared line of each net by which a slice drives what serves
// the whole board.
func (w *work) exports() {
	for i := range w.nets {
		n := board.NetID(i)
		if w.anchored(n) {
			continue
		}
		drives, serves := false, false
		w.each(n, func(p *part, k int) {
			switch {
			case p.cell == 0:
				serves = serves || !p.transistor() || p.power || p.control() == n
			case p.ic():
				name := p.Pins[k].Name
				drives = drives || name == "do" || name == "co" || name == "out"
			case p.transistor():
				drives = drives || p.control() != n
			}
		})
		w.nets[n].bus = w.nets[n].bus || drives && serves
	}
}

// sensed reports whether a net is at a sense or balance pin of a stack
// protector: such nets go straight on from their slice to the protector.
func (w *work) sensed(n board.NetID) bool {
	found := false
	w.each(n, func(p *part, k int) {
		name := p.Pins[k].Name
		found = found || p.ic() && p.cell == 0 && (senseCell(name) > 0 || numbered(name, "bal") > 0)
	})
	return found
}
