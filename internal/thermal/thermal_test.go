package thermal

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance {
		t.Errorf("%s = %.8g, want %.8g ± %g", what, got, want, tolerance)
	}
}

// own is a network made up for these tests; its figures were recomputed by hand
// from the formula of JESD51-14 (from memory).
var own = Foster{{1, 1e-3}, {4, 20e-3}, {15, 0.5}, {20, 20}}

func TestFosterOverTime(t *testing.T) {
	for _, c := range []struct{ s, z float64 }{
		{0.1e-3, 0.118212},
		{1e-3, 0.858173},
		{10e-3, 2.880849},
		{0.1, 7.791837},
		{1, 18.945382},
		{10, 27.869387},
		{100, 39.865241},
	} {
		near(t, "Z", own.At(c.s), c.z, 1e-6)
	}
	near(t, "total", own.Total(), 40, 1e-12)
	near(t, "50 W for 10 ms", own.Respond().Step(50, 10e-3), 144.0425, 1e-4)
}

// 20 W for 10 ms, seen 40 ms after its end, by superposition and step by step.
func TestSuperposition(t *testing.T) {
	near(t, "by the curve", 20*(own.At(50e-3)-own.At(40e-3)), 9.943252, 1e-6)
	r := own.Respond()
	r.Step(20, 4e-3)
	r.Step(20, 6e-3)
	near(t, "step by step", r.Step(0, 40e-3), 9.943252, 1e-6)
}

// 10 W for a fifth of every 10 ms: the formula, and the response to many periods.
func TestPeriodic(t *testing.T) {
	near(t, "peak", own.Periodic(10, 0.2, 10e-3), 88.56972, 1e-5)
	r := own.Respond()
	peak := 0.0
	for range 30000 {
		peak = r.Step(10, 2e-3)
		r.Step(0, 8e-3)
	}
	near(t, "peak after many periods", peak, 88.56972, 1e-4)
}

// One section is its own stage; a ladder of two equal sections has the golden
// ratio in its rates: (3 ∓ √5)/2 over RC.
func TestCauerToFoster(t *testing.T) {
	f := Cauer{{2, 3}}.Foster()
	if len(f) != 1 {
		t.Fatal(f)
	}
	near(t, "R", f[0].KelvinPerWatt, 2, 1e-12)
	near(t, "τ", f[0].Seconds, 6, 1e-12)
	f = Cauer{{1, 1}, {1, 1}}.Foster()
	near(t, "fast rate", 1/f[0].Seconds, (3+math.Sqrt(5))/2, 1e-12)
	near(t, "slow rate", 1/f[1].Seconds, (3-math.Sqrt(5))/2, 1e-12)
}

// Turning one form into the other and back keeps the curve, and a ladder from
// a sum of stages has no negative part.
func TestConversionGoesRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var f Foster
		tau := 1e-5
		for range rapid.IntRange(1, 8).Draw(t, "stages") {
			tau *= rapid.Float64Range(2.5, 30).Draw(t, "ratio")
			f = append(f, Stage{rapid.Float64Range(0.05, 50).Draw(t, "R"), tau})
		}
		c := f.Cauer()
		if len(c) != len(f) {
			t.Fatalf("%d sections of %d stages", len(c), len(f))
		}
		total := 0.0
		for _, s := range c {
			total += s.KelvinPerWatt
			if !(s.KelvinPerWatt > 0 && s.JoulePerKelvin > 0) {
				t.Fatalf("no ladder: %v", c)
			}
		}
		if math.Abs(total-f.Total()) > 1e-6*total {
			t.Fatalf("total %g, want %g", total, f.Total())
		}
		back := c.Foster()
		for s := 1e-6; s < 1e3; s *= 10 {
			if math.Abs(back.At(s)-f.At(s)) > 1e-6*f.Total() {
				t.Fatalf("Z(%g) = %g, want %g", s, back.At(s), f.At(s))
			}
		}
	})
}

// Ladders may be put in a row where sums may not: the two together end at both
// totals, and begin as the first alone.
func TestLaddersInARow(t *testing.T) {
	first := Foster{{1, 1e-3}, {4, 20e-3}}
	both := append(first.Cauer(), Foster{{15, 10}, {20, 200}}.Cauer()...).Foster()
	near(t, "total", both.Total(), 40, 1e-6)
	near(t, "after 0.1 ms", both.At(1e-4), first.At(1e-4), 1e-4)
}

// self is the closed form of one resistance that warms itself: R25 = 17 mΩ,
// 40 K/W, 0.5 %/K from 25 °C.
func self(amps, ambient float64) (Network, Losses) {
	return Network{[][]float64{{40}}}, func(rise []float64) ([]float64, error) {
		return []float64{amps * amps * 17e-3 * (1 + 0.005*(ambient+rise[0]-25))}, nil
	}
}

func TestSelfHeating(t *testing.T) {
	for _, c := range []struct{ amps, rise float64 }{{5, 18.5792}, {10, 103.0303}, {12, 191.8495}} {
		n, p := self(c.amps, 25)
		r, err := n.Settle(p, Guess{})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "rise", r.Rises[0], c.rise, 0.01)
		if r.Rounds > 3 {
			t.Errorf("%g A took %d looks at a straight line", c.amps, r.Rounds)
		}
		// The gain grows with the square of the current, and is 1 at 17.15 A.
		near(t, "critical current", c.amps/math.Sqrt(r.Gain), 17.14986, 1e-3)
	}
	n, p := self(10, 25)
	r, _ := n.Settle(p, Guess{})
	near(t, "gain at 10 A", r.Gain, 0.34, 1e-6)
}

// The current that settles at 100 °C.
func TestSelfHeatingLimit(t *testing.T) {
	for ambient, amps := range map[float64]float64{25: 8.95622, 40: 8.01069} {
		n, p := self(amps, ambient)
		r, err := n.Settle(p, Guess{})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "temperature", ambient+r.Rises[0], 100, 0.01)
	}
}

func TestRunaway(t *testing.T) {
	for _, amps := range []float64{17.2, 20, 60} {
		n, p := self(amps, 25)
		_, err := n.Settle(p, Guess{})
		var away *Runaway
		if !errors.As(err, &away) || away.Gain < 1 {
			t.Errorf("%g A: %v", amps, err)
		}
	}
	n, p := self(17.1, 25)
	if r, err := n.Settle(p, Guess{}); err == nil && r.Rises[0] < 1000 {
		t.Errorf("just below the runaway: %v", r.Rises)
	}
}

// 20 A over 8 and 10 mΩ, 40 K/W each: the better one runs hotter, and the
// tempco evens the sharing out.
func TestSharing(t *testing.T) {
	cold := []float64{8e-3, 10e-3}
	var shares []float64
	n := Network{[][]float64{{40, 0}, {0, 40}}}
	r, err := n.Settle(func(rise []float64) ([]float64, error) {
		g, watts := 0.0, make([]float64, 2)
		shares = make([]float64, 2)
		for i := range cold {
			shares[i] = 1 / (cold[i] * (1 + 0.005*rise[i]))
			g += shares[i]
		}
		for i := range cold {
			shares[i] *= 20 / g
			watts[i] = shares[i] * 20 / g
		}
		return watts, nil
	}, Guess{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "share of 8 mΩ", shares[0], 10.9447, 1e-3)
	near(t, "share of 10 mΩ", shares[1], 9.0553, 1e-3)
	near(t, "8 mΩ in °C", 25+r.Rises[0], 72.42, 0.01)
	near(t, "10 mΩ in °C", 25+r.Rises[1], 64.23, 0.01)
}

// A body diode loses less as it warms: it settles though nothing else helps.
func TestALossThatFalls(t *testing.T) {
	n := Network{[][]float64{{40}}}
	r, err := n.Settle(func(rise []float64) ([]float64, error) { return []float64{8 * (0.75 - 2e-3*rise[0])}, nil }, Guess{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rise", r.Rises[0], 240/(1+40*8*2e-3), 0.02)
	if r.Gain != 0 {
		t.Errorf("gain = %g", r.Gain)
	}
}
