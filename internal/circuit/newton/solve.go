package newton

import (
	"errors"
	"math"
	"slices"

	"cupel/internal/circuit"
	"cupel/internal/circuit/sparse"
)

// Solve iterates from Sys.X until converged, in at most limit iterations, and
// leaves the solution in Sys.X and the states' charges and rates in Sys.Q and
// Sys.F. The error is a *NotConverged or a *Floating.
func (n *Solver) Solve(limit int) error {
	n.prepare()
	n.part()
	n.load()
	limited := n.Sys.Limited()
	for i := range limit {
		if err := n.solve(); err != nil {
			return err
		}
		moved := n.moved()
		copy(n.Sys.X, n.next)
		if math.IsNaN(moved) {
			return n.notConverged(i + 1)
		}
		// A small move tells of a small error only if the tangents that gave
		// it were those of the point it started from, not of a limited one.
		free := !limited
		if n.roused() {
			n.part()
		}
		n.load()
		limited = n.Sys.Limited()
		if !limited && (n.fresh || free && (!n.strayed || moved <= max(n.Loose, 1))) {
			n.store()
			return nil
		}
	}
	return n.notConverged(limit)
}

// prepare loads what stays the same during the iterations of this solve.
func (n *Solver) prepare() {
	s := n.Sys
	if !n.baseKnown || n.baseAlpha != s.Alpha {
		clear(n.base)
		s.A, n.base = n.base, s.A
		for _, e := range n.linear {
			e.LoadMatrix(s)
		}
		for _, t := range n.Tied {
			s.A[n.diagonal[t]] += tieSiemens
		}
		if n.Anchor > 0 {
			for _, d := range n.diagonal[1:] {
				s.A[d] += n.Anchor
			}
		}
		s.A, n.base = n.base, s.A
		n.baseKnown, n.baseAlpha, n.fresh = true, s.Alpha, false
	}
	clear(n.side)
	s.B, n.side = n.side, s.B
	for _, e := range n.sources {
		e.LoadSource(s)
	}
	if n.Anchor > 0 {
		for i := 1; i < n.Layout.Nodes; i++ {
			s.B[i] += n.Anchor * n.AnchorTo[i]
		}
	}
	s.B, n.side = n.side, s.B
}

// load linearises at Sys.X what does not rest. It leaves fresh set where no slope differs from
// those that the matrix was last factorised with.
func (n *Solver) load() {
	s := n.Sys
	copy(s.A, n.rest)
	copy(s.B, n.restSide)
	s.Changed()
	s.Strayed()
	for _, e := range n.active {
		e.Load(s)
	}
	if s.Changed() {
		n.fresh = false
	}
	n.strayed = s.Strayed()
}

// solve puts the solution of the loaded equations into next, factorising them
// on the old pivots where those suit.
func (n *Solver) solve() error {
	s := n.Sys
	n.Iterations++
	if !n.fresh {
		if err := n.factor(); err != nil {
			return err
		}
	}
	n.lu.Solve(s.B[1:], n.next[1:])
	return nil
}

// factor factorises Sys.A.
func (n *Solver) factor() error {
	values := n.Sys.A[1:]
	if n.lu != nil && n.lu.Factor(values) == nil || n.suits(values) {
		n.Reuses++
		n.fresh = true
		return nil
	}
	n.Analyses++
	lu, err := sparse.Analyse(n.Layout.Unknowns-1, n.entries, values)
	if err != nil {
		n.lu = nil
		var s *sparse.Singular
		if !errors.As(err, &s) {
			return err
		}
		return n.float(circuit.Node(s.Unknown + 1))
	}
	n.lu, n.fresh = lu, true
	if len(n.orders) < mostOrders {
		n.orders = append(n.orders, lu)
	}
	return nil
}

// mostOrders bounds how many choices of pivots are kept. A board that switches
// between a few states needs a few.
const mostOrders = 64

// suits looks for a former choice of pivots that suits the values. The oldest
// comes first, so that a run repeated from a snapshot finds the ones that it
// found then: those that came later come later.
func (n *Solver) suits(values []float64) bool {
	for _, lu := range n.orders {
		if lu != n.lu && lu.Factor(values) == nil {
			n.lu = lu
			return true
		}
	}
	return false
}

// tieSiemens holds a tied node: a tenth of gmin, so that nothing on the board is
// moved by it.
const tieSiemens = 1e-13

// float ties a node that nothing holds and factorises again, or says that it
// floats.
func (n *Solver) float(at circuit.Node) error {
	if !n.Tie || int(at) >= n.Layout.Nodes || slices.Contains(n.Tied, at) {
		return &Floating{Node: n.unknown(at)}
	}
	n.Tied = append(n.Tied, at)
	slot := n.diagonal[at]
	n.base[slot] += tieSiemens
	n.rest[slot] += tieSiemens
	n.Sys.A[slot] += tieSiemens
	return n.factor()
}

// moved returns the largest move from Sys.X to next in units of its tolerance.
func (n *Solver) moved() float64 {
	x, worst := n.Sys.X, 0.0
	for i := 1; i < n.Layout.Nodes; i++ {
		d := math.Abs(n.next[i]-x[i]) / (NodeVolts + nodeRelative*math.Abs(x[i]))
		if !(d <= worst) {
			worst, n.worst = d, circuit.Node(i)
		}
	}
	for i := n.Layout.Nodes; i < n.Layout.Unknowns; i++ {
		d := math.Abs(n.next[i]-x[i]) / (branchAbsolute + branchRelative*math.Abs(x[i]))
		if !(d <= worst) {
			worst, n.worst = d, circuit.Node(i)
		}
	}
	return worst
}

// Correct solves A·x = b with the factors of the last iteration: how far the
// unknowns move when the right side moves by b. Both hold one number an
// unknown, [0] unused.
func (n *Solver) Correct(b, x []float64) { n.lu.Solve(b[1:], x[1:]) }
