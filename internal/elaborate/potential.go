package elaborate

import (
	"math"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// potentials returns the voltage that each node has when nothing but resistive
// parts conduct and every cell is one: tap k stands at k. A node that no
// resistive part joins to a tap has none, NaN.
//
// It tells how parts stand, not what they carry: at rest nearly every node of a
// protection board is held by resistors that carry next to nothing.
func (w *work) potentials() []float64 {
	v := make([]float64, len(w.c.Nodes))
	for n := range v {
		v[n] = math.NaN()
	}
	for k, n := range w.tapNodes() {
		if n >= 0 && math.IsNaN(v[n]) {
			v[n] = float64(k)
		}
	}
	edges := w.resistive()
	unknown := w.heldNodes(v, edges)
	a, b := conductances(v, edges, unknown)
	for i, x := range solve(a, b) {
		v[unknown[i]] = x
	}
	return v
}

// heldNodes lists the nodes without a tap that resistive parts join to one.
func (w *work) heldNodes(v []float64, edges []edge) []circuit.Node {
	g := newGroups(len(v))
	for _, e := range edges {
		g.join(e.a, e.b)
	}
	held := map[circuit.Node]bool{}
	for n := range v {
		if !math.IsNaN(v[n]) {
			held[g.root(circuit.Node(n))] = true
		}
	}
	var out []circuit.Node
	for n := range v {
		if math.IsNaN(v[n]) && held[g.root(circuit.Node(n))] {
			out = append(out, circuit.Node(n))
		}
	}
	return out
}

// conductances sets up one equation for each unknown node.
func conductances(v []float64, edges []edge, unknown []circuit.Node) (a [][]float64, b []float64) {
	row := map[circuit.Node]int{}
	a, b = make([][]float64, len(unknown)), make([]float64, len(unknown))
	for i, n := range unknown {
		row[n], a[i] = i, make([]float64, len(unknown))
	}
	add := func(from, to circuit.Node, g float64) {
		i, ok := row[from]
		if !ok {
			return
		}
		a[i][i] += g
		if j, ok := row[to]; ok {
			a[i][j] -= g
		} else if !math.IsNaN(v[to]) {
			b[i] += g * v[to]
		}
	}
	for _, e := range edges {
		if e.a != e.b {
			g := 1 / math.Max(e.ohms, device.LeastOhms)
			add(e.a, e.b, g)
			add(e.b, e.a, g)
		}
	}
	return a, b
}

// solve is Gaussian elimination without pivoting, enough for a matrix that is
// diagonally dominant (Golub and Van Loan, Matrix Computations; from memory).
// It overwrites a and b.
func solve(a [][]float64, b []float64) []float64 {
	n := len(b)
	for k := range n {
		for i := k + 1; i < n; i++ {
			if f := a[i][k] / a[k][k]; f != 0 {
				for j := k; j < n; j++ {
					a[i][j] -= f * a[k][j]
				}
				b[i] -= f * b[k]
			}
		}
	}
	for k := n - 1; k >= 0; k-- {
		for j := k + 1; j < n; j++ {
			b[k] -= a[k][j] * b[j]
		}
		b[k] /= a[k][k]
	}
	return b
}
