package tolerance

import (
	"math"
	"slices"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial"
)

// formula is a board whose figures are formulas of its variables' levels.
type formula struct {
	variables []Variable
	figures   []func(level func(i int) float64) float64
	asked     int
}

func (f *formula) study() Study {
	l := &trial.Lesson{}
	for i := range f.figures {
		l.Results = append(l.Results, trial.Result{Quantity: protection.Detect, Outcome: protection.Found})
		l.Again = append(l.Again, i)
	}
	return Study{Variables: f.variables, Lessons: []*trial.Lesson{l}, Mine: []int{0}, Seed: 5, Ask: f.ask}
}

func (f *formula) ask(asks []Ask) ([][][]trial.Again, error) {
	out := make([][][]trial.Again, len(asks))
	for i, a := range asks {
		f.asked++
		var got []trial.Again
		for _, y := range f.figures {
			v := y(func(i int) float64 {
				if u := a.Point.Level(f.variables[i]); !math.IsNaN(u) {
					return u
				}
				return 0
			})
			g := trial.Again{Outcome: protection.Found, Value: v}
			if math.IsNaN(v) {
				g = trial.Again{Outcome: protection.NoneFound}
			}
			got = append(got, g)
		}
		out[i] = [][]trial.Again{got}
	}
	return out, nil
}

// resistors are n variables of n parts.
func resistors(n int) []Variable {
	var vs []Variable
	for i := range n {
		vs = append(vs, Variable{Name: string(rune('A' + i)), Figure: "value"})
	}
	return vs
}

func run(t *testing.T, f *formula) []Extent {
	t.Helper()
	out, err := f.study().Run()
	if err != nil {
		t.Fatal(err)
	}
	return out[0]
}

// The divider trip of 1.2 V, 249 kΩ and 100 kΩ, all ± 1 %: the exact worst case.
// An ineffective part beside it must not count.
func TestCornersOfADivider(t *testing.T) {
	f := &formula{variables: resistors(4), figures: []func(func(int) float64) float64{func(u func(int) float64) float64 {
		v, a, b := 1.2*(1+0.01*u(0)), 249e3*(1+0.01*u(1)), 100e3*(1+0.01*u(2))
		return v * (a + b) / b
	}}}
	e := run(t, f)[0]
	if math.Abs(e.Low-4.087543) > 6e-7 || math.Abs(e.High-4.290847) > 6e-7 {
		t.Errorf("%.6f to %.6f V", e.Low, e.High)
	}
	if e.Beyond || len(e.Odd) > 0 || e.Interacting || len(e.Effects) != 3 || e.R2 < 0.99 {
		t.Errorf("%+v", e)
	}
	if f.asked > 450 {
		t.Errorf("%d boards for four variables", f.asked)
	}
}

// A figure that turns back in B: neither limit of B is furthest once A is high.
// The range must reach what an exhaustive search over a grid finds, and say so.
func TestNotMonotone(t *testing.T) {
	y := func(u func(int) float64) float64 { return 10 + u(0) + 2*u(0)*u(1) + 0.3*u(1) + 0.5*u(2) }
	f := &formula{variables: resistors(3), figures: []func(func(int) float64) float64{y}}
	e := run(t, f)[0]
	low, high := math.Inf(1), math.Inf(-1)
	grid := []float64{-1, 1}
	for _, a := range grid {
		for _, b := range grid {
			for _, c := range grid {
				v := y(func(i int) float64 { return []float64{a, b, c}[i] })
				low, high = math.Min(low, v), math.Max(high, v)
			}
		}
	}
	if e.Low > low+1e-9 || e.High < high-1e-9 {
		t.Errorf("%g to %g, exhaustively %g to %g", e.Low, e.High, low, high)
	}
	if !e.Beyond || len(e.Odd) == 0 {
		t.Errorf("not said to be odd: %+v", e)
	}
	if !e.Interacting || len(e.Totals) == 0 || e.R2 >= Linear {
		t.Errorf("not said to interact: R² %g, totals %v", e.R2, e.Totals)
	}
	// Total effects: variances of u are 1/3, of u₀u₁ 1/9.
	all := 1./3 + 4./9 + 0.09/3 + 0.25/3
	if s, want := e.Totals[0].Share, (1./3+4./9)/all; math.Abs(s-want) > 0.25 {
		t.Errorf("total effect of A %.2f, want %.2f", s, want)
	}
}

// A board that finds nothing at one corner is counted, not averaged.
func TestCornerWithoutFigure(t *testing.T) {
	f := &formula{variables: resistors(2), figures: []func(func(int) float64) float64{func(u func(int) float64) float64 {
		if u(0)+u(1) > 1.5 {
			return math.NaN()
		}
		return 5 + u(0) + u(1)
	}}}
	e := run(t, f)[0]
	if !slices.Equal(e.Others, []protection.Outcome{protection.NoneFound}) {
		t.Errorf("%+v", e)
	}
	if !(e.High <= 6.5) || math.Abs(e.Low-3) > 1e-12 {
		t.Errorf("%g to %g", e.Low, e.High)
	}
}

// Eight variables of mixed signs and weights against all 256 corners.
func TestCornersAgainstExhaustiveSearch(t *testing.T) {
	weights := []float64{1, -2, 0.3, -0.01, 4, 0.7, -0.2, 0.05}
	y := func(u func(int) float64) float64 {
		s := 0.0
		for i, w := range weights {
			s += w * u(i)
		}
		return math.Exp(s/10) + 0.05*u(1)*u(4)
	}
	e := run(t, &formula{variables: resistors(8), figures: []func(func(int) float64) float64{y}})[0]
	for c := range 256 {
		v := y(func(i int) float64 { return float64(c>>i&1)*2 - 1 })
		if v < e.Low-1e-9 || v > e.High+1e-9 {
			t.Errorf("corner %d: %g outside %g to %g", c, v, e.Low, e.High)
		}
	}
}
