package device

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestOmega holds ω against its defining equation ω + ln ω = z.
func TestOmega(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.Float64Range(-700, 1e6).Draw(t, "z")
		w := wrightOmega(z)
		if got := w + math.Log(w); math.Abs(got-z) > 4e-15*math.Max(1, math.Abs(z)) {
			t.Fatalf("ω(%g) = %g: ω + ln ω = %g", z, w, got)
		}
	})
}

// TestOmegaValues holds ω against values known in closed form: ω(1) = 1,
// ω(1+e) = e, and ω(0), the omega constant, OEIS A030178.
func TestOmegaValues(t *testing.T) {
	for _, c := range []struct{ z, want float64 }{
		{1, 1}, {1 + math.E, math.E}, {0, 0.567143290409783873}, {-1000, 0},
	} {
		if got := wrightOmega(c.z); math.Abs(got-c.want) > 3e-16*c.want {
			t.Errorf("ω(%g) = %.17g, want %.17g", c.z, got, c.want)
		}
	}
}

// TestExponentialInverse holds Volts against At, with and without resistance,
// along the tangent too.
func TestExponentialInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := NewExponential(
			rapid.Float64Range(-300, -10).Draw(t, "ln Is"),
			rapid.Float64Range(0.02, 0.3).Draw(t, "w"),
			rapid.SampledFrom([]float64{0, 1e-3, 1, 1e3}).Draw(t, "R"))
		v := rapid.Float64Range(0.01, 90).Draw(t, "v")
		i, _ := e.At(v)
		if i < 1e-30 {
			t.Skip("nothing flows yet")
		}
		if got := e.Volts(i); math.Abs(got-v) > 1e-11*math.Abs(v)+1e-13*e.Slope*math.Abs(e.LnSat) {
			t.Fatalf("%g A at %g V, but that current at %g V", i, v, got)
		}
	})
}

// TestExponentialSeries holds the closed form with R against the same junction
// without it at the voltage the resistance leaves.
func TestExponentialSeries(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lnSat, w := rapid.Float64Range(-40, -12).Draw(t, "ln Is"), rapid.Float64Range(0.02, 0.06).Draw(t, "w")
		r := rapid.Float64Range(1e-3, 100).Draw(t, "R")
		with, without := NewExponential(lnSat, w, r), NewExponential(lnSat, w, 0)
		i, _ := with.At(rapid.Float64Range(-2, 3).Draw(t, "v"))
		v := without.Volts(i) + i*r
		if i < -0.9*without.sat {
			return // the logarithm has lost its argument
		}
		if again, _ := with.At(v); math.Abs(again-i) > 1e-9*math.Abs(i)+1e-15*with.sat*math.Abs(lnSat) {
			t.Fatalf("%g A, by way of %g V %g A", i, v, again)
		}
	})
}

// TestLimit holds the limiting of a junction: what it allows lies between the
// last iterate and the one asked for, and asking again and again arrives.
func TestLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := NewExponential(rapid.Float64Range(-60, -10).Draw(t, "ln Is"), 0.0257,
			rapid.SampledFrom([]float64{0, 0.01, 10}).Draw(t, "R"))
		old := rapid.Float64Range(-50, 0.9).Draw(t, "from")
		v := rapid.Float64Range(-50, 50).Draw(t, "to")
		moved := true
		for range 100 {
			was := old
			if old, moved = e.limit(v, old); !moved {
				break
			}
			if old > v || old < math.Min(was, v) {
				t.Fatalf("from %g towards %g the limit is %g", was, v, old)
			}
		}
		if moved || old != v {
			t.Fatalf("did not arrive at %g, stands at %g", v, old)
		}
	})
}
