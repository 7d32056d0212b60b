package trial

import (
	"math"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
)

func TestBalance(t *testing.T) {
	for name, fresh := range map[string]func() rig.Rig{"plain": on(five()), "hinted": on(hinted(five())), "bench": onBench(hinted(five()))} {
		t.Run(name, func(t *testing.T) {
			rs := runTrial(t, Balance{}, fresh)
			for k := 1; k <= 5; k++ {
				for _, st := range []string{"idle", "charging", "discharging"} {
					want(t, rs.pick(t, protection.Start, cell(k), inState(st)), 4.18, 2e-3)
					// The bleed's own drop in the cell adds to what the source must go down to.
					want(t, rs.pick(t, protection.Stop, cell(k), inState(st)), 4.15+4.15/43.012*12e-3, 2e-3)
				}
				amps := (4.18 + bleedOver) / 43.012
				want(t, rs.pick(t, protection.Current, cell(k)), amps, 1e-4)
				want(t, rs.pick(t, protection.ResistorPower, cell(k)), amps*amps*43, 1e-3)
				want(t, rs.pick(t, protection.NeighbourShift, cell(k)), 0, 1e-9)
			}
		})
	}
}

func TestBalanceOutcomes(t *testing.T) {
	two := func(change func(*rigtest.Board)) results {
		b := five()
		b.Cells = 2
		change(&b)
		return runTrial(t, Balance{}, on(b))
	}
	rs := two(func(b *rigtest.Board) { b.BleedWhen = rigtest.ChargerOn })
	wantOutcome(t, rs.pick(t, protection.Start, cell(1), inState("idle")), protection.NoneFound, "")
	want(t, rs.pick(t, protection.Start, cell(1), inState("charging")), 4.18, 2e-3)
	if r := rs.pick(t, protection.Current, cell(1)); r.State != "charging" {
		t.Errorf("the bleed current is said to be found %s", r.State)
	}

	rs = two(func(b *rigtest.Board) { b.Bleed, b.Over = nil, nil })
	wantOutcome(t, rs.pick(t, protection.Start, cell(2), inState("idle")), protection.NoneFound, "")
	wantOutcome(t, rs.pick(t, protection.Current, cell(2)), protection.NoneFound, "does not bleed")

	rs = two(func(b *rigtest.Board) { b.Bleed[0].Back = 1 })
	wantOutcome(t, rs.pick(t, protection.Stop, cell(2), inState("idle")), protection.NeverReleases, "")

	rs = two(func(b *rigtest.Board) { b.BleedOhms = 0 })
	wantOutcome(t, rs.pick(t, protection.Start, cell(2)), protection.NotApplicable, "nothing to bleed")
}

// A hysteresis smaller than the bleed's own drop makes it chatter, and the
// rate is that of its two delays.
func TestBalanceChatters(t *testing.T) {
	b := five()
	b.Cells, b.CellOhms = 2, 0.5
	b.Bleed[0].Back = 4.17 // bleeding drops 0.05 V in the cell
	rs := runTrial(t, Balance{}, on(b))
	wantOutcome(t, rs.pick(t, protection.Start, cell(1), inState("idle")), protection.Chatters, "stopped")
	r := rs.pick(t, protection.ChatterRate, cell(1), inState("idle"))
	if math.Abs(r.Value-5) > 1 {
		t.Errorf("chatters at %g Hz, want about 1/(0.1 s + 0.1 s)", r.Value)
	}
}
