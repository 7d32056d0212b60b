package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// JCGM 106:2012, 7: the guide prints 0.92 and 0.66.
func TestConformance(t *testing.T) {
	inf := math.Inf(1)
	near(t, "one-sided", Conformance(-5.47, 0.05, -inf, -5.40), 0.91924, 5e-6)
	near(t, "two-sided", Conformance(13.6, 1.8, 12.5, 16.3), 0.66263, 5e-6)
	near(t, "at the limit drawn in by 2u", Conformance(-2, 1, -inf, 0), 0.977250, 5e-7)
	near(t, "at the limit drawn in by 1.645u", Conformance(-1.645, 1, -inf, 0), 0.950015, 5e-7)
	near(t, "simple acceptance", Conformance(4.268, 0.005, -inf, 4.275), 0.919243, 5e-7)
	near(t, "ratio", TestUncertaintyRatio(4.225, 4.275, 0.010), 2.5, 1e-12)
}

// A specification 4.225…4.275 V judged with U = 10 mV.
func TestGuarded(t *testing.T) {
	for _, c := range []struct {
		y               float64
		inside, outside bool
	}{
		{4.2351, true, false},
		{4.2649, true, false},
		{4.2349, false, false},
		{4.2651, false, false},
		{4.2151, false, false},
		{4.2149, false, true},
		{4.2849, false, false},
		{4.2851, false, true},
	} {
		if in, out := Guarded(c.y, 4.225, 4.275, 0.010); in != c.inside || out != c.outside {
			t.Errorf("%g V: inside %v, outside %v", c.y, in, out)
		}
	}
}

func TestClopperPearson(t *testing.T) {
	for _, c := range []struct {
		k, n      int
		low, high float64
	}{
		{0, 10, 0, 0.308497},
		{1, 10, 0.002529, 0.445016},
		{2, 10, 0.025211, 0.556095},
		{1, 20, 0.001265, 0.248733},
		{5, 50, 0.033275, 0.218135},
		{10, 10, 0.691503, 1},
	} {
		low, high := ClopperPearson(c.k, c.n, 0.95)
		near(t, "low", low, c.low, 6e-7)
		near(t, "high", high, c.high, 6e-7)
	}
	near(t, "one-sided", UpperProportion(0, 10, 0.95), 0.258866, 6e-7)
}

// Whatever the truth, the bounds hold it as often as they say. 200 draws of a
// binomial per truth; 95 % of them, less four deviations.
func TestClopperPearsonCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, p := range []float64{0.003, 0.05, 0.5} {
		held := 0
		for range 200 {
			k := 0
			for range 120 {
				if rng.Float64() < p {
					k++
				}
			}
			if low, high := ClopperPearson(k, 120, 0.95); low <= p && p <= high {
				held++
			}
		}
		if held < 177 {
			t.Errorf("p = %g: the bounds held %d of 200 times", p, held)
		}
	}
}

func TestZeroFailures(t *testing.T) {
	for _, c := range []struct {
		confidence, reliability float64
		n                       int
	}{{0.95, 0.95, 59}, {0.9, 0.9, 22}, {0.95, 0.9, 29}, {0.95, 0.99, 299}, {0.9, 0.95, 45}, {0.99, 0.99, 459}, {0.6, 0.9, 9}} {
		if n := ZeroFailures(c.confidence, c.reliability); n != c.n {
			t.Errorf("%g/%g: %d tries, want %d", c.confidence, c.reliability, n, c.n)
		}
	}
	near(t, "5", Shown(5, 0.95), 0.549280, 6e-7)
	near(t, "10", Shown(10, 0.95), 0.741134, 6e-7)
	near(t, "22", Shown(22, 0.95), 0.872695, 6e-7)
}

// divider is a trip V = Vr·(R1+R2)/R2.
func divider(x []float64) float64 { return x[0] * (x[1] + x[2]) / x[2] }

var dividerInputs = []Limit{Symmetric(1.2, 0.01), Symmetric(249e3, 0.01), Symmetric(100e3, 0.01)}

func TestDividerStack(t *testing.T) {
	low, high := WorstCase(divider, dividerInputs)
	near(t, "low", low, 4.087543, 6e-7)
	near(t, "high", high, 4.290847, 6e-7)
	worst, rss := Linear(divider, dividerInputs)
	near(t, "linear worst case", worst, 0.101640, 6e-7)
	near(t, "root-sum-square", rss, 0.059494, 6e-7)
	near(t, "deviation of even spreads", rss/math.Sqrt(3), 0.034349, 6e-7)
}

// Sampling the divider gives the analytic deviation: 100 000 samples, four
// standard errors of mean and deviation.
func TestDividerSampled(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 0))
	const n = 100_000
	ys := make([]float64, n)
	x := make([]float64, 3)
	for i := range ys {
		for k, in := range dividerInputs {
			x[k] = in.Low + (in.High-in.Low)*rng.Float64()
		}
		ys[i] = divider(x)
	}
	s := Describe(ys)
	near(t, "mean", s.Mean, 4.1882, 4*0.0343/math.Sqrt(n))
	near(t, "deviation", s.SD, 0.034349, 4*0.0343/math.Sqrt(2*n)+3e-5) // the second order adds 3e-5
	if !s.Bounded || !(s.LowBounds[0] <= s.Low && s.Low <= s.LowBounds[1]) || !(s.HighBounds[0] <= s.High && s.High <= s.HighBounds[1]) {
		t.Errorf("bounds %v and %v do not hold %g and %g", s.LowBounds, s.HighBounds, s.Low, s.High)
	}
}

// An overcurrent of 150 ± 15 mV over 17 mΩ ± 15 %.
func TestOvercurrentStack(t *testing.T) {
	in := []Limit{{0.135, 0.150, 0.165}, Symmetric(17e-3, 0.15)}
	trip := func(x []float64) float64 { return x[0] / x[1] }
	low, high := WorstCase(trip, in)
	near(t, "low", low, 6.9054, 5e-5)
	near(t, "high", high, 11.4187, 5e-5)
	_, rss := Linear(trip, in)
	near(t, "root-sum-square", rss, 1.5907, 5e-5)
}

func TestCapability(t *testing.T) {
	cp, cpk, ppm := Capability(4.253, 0.008, 4.225, 4.275)
	near(t, "Cp", cp, 1.04167, 5e-6)
	near(t, "Cpk", cpk, 0.91667, 5e-6)
	near(t, "ppm", ppm, 3212.39, 5e-3)
	near(t, "Howe", ToleranceFactor(10, 0.95, 0.95), 3.3819, 5e-5)
	if n := MeanSamples(8, 5, 0.95); n != 10 {
		t.Errorf("%d samples, want 10", n)
	}
}

// The counts below which a percentile or its bound must not be printed.
func TestLeastSamples(t *testing.T) {
	if n := LeastSamples(OuterLow); n != 740 {
		t.Errorf("a percentile of 0.135 %% from %d samples on, want 740", n)
	}
	if n := LeastBounded(OuterLow, 0.95); n != 2218 {
		t.Errorf("a 95 %% bound from %d samples on, want 2218", n)
	}
	for _, p := range []float64{OuterLow, OuterHigh} {
		if _, _, ok := PercentileBounds(2217, p, 0.95); ok {
			t.Errorf("2217 samples bound the percentile %g", p)
		}
		if _, _, ok := PercentileBounds(2218, p, 0.95); !ok {
			t.Errorf("2218 samples do not bound the percentile %g", p)
		}
	}
	few := Describe(make([]float64, 739))
	if !math.IsNaN(few.Low) || !math.IsNaN(few.High) || few.Bounded {
		t.Errorf("739 samples have outer percentiles: %+v", few)
	}
	if some := Describe(make([]float64, 740)); math.IsNaN(some.Low) || some.Bounded {
		t.Errorf("740 samples: %+v", some)
	}
}

// The ranks against the binomial sum itself.
func TestPercentileBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 400).Draw(t, "n")
		p := rapid.Float64Range(0.02, 0.7).Draw(t, "p") // above it (1−p)ⁿ of the sum vanishes
		r, s, ok := PercentileBounds(n, p, 0.95)
		below := func(k int) float64 { // P(B ≤ k), added up
			sum, term := 0.0, math.Pow(1-p, float64(n))
			for i := 0; i <= k; i++ {
				sum += term
				term *= float64(n-i) / float64(i+1) * p / (1 - p)
			}
			return sum
		}
		if !ok {
			return // TestLeastSamples holds where that is
		}
		if got := below(r); got > 0.05+1e-9 { // ranks from 0: x₍ᵣ₊₁₎
			t.Errorf("n %d p %g: the lower bound fails with probability %g", n, p, got)
		}
		if got := below(s); got < 0.95-1e-9 {
			t.Errorf("n %d p %g: the upper bound holds with probability %g only", n, p, got)
		}
	})
}

// A mean of values with a large common part, in any order, has the same bits.
func TestDescribeForgetsOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-1, 1), 1, 50).Draw(t, "x")
		y := rapid.Permutation(x).Draw(t, "y")
		a, b := Describe(x), Describe(y)
		if math.Float64bits(a.Mean) != math.Float64bits(b.Mean) || math.Float64bits(a.SD) != math.Float64bits(b.SD) || a.Mid != b.Mid {
			t.Errorf("%+v and %+v", a, b)
		}
	})
}
