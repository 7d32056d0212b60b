package trial

import (
	"math"
	"testing"

	"cupel/internal/protection"
)

func TestSupplyCurrent(t *testing.T) {
	b := hinted(five())
	b.Asleep = 0.5e-6
	rs := runTrial(t, SupplyCurrent{}, on(b))
	tap := func(n int) func(Result) bool { return func(r Result) bool { return r.Tap == n } }
	for k := 1; k <= 5; k++ {
		want(t, rs.pick(t, protection.CellCurrent, cell(k), inState("idle"), atStep("cells 3.700 V")), 6e-6, 1e-12)
		want(t, rs.pick(t, protection.CellCurrent, cell(k), inState("after overdischarge"), atStep("load off")), 0.5e-6, 1e-12)
		want(t, rs.pick(t, protection.CellCurrent, cell(k), inState("after discharge-overcurrent"), atStep("load on")), 6e-6, 1e-12)
		// Full cells bleed; what the cell gives its tap takes.
		bleed := 4.2 / 43.012
		want(t, rs.pick(t, protection.CellCurrent, cell(k), inState("idle"), atStep("cells 4.200 V")), 6e-6+bleed, 1e-9)
	}
	for n, i := range map[int]float64{0: -6e-6, 1: 0, 3: 0, 5: 6e-6} {
		want(t, rs.pick(t, protection.TapCurrent, tap(n), inState("idle"), atStep("cells 3.700 V")), i, 1e-12)
	}
	for _, r := range rs {
		if r.Quantity == protection.SumError && math.Abs(r.Value) > 1e-15 {
			t.Errorf("taps %s %s sum to %g A", r.State, r.Step, r.Value)
		}
	}
	if n := len(rs); n != (2+3*3)*(6+5+1) {
		t.Errorf("%d results, want two at rest and three trips by three ports, twelve each", n)
	}
}

func TestSupplyCurrentWithoutTrips(t *testing.T) {
	b := hinted(five())
	b.Over, b.NoDischarge = nil, true
	rs := runTrial(t, SupplyCurrent{}, on(b))
	wantOutcome(t, rs.pick(t, protection.TapCurrent, inState("after overcharge")), protection.NoneFound, "there is no overcharge")
	wantOutcome(t, rs.pick(t, protection.SumError, inState("after overdischarge")), protection.NotApplicable, "P-")
}
