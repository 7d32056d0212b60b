package trial

import (
	"context"
	"math"
	"strings"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
)

// runShort runs the sweep half full.
func runShort(t *testing.T, b rigtest.Board) (results, []Figure) {
	t.Helper()
	r := rigtest.NewIdeal(b)
	rs, fs, err := LoadShort{}.Jobs(r.Can())[0].Run(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rs {
		wellFormed(t, "load short", r)
	}
	return rs, fs
}

func whole(r Result) bool { return r.Step == "" }

func TestLoadShortSweep(t *testing.T) {
	rs, fs := runShort(t, hinted(five()))
	inner := 5*12e-3 + 8e-3 + loopOhms
	steps := 0
	for _, r := range rs {
		if r.Quantity != protection.PeakCurrent || r.Step == "" {
			continue
		}
		steps++
		rx := r.Conditions[len(r.Conditions)-1].Value
		amps := 18.5 / (inner + rx)
		want(t, r, amps, 1e-6*amps)
		st := results(rs).pick(t, protection.Stage, atStep(r.Step))
		off := results(rs).pick(t, protection.TimeToOff, atStep(r.Step))
		energy := results(rs).pick(t, protection.Energy, atStep(r.Step))
		switch {
		case amps > 90:
			want(t, off, 250e-6, 1e-8)
			want(t, energy, amps*amps*4e-3*250e-6, 1e-3*amps*amps*4e-3*250e-6)
			wantWord(t, st, "SC")
		case amps > 30:
			want(t, off, 10e-3, 1e-8)
			wantWord(t, st, "OC")
		default:
			wantOutcome(t, off, protection.NotCut, "")
			wantWord(t, st, "none")
		}
	}
	if steps < 12 {
		t.Errorf("%d steps, want at least 12", steps)
	}
	hardest := 18.5 / (inner + shortLeast)
	want(t, rs.pick(t, protection.PeakCurrent, whole), hardest, 1e-6*hardest)
	peak := rs.pick(t, protection.PeakVoltage, whole, portOf("discharge"))
	want(t, peak, 18.5, 1e-6)
	if math.Abs(peak.High-peak.Low-2*peakResolution) > 1e-9 {
		t.Errorf("the peak is bounded by %g V and %g V", peak.Low, peak.High)
	}
	want(t, rs.pick(t, protection.SupplyMinimum, whole), 3.7-12e-3*hardest, 1e-3)
	// The slowest is a current between the stages; the short's own delay is not.
	want(t, rs.pick(t, protection.TimeToOff, whole), 10e-3, 1e-8)
	delay := rs.pick(t, protection.Delay)
	want(t, delay, 250e-6, 1e-8)
	if !strings.Contains(delay.Note, "dead zone") {
		t.Errorf("the delay's note %q does not name the dead zone", delay.Note)
	}
	if from, to := rs.pick(t, protection.DeadZoneFrom), rs.pick(t, protection.DeadZoneTo); from.Low > 30 || to.High < 90 || to.Value > 90 {
		t.Errorf("dead zone %g to %g A (at most %g), is 30 to 90 A", from.Value, to.Value, to.High)
	}
	r := rs.pick(t, protection.Reclose)
	wantOutcome(t, r, protection.NoneFound, "")
	wantWord(t, r, "stays off")
	if len(fs) != 2 || len(fs[0].Record.Times) < 10 {
		t.Errorf("%d figures, want the hardest and a typical one", len(fs))
	}
}

func wantWord(t *testing.T, r Result, word string) {
	t.Helper()
	if r.Word != word {
		t.Errorf("%s at %s: %q, want %q", r.Quantity, r.Step, r.Word, word)
	}
}

func TestLoadShortFaults(t *testing.T) {
	never := hinted(five())
	never.Load, never.Under = nil, nil
	rs, _ := runShort(t, never)
	wantOutcome(t, rs.pick(t, protection.TimeToOff, whole), protection.NotCut, "")
	if r := rs.pick(t, protection.DeadZoneTo); r.Outcome != protection.Found || r.Value < 200 {
		t.Errorf("a board that never cuts has its dead zone to %g A (%s)", r.Value, r.Outcome)
	}

	slow := hinted(five())
	slow.Load[1].Amps = 5000
	slow.Starve, slow.StarveAfter = 1.0, 3e-3
	rs, _ = runShort(t, slow)
	wantWord(t, rs.pick(t, protection.Stage, atStep("1 mΩ")), "starved")

	again := hinted(five())
	again.LoadRule = rigtest.Auto
	rs, _ = runShort(t, again)
	r := rs.pick(t, protection.Reclose)
	wantWord(t, r, "recloses")

	rs, _ = runShort(t, func() rigtest.Board { b := five(); b.NoBanks = true; return b }())
	wantOutcome(t, rs.pick(t, protection.Energy), protection.NotApplicable, "does not see the banks")

	rs, _ = runShort(t, func() rigtest.Board { b := five(); b.NoShort = true; return b }())
	wantOutcome(t, rs.pick(t, protection.PeakCurrent), protection.NotApplicable, "no hard shorts")
}

// A sweep covers what it says it does.
func TestShortResistances(t *testing.T) {
	a := rig.Abilities{Cells: 5, CellOhms: 12e-3}
	rs := shortOhms(a, 3.7, 30)
	if len(rs) < 12 || rs[0] != shortLeast {
		t.Errorf("%d points from %g Ω", len(rs), rs[0])
	}
	if i := 18.5 / (rs[len(rs)-1] + 5*12e-3 + loopOhms); math.Abs(i-30) > 1e-6 {
		t.Errorf("the last lets %g A flow, want 30 A", i)
	}
}

// TestShortDelayExcusesOnlyLessCurrent: what a slower stage cuts is left out
// only below the currents that the short's stage cuts; a harder short that
// starved the board, or that nothing cut, is judged with the rest.
func TestShortDelayExcusesOnlyLessCurrent(t *testing.T) {
	sh := func(amps float64, stage string) short {
		return short{shot: shot{watch: &watch{peak: amps}}, stage: stage}
	}
	for _, c := range []struct {
		name        string
		all         []short
		own, beyond int
	}{
		{"all in time", []short{sh(200, byShort), sh(100, byShort)}, 2, 0},
		{"slower stage below", []short{sh(200, byShort), sh(60, byCurrent), sh(40, byNothing)}, 1, 2},
		{"starved above", []short{sh(300, byStarved), sh(200, byShort), sh(60, byCurrent)}, 2, 1},
		{"uncut above", []short{sh(300, byNothing), sh(200, byShort)}, 2, 0},
		{"never the short's stage", []short{sh(200, byStarved), sh(60, byCurrent)}, 2, 0},
	} {
		if own, beyond := ownStage(c.all); len(own) != c.own || len(beyond) != c.beyond {
			t.Errorf("%s: %d judged and %d left out, want %d and %d", c.name, len(own), len(beyond), c.own, c.beyond)
		}
	}
}
