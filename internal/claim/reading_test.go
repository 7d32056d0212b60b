package claim

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Guard band on both sides: specification 4.225 to 4.275, U 0.010 accepts
// 4.235 to 4.265 and rejects below 4.215 and above 4.285 (the default rule of
// ISO 14253-1 as paraphrased in public text; ILAC-G8:09/2019, 4.2.3 with w = U).
func TestGuardBand(t *testing.T) {
	c := volts(4.225, 4.25, 4.275)
	for _, r := range []struct {
		v              float64
		guard, without Verdict
	}{
		{4.2100, Fails, Fails},
		{4.2149, Fails, Fails},
		{4.2151, CannotTell, Fails},
		{4.2251, CannotTell, Meets},
		{4.2349, CannotTell, Meets},
		{4.2351, Meets, Meets},
		{4.2500, Meets, Meets},
		{4.2649, Meets, Meets},
		{4.2651, CannotTell, Meets},
		{4.2751, CannotTell, Fails},
		{4.2849, CannotTell, Fails},
		{4.2851, Fails, Fails},
	} {
		m := Reading{Value: r.v, Uncertainty: 0.005, Temperature: 298.15}
		if got := JudgeReading(c, m, Rule{}); got.Verdict != r.guard {
			t.Errorf("%.4f V: %s, want %s (%s)", r.v, got.Verdict, r.guard, got.Reason)
		}
		if got := JudgeReading(c, m, Rule{Simple: true}); got.Verdict != r.without {
			t.Errorf("%.4f V, simple: %s, want %s", r.v, got.Verdict, r.without)
		}
	}
}

func TestReadingReason(t *testing.T) {
	j := JudgeReading(volts(4.225, 4.25, 4.275), Reading{Value: 4.27, Uncertainty: 0.005}, Rule{})
	want := "4.27 V lies 5 mV inside the stated limits, less than its expanded uncertainty of 10 mV"
	if j.Reason != want {
		t.Errorf("reason %q, want %q", j.Reason, want)
	}
	if want := "reading inside the stated limits by its expanded uncertainty, k = 2"; j.Rule != want {
		t.Errorf("rule %q, want %q", j.Rule, want)
	}
}

// A larger uncertainty never turns "cannot tell" into a verdict, and never one
// verdict into the other.
func TestMoreDoubtNeverDecides(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		min := rapid.Float64Range(-10, 10).Draw(t, "min")
		max := min + rapid.Float64Range(0.001, 10).Draw(t, "width")
		v := rapid.Float64Range(-30, 30).Draw(t, "v")
		u := rapid.Float64Range(0, 5).Draw(t, "u")
		more := u + rapid.Float64Range(0, 5).Draw(t, "more")
		c := volts(min, math.NaN(), max)
		a := JudgeReading(c, Reading{Value: v, Uncertainty: u}, Rule{}).Verdict
		b := JudgeReading(c, Reading{Value: v, Uncertainty: more}, Rule{}).Verdict
		if b != a && b != CannotTell {
			t.Fatalf("%s with u = %g, %s with u = %g", a, u, b, more)
		}
	})
}
