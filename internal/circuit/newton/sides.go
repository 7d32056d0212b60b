package newton

import (
	"math"

	"cupel/internal/circuit"
)

// Side is one place where a state's charge enters the equations: a rate of 1 in
// the history of State adds Factor to the right side at At.
type Side struct {
	State  int
	At     circuit.Node
	Factor float64
}

// Sides returns where the charges of all states enter, by state. It finds them
// by loading the elements with a rate of 1 in one history after another, since
// elements say so nowhere else.
func (n *Solver) Sides() []Side {
	s := n.Sys
	held := n.Hold(nil)
	clear(s.Hist)
	n.loadSides() // once for the limits of nonlinear elements to come to rest
	zero := n.loadSides()
	var sides []Side
	for i := range s.Hist {
		s.Hist[i] = 1
		for j, b := range n.loadSides() {
			if d := math.Round(b - zero[j]); j > 0 && d != 0 {
				sides = append(sides, Side{i, circuit.Node(j), d})
			}
		}
		s.Hist[i] = 0
	}
	n.Recall(held, n.lu)
	s.Limited()
	return sides
}

// loadSides loads all elements and returns a copy of the right side.
func (n *Solver) loadSides() []float64 {
	s := n.Sys
	clear(s.B)
	for _, e := range n.sources {
		e.LoadSource(s)
	}
	for _, e := range n.nonlinear {
		e.Load(s)
	}
	return append([]float64(nil), s.B...)
}
