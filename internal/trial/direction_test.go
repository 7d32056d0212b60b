package trial

import (
	"math"
	"testing"

	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
)

// The four states of a direction, at and beside each of their limits.
func TestJudge(t *testing.T) {
	cases := []struct {
		amps, drop float64
		want       string
	}{
		{5e-3, 0, "on"},
		{4.51e-3, 0.19, "on"},
		{4.4e-3, 0.05, "undefined"},
		{5e-3, 0.2, "diode"},
		{5e-3, -0.6, "diode"},
		{4.6e-3, 1.19, "diode"},
		{5e-3, 1.2, "undefined"},
		{0, 18.5, "open"},
		{0.49e-3, 14.8, "open"},
		{0.49e-3, 14.7, "undefined"},
		{0.51e-3, 18, "undefined"},
		{2e-3, 10, "undefined"},
		{0, 0, "undefined"},
		{math.NaN(), 0, "undefined"},
		{0, math.NaN(), "undefined"},
	}
	for _, c := range cases {
		if d := judge(c.amps, c.drop, 5e-3, 18.5); d.word != c.want {
			t.Errorf("%g A at %g V is %s, want %s", c.amps, c.drop, d, c.want)
		}
	}
}

// A diode in front of few cells takes more than a tenth of a resistor's
// current, and is a diode all the same.
func TestDiodeOfFewCells(t *testing.T) {
	b := five()
	b.Cells, b.Diode = 2, true
	r := rigtest.NewIdeal(b)
	s := newStand(t.Context(), r)
	if err := s.rest(2.6); err != nil {
		t.Fatal(err)
	}
	if err := s.cell(1, 2.4); err != nil {
		t.Fatal(err)
	}
	if err := s.dwell(1); err != nil {
		t.Fatal(err)
	}
	d, err := s.probe(dischargePort)
	if err != nil || d.word != isDiode {
		t.Errorf("two cells behind a body diode: %s, %v", d, err)
	}
}

func TestRestNotesTheWake(t *testing.T) {
	b := five()
	b.NeedsWake = true
	for name, r := range map[string]rig.Rig{"rewinds": rigtest.NewIdeal(b), "bench": plain{rigtest.NewIdeal(b)}} {
		s := newStand(t.Context(), r)
		if err := s.ready(3.7, dischargePort); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if !s.woke {
			t.Errorf("%s: the wake step was not noted", name)
		}
	}
	b.NoCharge = true
	if err := newStand(t.Context(), rigtest.NewIdeal(b)).ready(3.7, dischargePort); err == nil {
		t.Error("a board that sleeps and cannot be charged is said to be ready")
	}
}
