package cell_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"cupel/internal/circuit"
	"cupel/internal/circuit/cell"
)

// residual returns A·x − B of one element alone at x.
func residual(e circuit.Nonlinear, l *circuit.Layout, s *circuit.System, x []float64) []float64 {
	e.Reset()
	for limited := true; limited; limited = s.Limited() {
		copy(s.X, x)
		clear(s.A)
		clear(s.B)
		e.Load(s)
	}
	r := make([]float64, len(x))
	for slot, at := range l.Entries {
		if slot > 0 {
			r[at[0]] += s.A[slot] * x[at[1]]
		}
	}
	for i := range r {
		r[i] -= s.B[i]
	}
	return r
}

// TestJacobian holds the matrix of every nonlinear element, rows of its own
// unknowns included, against the central difference of its equations. The
// difference errs by the third derivative, h² of it; the sharpest corner is the
// charger's, of 5 mV: 4e-6.
func TestJacobian(t *testing.T) {
	for name, make := range map[string]func() circuit.Nonlinear{
		"cell": func() circuit.Nonlinear { return cell.New("cell", 1, 2, cell.Polymer850Params(0.5)) },
		"charger": func() circuit.Nonlinear {
			return cell.NewCharger("charger", 1, 2, cell.ChargerParams{Volts: 4.2, Amps: 1})
		},
		"charger reversed": func() circuit.Nonlinear {
			return cell.NewCharger("charger", 1, 2, cell.ChargerParams{Volts: -4.2, Amps: 1})
		},
		"power": func() circuit.Nonlinear { return cell.NewPower("load", 1, 2, cell.PowerParams{Watts: 10}) },
	} {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				e := make()
				l := circuit.Lay(3, []circuit.Element{e})
				s := l.NewSystem()
				s.Alpha = rapid.SampledFrom([]float64{0, 1e-3, 1e3}).Draw(t, "alpha")
				x := append([]float64{0}, rapid.SliceOfN(rapid.Float64Range(0.05, 0.95), l.Unknowns-1, l.Unknowns-1).Draw(t, "x")...)
				x[1] += rapid.SampledFrom([]float64{0, 3.3, 3.7, 20, -4.7}).Draw(t, "volts")
				differ(t, e, &l, s, x)
			})
		})
	}
}

func differ(t *rapid.T, e circuit.Nonlinear, l *circuit.Layout, s *circuit.System, x []float64) {
	const h = 1e-5
	residual(e, l, s, x) // a charge set is taken over by the first load
	residual(e, l, s, x)
	a := append([]float64(nil), s.A...)
	for slot, at := range l.Entries {
		if slot == 0 {
			continue
		}
		up, down := append([]float64(nil), x...), append([]float64(nil), x...)
		up[at[1]] += h
		down[at[1]] -= h
		row := at[0]
		want := (residual(e, l, s, up)[row] - residual(e, l, s, down)[row]) / (2 * h)
		size := 1e3 * s.Alpha * 5000 // the largest terms, of charge and capacitances
		if math.Abs(a[slot]-want) > 1e-4*math.Abs(want)+1e-6+1e-15*size/h {
			t.Fatalf("row %d by %d at %v: %g, difference says %g", row, at[1], x, a[slot], want)
		}
	}
}
