package cell

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g ± %.1g", what, got, want, tolerance)
	}
}

// TestCurvesPublished holds every curve against its published values at tenths
// of charge, to the last digit given. NaN is a value the curve does not claim.
func TestCurvesPublished(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		curve Curve
		volts [11]float64
	}{
		"NMC811 (Chen et al. 2020)": {
			NMC811,
			[11]float64{2.4977, 3.2577, 3.4493, 3.5483, 3.6343, 3.7078, 3.8089, 3.9236, 4.0215, 4.0941, 4.1929},
		},
		"LFP (piecewise, IEEE TIM 2025)": {
			LFP,
			[11]float64{2.0102, 3.1988, 3.2385, nan, 3.2883, 3.2990, 3.3098, 3.3206, 3.3314, 3.3421, 3.5981},
		},
		"LCO polymer (Chen and Rincón-Mora 2006)": {
			Polymer850,
			[11]float64{2.6540, 3.6746, 3.7250, 3.7477, 3.7729, 3.8034, 3.8411, 3.8880, 3.9460, 4.0170, 4.1029},
		},
		"high-nickel 4.2 Ah (IEEE TIM 2025)": {
			HighNickel4200,
			[11]float64{2.5061, 3.3311, 3.4749, 3.5803, 3.6575, 3.7427, 3.8388, 3.9348, 4.0309, 4.0849, 4.1932},
		},
	} {
		for i, want := range c.volts {
			if got, _ := c.curve.At(float64(i) / 10); !math.IsNaN(want) {
				within(t, name, got, want, 6e-5)
			}
		}
		if c.curve.Source() == "" {
			t.Errorf("%s cites nothing", name)
		}
	}
}

// TestNMC811Twentieths holds the model at 5 % steps too.
func TestNMC811Twentieths(t *testing.T) {
	for i, want := range []float64{
		2.4977, 3.0728, 3.2577, 3.3961, 3.4493, 3.4942, 3.5483, 3.5971, 3.6343, 3.6682, 3.7078, 3.7573,
		3.8089, 3.8621, 3.9236, 3.9713, 4.0215, 4.0700, 4.0941, 4.1158, 4.1929,
	} {
		got, _ := NMC811.At(float64(i) / 20)
		within(t, "voltage", got, want, 6e-5)
	}
}

// TestLFPFlat holds the slope of LFP between 30 and 98 %: 0.10771 V per unit.
func TestLFPFlat(t *testing.T) {
	_, slope := LFP.At(0.6)
	within(t, "slope", slope, 0.10771, 1e-5)
}

// TestCurveShape holds that every curve rises, that its slope is that of its
// values, and that it goes on beyond both ends.
func TestCurveShape(t *testing.T) {
	curves := []Curve{NMC811, LFP, Polymer850, HighNickel4200, HighNickel3100}
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SampledFrom(curves).Draw(t, "curve")
		s := rapid.Float64Range(-0.2, 1.2).Draw(t, "soc")
		const h = 1e-6
		a, _ := c.At(s - h)
		b, _ := c.At(s + h)
		v, slope := c.At(s)
		if !(a < v && v < b) {
			t.Fatalf("%s: falls at %g", c.Source(), s)
		}
		if _, ok := c.(*Table); !ok && math.Abs((b-a)/(2*h)/slope-1) > 1e-4 {
			t.Fatalf("%s: slope %g at %g, difference says %g", c.Source(), slope, s, (b-a)/(2*h))
		}
	})
}

// TestSOCAt holds that the charge found for a voltage has that voltage.
func TestSOCAt(t *testing.T) {
	for _, volts := range []float64{3.0, 3.7, 4.1} {
		got, _ := NMC811.At(SOCAt(NMC811, volts))
		within(t, "voltage", got, volts, 1e-9)
	}
	within(t, "above full", SOCAt(NMC811, 5), 1, 1e-12)
}
