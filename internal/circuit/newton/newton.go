// Package newton solves the equations of a circuit at one point in time, or at
// rest, by Newton's method with junction limiting.
//
// # Equations
//
// The unknowns are one voltage a node and one current a voltage-defined
// branch. Elements are loaded in the form A·x = B: a nonlinear element of
// current i(v) adds its slope g = di/dv to A and g·v − i(v) to B, both at the
// last iterate, so that the solution is the next iterate. Elements that are
// linear while nothing switches are added once for each step size and once for
// each solve respectively; only the nonlinear ones are loaded again in each
// iteration.
//
// # Stopping
//
// After each solution the elements are loaded again there. The iteration has
// converged when none limited its voltages and either every element was still
// on its tangent (see circuit.Still), so that the solution is that of the
// equations, or no node moved by more than 50 µV plus 1e-6 of its voltage and no
// branch by more than 1 µA plus 1e-4 of its current. Convergence is quadratic:
// after a step of 50 µV across a junction the error left is of the order of
// 50 nV.
package newton

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"cupel/internal/circuit"
	"cupel/internal/circuit/sparse"
)

// The tolerances of the stopping test.
const (
	NodeVolts      = 50e-6 // V
	nodeRelative   = 1e-6
	branchAbsolute = 1e-6 // A
	branchRelative = 1e-4
)

// Solver is a circuit made ready to be solved.
type Solver struct {
	Sys    *circuit.System
	Layout circuit.Layout
	Names  []string // of the nodes; [0] is the reference

	// Anchor ties every node to AnchorTo through that conductance: 0 in any
	// result, more while the operating point is searched by pseudo-transient.
	Anchor   float64 // S
	AnchorTo []float64

	// Tie lets the solver tie a node that nothing holds to the reference through
	// tieSiemens, and go on, instead of returning a *Floating. Tied lists them.
	Tie  bool
	Tied []circuit.Node

	// Loose multiplies the tolerances of the stopping test; 0 means 1.
	Loose float64

	// Iterations, Analyses and Reuses count the work done so far.
	Iterations, Analyses, Reuses int

	elements  []circuit.Element
	linear    []circuit.Linear
	sources   []circuit.Linear // those of linear that are not static
	nonlinear []circuit.Nonlinear
	holders   []circuit.Holder

	entries   []sparse.Entry
	diagonal  []int32 // slot of each node's diagonal entry
	lu        *sparse.LU
	fresh     bool // lu belongs to the values that Sys.A would be loaded with
	strayed   bool // at the last load a current lay off the tangent it was solved with
	base      []float64
	baseAlpha float64
	baseKnown bool
	side      []float64
	next      []float64
	worst     circuit.Node // unknown that moved most in the last iteration
}

// New binds the elements to a solver. names holds the nodes' names, names[0]
// the reference's.
func New(names []string, elements []circuit.Element) *Solver {
	l := circuit.Lay(len(names), elements)
	n := &Solver{
		Sys: l.NewSystem(), Layout: l, Names: names, elements: elements,
		AnchorTo: make([]float64, l.Unknowns),
		base:     make([]float64, len(l.Entries)), side: make([]float64, l.Unknowns),
		next: make([]float64, l.Unknowns), diagonal: make([]int32, l.Nodes),
	}
	for slot, e := range l.Entries {
		if slot == 0 {
			continue
		}
		n.entries = append(n.entries, sparse.Entry{Row: int32(e[0] - 1), Col: int32(e[1] - 1)})
		if e[0] == e[1] && int(e[0]) < l.Nodes {
			n.diagonal[e[0]] = int32(slot)
		}
	}
	for _, e := range elements {
		switch e := e.(type) {
		case circuit.Linear:
			n.linear = append(n.linear, e)
			if _, static := e.(circuit.Static); !static {
				n.sources = append(n.sources, e)
			}
		case circuit.Nonlinear:
			n.nonlinear = append(n.nonlinear, e)
		default:
			panic(fmt.Sprintf("newton: element %s is neither linear nor nonlinear", e.Name()))
		}
		if h, ok := e.(circuit.Holder); ok {
			n.holders = append(n.holders, h)
		}
	}
	return n
}

// Touch tells the solver that what the matrix is made from changed beside the
// unknowns: a linear element's value, gmin, the temperature.
func (n *Solver) Touch() { n.baseKnown = false }

// Elements returns the elements in the order they were given.
func (n *Solver) Elements() []circuit.Element { return n.elements }

// Forget makes every nonlinear element forget its last iterate.
func (n *Solver) Forget() {
	for _, e := range n.nonlinear {
		e.Reset()
	}
}

// Hold appends all that the elements remember to m.
func (n *Solver) Hold(m []float64) []float64 {
	for _, h := range n.holders {
		m = h.Hold(m)
	}
	return m
}

// Pivots returns the present choice of pivots, to be given back to Recall.
func (n *Solver) Pivots() *sparse.LU { return n.lu }

// Recall gives back what Hold saved, and the pivots of then: with others the same
// equations have the same solution only to rounding.
func (n *Solver) Recall(m []float64, pivots *sparse.LU) {
	n.lu = pivots
	for _, h := range n.holders {
		m = h.Recall(m)
	}
	n.fresh = false
}

// NotConverged says that the iteration found no solution.
type NotConverged struct {
	Node    string // unknown that moved most in the last iteration
	Element string // nonlinear element on that node
	Time    float64
	Step    float64 // 0 at an operating point
	Tries   int
}

func (e *NotConverged) Error() string {
	at := "at the operating point"
	if e.Step > 0 {
		at = fmt.Sprintf("at %.6g s, step %.3g s", e.Time, e.Step)
	}
	return fmt.Sprintf("no convergence %s after %d iterations: node %s at %s still moves", at, e.Tries, e.Node, e.Element)
}

// Floating says that the equations leave a node open: nothing holds its
// voltage.
type Floating struct{ Node string }

func (e *Floating) Error() string {
	return fmt.Sprintf("nothing holds the voltage of node %s: it floats, or sources form a loop there", e.Node)
}

// Solve iterates from Sys.X until converged, in at most limit iterations, and
// leaves the solution in Sys.X and the states' charges and rates in Sys.Q and
// Sys.F. The error is a *NotConverged or a *Floating.
func (n *Solver) Solve(limit int) error {
	n.prepare()
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
		n.load()
		limited = n.Sys.Limited()
		if !limited && (n.fresh || free && (!n.strayed || moved <= max(n.Loose, 1))) {
			for _, e := range n.sources {
				e.Store(n.Sys)
			}
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

// load linearises at Sys.X. It leaves fresh set where no slope differs from
// those that the matrix was last factorised with.
func (n *Solver) load() {
	s := n.Sys
	copy(s.A, n.base)
	copy(s.B, n.side)
	s.Changed()
	s.Strayed()
	for _, e := range n.nonlinear {
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
	if n.lu != nil && n.lu.Factor(values) == nil {
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
	return nil
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

func (n *Solver) notConverged(tries int) error {
	e := &NotConverged{Node: n.unknown(n.worst), Time: n.Sys.Time, Tries: tries, Element: "a linear part"}
	if n.Sys.Alpha > 0 {
		e.Step = 1 / n.Sys.Alpha
	}
	for _, el := range n.nonlinear {
		for _, t := range el.Terminals() {
			if t == n.worst {
				e.Element = el.Name()
				return e
			}
		}
	}
	return e
}

// unknown names an unknown: a node, or the current of a branch.
func (n *Solver) unknown(i circuit.Node) string {
	if int(i) < n.Layout.Nodes {
		return n.Names[i]
	}
	return "current of " + n.Layout.Owners[int(i)-n.Layout.Nodes]
}
