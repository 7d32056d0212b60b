package circuittest_test

import (
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/bias"
	"cupel/internal/circuit/circuittest"
	"cupel/internal/circuit/newton"
)

// TestKnownAtRest holds the operating point against what is known.
func TestKnownAtRest(t *testing.T) {
	for _, k := range circuittest.KnownAtRest() {
		t.Run(k.Name, func(t *testing.T) {
			n := newton.New(k.Nodes, k.Elements)
			n.Sys.Kelvin = k.Kelvin
			if _, err := bias.Operate(n); err != nil {
				t.Fatal(err)
			}
			for i, name := range k.Nodes {
				if want, ok := k.Volts[name]; ok && !k.Within.Near(n.Sys.X[i], want) {
					t.Errorf("v(%s) = %.10g V, want %.10g (%s)", name, n.Sys.X[i], want, k.Reference)
				}
			}
			for _, e := range k.Elements {
				if want, ok := k.Amps[e.Name()]; ok {
					if got := current(e, n.Sys.X); !k.Within.Near(got, want) {
						t.Errorf("i(%s) = %.10g A, want %.10g (%s)", e.Name(), got, want, k.Reference)
					}
				}
			}
		})
	}
}

func current(e circuit.Element, x []float64) float64 {
	return e.(interface{ Current([]float64) float64 }).Current(x)
}
