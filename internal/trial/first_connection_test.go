package trial

import (
	"math/rand/v2"
	"slices"
	"testing"

	"cupel/internal/protection"
)

func seeded(i int) rand.Source { return rand.NewPCG(7, uint64(i)) }

func TestFirstConnection(t *testing.T) {
	rs := runTrial(t, FirstConnection{}, on(five()))
	for _, pin := range []string{"U1.vdd", "U5.vdd"} {
		r := rs.pick(t, protection.PeakPinVoltage, atStep(pin))
		want(t, r, 3.7, 1e-9)
		wantWord(t, r, "within limits")
	}
	wantWord(t, rs.pick(t, protection.StateAfter, portOf("discharge")), "on")
	wantWord(t, rs.pick(t, protection.WakeNeeded), "no")

	rs = runTrial(t, FirstConnection{Source: seeded}, on(five()))
	worst := 0.0
	for k := range five().Cells {
		r := rs.pick(t, protection.PeakPinVoltage, atStep([]string{"U1.vdd", "U2.vdd", "U3.vdd", "U4.vdd", "U5.vdd"}[k]))
		if (r.Value > 6) != (r.Word == "beyond limits") {
			t.Errorf("%s: %g V is %s of 6 V", r.Step, r.Value, r.Word)
		}
		worst = max(worst, r.Value)
	}
	if worst < 7 {
		t.Errorf("20 random orders never skip a tap: worst pin %g V", worst)
	}
}

func TestFirstConnectionWake(t *testing.T) {
	b := five()
	b.NeedsWake = true
	rs := runTrial(t, FirstConnection{}, on(b))
	wantWord(t, rs.pick(t, protection.StateAfter, portOf("discharge")), "open")
	wantWord(t, rs.pick(t, protection.WakeNeeded), "yes")
	wantOutcome(t, runTrial(t, FirstConnection{}, onBench(b)).pick(t, protection.WakeNeeded), protection.NotApplicable, "tap by tap")
}

// Order i depends on the source of i alone, and joins every tap once.
func TestRandomOrders(t *testing.T) {
	f := FirstConnection{Source: seeded}
	order := []int{0, 1, 2, 3, 4, 5}
	for i := range 20 {
		o := f.shuffled(i, order)
		if !slices.Equal(o, f.shuffled(i, order)) {
			t.Fatalf("order %d differs the second time", i)
		}
		slices.Sort(o)
		if !slices.Equal(o, order) {
			t.Fatalf("order %d joins %v", i, o)
		}
	}
}
