package trial

import (
	"testing"

	"cupel/internal/protection"
)

func TestPath(t *testing.T) {
	rs := runTrial(t, Path{}, on(hinted(five())))
	n := 0
	for _, r := range rs {
		switch r.Quantity {
		case protection.Resistance:
			want(t, r, 8e-3, 1e-9)
			n++
		case protection.BankResistance:
			want(t, r, 4e-3, 1e-9)
		case protection.GateVoltage:
			want(t, r, 10, 1e-9)
		}
	}
	if n != 2*3*3 {
		t.Errorf("%d resistances, want 1, 10 and 20 A at three cell voltages, both ways", n)
	}
	want(t, rs.pick(t, protection.Resistance, portOf("charge"), atStep("20 A, cells 3.700 V")), 8e-3, 1e-9)
}

func TestPathNotCarried(t *testing.T) {
	b := hinted(five())
	b.CellOhms, b.PathOhms = 0.5, 0.5 // 18.5 V into 3 Ω: 6 A
	rs := runTrial(t, Path{}, on(b))
	wantOutcome(t, rs.pick(t, protection.Resistance, portOf("discharge"), atStep("10 A, cells 3.700 V")), protection.NotReached, "flow")
	b.NoCharge = true
	wantOutcome(t, runTrial(t, Path{}, on(b)).pick(t, protection.Resistance, portOf("charge")), protection.NotApplicable, "C-")
}

func TestPathCurrents(t *testing.T) {
	for _, c := range []struct {
		rated, limit float64
		want         int
	}{{0, 0, 2}, {20, 0, 3}, {6, 0, 2}, {10, 0, 2}, {20, 5, 1}, {20, 15, 2}} {
		b := five()
		b.Rated = c.rated
		a := on(b)().Can()
		a.LoadLimit = c.limit
		if got := pathAmps(a, dischargePort); len(got) != c.want {
			t.Errorf("rated %g A, load to %g A: %v, want %d currents", c.rated, c.limit, got, c.want)
		}
	}
}
