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
// equations; or every current evaluated anew lay where its tangent promised (see
// System.Stray), so that Kirchhoff's law holds as closely; or no node moved by
// more than 50 µV plus 1e-6 of its voltage and no branch by more than 1 µA plus
// 1e-4 of its current. Convergence is quadratic: after a step of 50 µV across a
// junction the error left is of the order of 50 nV.
package newton

import (
	"fmt"

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
	resters   []rester // those of nonlinear that can rest
	restless  []circuit.Nonlinear
	active    []circuit.Nonlinear // all that do not rest in this solve
	holders   []circuit.Holder

	entries   []sparse.Entry
	diagonal  []int32 // slot of each node's diagonal entry
	lu        *sparse.LU
	orders    []*sparse.LU // all there were so far, in order
	fresh     bool         // lu belongs to the values that Sys.A would be loaded with
	strayed   bool         // at the last load a current lay off the tangent it was solved with
	base      []float64
	rest      []float64 // base with the elements that rest in this solve
	restSide  []float64
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
		rest: make([]float64, len(l.Entries)), restSide: make([]float64, l.Unknowns),
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
			if r, ok := e.(circuit.Rester); ok {
				n.resters = append(n.resters, rester{Rester: r})
			} else {
				n.restless = append(n.restless, e)
			}
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

// unknown names an unknown: a node, or the current of a branch.
func (n *Solver) unknown(i circuit.Node) string {
	if int(i) < n.Layout.Nodes {
		return n.Names[i]
	}
	return "current of " + n.Layout.Owners[int(i)-n.Layout.Nodes]
}
