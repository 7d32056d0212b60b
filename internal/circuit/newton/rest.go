package newton

import "cupel/internal/circuit"

// rester is an element that can rest, and whether it does in this solve.
type rester struct {
	circuit.Rester
	rests bool
}

// part tells the elements that rest at Sys.X from the others and loads them, for
// all iterations until one of them is roused.
func (n *Solver) part() {
	s := n.Sys
	copy(n.rest, n.base)
	copy(n.restSide, n.side)
	n.active = append(n.active[:0], n.restless...)
	s.A, n.rest = n.rest, s.A
	s.B, n.restSide = n.restSide, s.B
	for i := range n.resters {
		r := &n.resters[i]
		if r.rests = r.Rests(s); r.rests {
			r.Load(s)
		} else {
			n.active = append(n.active, r.Rester)
		}
	}
	s.A, n.rest = n.rest, s.A
	s.B, n.restSide = n.restSide, s.B
}

// roused reports whether an element that rested until now no longer does.
func (n *Solver) roused() bool {
	for i := range n.resters {
		if r := &n.resters[i]; r.rests && !r.Rests(n.Sys) {
			return true
		}
	}
	return false
}

// store computes the charges and rates that the loads left out.
func (n *Solver) store() {
	for _, e := range n.sources {
		e.Store(n.Sys)
	}
	for i := range n.resters {
		if r := &n.resters[i]; r.rests {
			r.Carry(n.Sys)
		}
	}
}
