package elaborate

import (
	"cupel/internal/circuit"
	"cupel/internal/circuit/protector"
)

// drift is the gates' capacitance by the resistors that hold them, in parallel:
// 0 where there are none.
//
// A way to an open-drain output or the collector of a shifter does not count:
// in one of the two states it leads nowhere.
func (w *work) drift(b *Bank) float64 {
	farads := 0.
	for _, f := range b.FETs {
		p := f.Params()
		farads += max(p.Parallel, 1) * (p.GateSource + max(p.Miller, p.MillerPeak))
	}
	siemens := w.held(b, b.Gate, map[circuit.Node]bool{})
	if siemens == 0 {
		return 0
	}
	return farads / siemens
}

// held is the conductance from a node to whatever holds it, through resistors.
func (w *work) held(b *Bank, n circuit.Node, seen map[circuit.Node]bool) float64 {
	seen[n] = true
	siemens := 0.
	for _, e := range w.resistive() {
		if e.a != n && e.b != n {
			continue
		}
		far := e.other(n)
		if w.holds(far, b) {
			siemens += 1 / max(e.ohms, 1)
		} else if !seen[far] {
			if g := w.held(b, far, seen); g > 0 {
				siemens += 1 / (e.ohms + 1/g)
			}
		}
	}
	return siemens
}

// holds reports whether a node is one that a gate may be held by: a tap, a
// port, an end of the bank, an output that drives both ways.
func (w *work) holds(n circuit.Node, b *Bank) bool {
	if n == b.Source || n == b.Drain || w.drives(n) {
		return true
	}
	for _, t := range w.tapNodes() {
		if t == n {
			return true
		}
	}
	for _, pad := range []string{"P-", "P+", "C-", "C+"} {
		if p, ok := w.padNode(pad); ok && p == n {
			return true
		}
	}
	return false
}

// drives reports whether an output drives a node both ways.
func (w *work) drives(n circuit.Node) bool {
	for i := range w.c.Units {
		u := &w.c.Units[i]
		if u.node("do") == n || u.node("co") == n && u.coLow() != protector.CoLowOpenDrain {
			return true
		}
	}
	return false
}

func (u *Unit) coLow() protector.CoLow {
	switch {
	case u.CellSpec != nil:
		return u.CellSpec.CoLow
	case u.StackSpec != nil:
		return u.StackSpec.CoLow
	}
	return protector.CoLowCs
}
