package simulated

import "testing"

func TestEbb(t *testing.T) {
	var e ebb
	for _, c := range []struct {
		t, amps float64
		over    bool
	}{
		{0, 0, false},
		{1e-6, 100, false},
		{2e-6, 4, false},
		{8e-6, 4, false},
		{9.5e-6, 4, true}, // 8.5 µs after it was last above 5 A
		{10e-6, 50, false},
		{17e-6, 4, false},
		{19e-6, 4, true},
	} {
		if e.see(c.t, c.amps); e.over != c.over {
			t.Errorf("%g A at %g s: over %v, want %v", c.amps, c.t, e.over, c.over)
		}
	}
}
