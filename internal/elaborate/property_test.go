package elaborate

import (
	"math"
	"slices"
	"testing"

	"cupel/internal/board"
	"cupel/internal/catalog/generic"
	"cupel/internal/circuit"

	"pgregory.net/rapid"
)

// However the nets of a board are exchanged, it is a circuit or a finding says
// why not, and every element lies on nodes that there are.
func TestAnyWiringIsACircuitOrAFinding(t *testing.T) {
	boards := []*board.Board{read(t, load(t, "chain-5s.yaml")), read(t, load(t, "stack-3s.yaml")), read(t, highSide)}
	rapid.Check(t, func(t *rapid.T) {
		b := scrambled(t, rapid.SampledFrom(boards).Draw(t, "board"))
		c, list := Elaborate(b, generic.Sheet, Options{Apart: rapid.Bool().Draw(t, "apart")})
		for _, e := range c.Elements {
			for _, n := range e.Terminals() {
				if n < 0 || int(n) >= len(c.Nodes) {
					t.Fatalf("%s lies on node %d of %d", e.Name(), n, len(c.Nodes))
				}
			}
		}
		for _, f := range list {
			if f.Code == "" || f.Text == "" || f.Do == "" {
				t.Fatalf("an empty finding: %+v", f)
			}
		}
	})
}

// scrambled returns the board with some pins and pads on other nets.
func scrambled(t *rapid.T, b *board.Board) *board.Board {
	out := *b
	out.Parts, out.Pads = slices.Clone(b.Parts), slices.Clone(b.Pads)
	net := rapid.IntRange(int(board.NoNet), len(b.Nets)-1)
	for range rapid.IntRange(1, 12).Draw(t, "moves") {
		i := rapid.IntRange(0, len(out.Parts)-1).Draw(t, "part")
		pins := slices.Clone(out.Parts[i].Pins)
		pins[rapid.IntRange(0, len(pins)-1).Draw(t, "pin")].Net = board.NetID(net.Draw(t, "net"))
		out.Parts[i].Pins = pins
	}
	if rapid.Bool().Draw(t, "a pad too") {
		out.Pads[rapid.IntRange(0, len(out.Pads)-1).Draw(t, "pad")].Net = board.NetID(net.Draw(t, "net of the pad"))
	}
	return &out
}

// A ladder of resistors has the potentials of its divider.
func TestPotentialsOfADivider(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(1, 1e6).Draw(t, "a"), rapid.Float64Range(1, 1e6).Draw(t, "b")
		v := []float64{0, 3, math.NaN()}
		edges := []edge{{a: 1, b: 2, ohms: a}, {a: 2, b: 0, ohms: b}}
		m, rhs := conductances(v, edges, []circuit.Node{2})
		got, want := solve(m, rhs)[0], 3*b/(a+b)
		if math.Abs(got-want) > 1e-9*want {
			t.Fatalf("%g and %g Ω: %g, want %g", a, b, got, want)
		}
	})
}

// Elimination against what it must satisfy: the equations themselves.
func TestSolveSatisfiesItsEquations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "n")
		edges, v, unknown := ladder(t, n)
		a, b := conductances(v, edges, unknown)
		keep := make([][]float64, n)
		for i := range a {
			keep[i] = slices.Clone(a[i])
		}
		want := slices.Clone(b)
		x := solve(a, b)
		for i := range keep {
			sum := 0.
			for j := range x {
				sum += keep[i][j] * x[j]
			}
			if math.Abs(sum-want[i]) > 1e-9*keep[i][i] {
				t.Fatalf("equation %d: %g, want %g", i, sum, want[i])
			}
		}
	})
}

// ladder is a chain of n unknown nodes between a tap at 1 and one at 0, with
// resistors thrown across.
func ladder(t *rapid.T, n int) (edges []edge, v []float64, unknown []circuit.Node) {
	v = []float64{0, 1}
	ohms := rapid.Float64Range(0.1, 1e6)
	last := circuit.Node(1)
	for k := range n {
		node := circuit.Node(k + 2)
		v, unknown = append(v, math.NaN()), append(unknown, node)
		edges = append(edges, edge{a: last, b: node, ohms: ohms.Draw(t, "rung")})
		other := circuit.Node(rapid.IntRange(0, k+1).Draw(t, "other end"))
		edges = append(edges, edge{a: node, b: other, ohms: ohms.Draw(t, "across")})
		last = node
	}
	return append(edges, edge{a: last, b: 0, ohms: ohms.Draw(t, "foot")}), v, unknown
}
