package trial

import (
	"context"
	"math"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
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

// looking is a rig whose board takes a pulse more from every cell once a period.
// What it reads is the time between two pulses.
type looking struct {
	plain
	period, width, amps float64
}

func (r looking) Can() rig.Abilities {
	a := r.plain.Can()
	a.Times.Sampling = r.period
	return a
}

func (r looking) Capture(ctx context.Context, c rig.Capture) (rig.Record, error) {
	if len(c.Points) == 0 || c.Points[0].Kind != rig.TapAmps {
		return r.plain.Capture(ctx, c)
	}
	rec := rig.Record{Points: c.Points, Times: []float64{0, 0.3, 0.3, 0.3 + r.width, 0.3 + r.width, c.Seconds}}
	for _, p := range c.Points {
		v, err := r.Read(p)
		if err != nil {
			return rec, err
		}
		extra := 0.0
		switch {
		case p.Kind == rig.CellAmps, p.Kind == rig.TapAmps && p.N == r.Can().Cells:
			extra = r.amps
		case p.Kind == rig.TapAmps && p.N == 0:
			extra = -r.amps
		}
		i := v.Value
		rec.Values = append(rec.Values, []float64{i, i, i + extra, i + extra, i, i})
	}
	return rec, nil
}

// TestSupplyCurrentBetweenLooks: a meter shows the average, whenever it is read.
func TestSupplyCurrentBetweenLooks(t *testing.T) {
	make := func() rig.Rig { return looking{plain{rigtest.NewIdeal(hinted(five()))}, 2, 10e-3, 600e-6} }
	rs := runTrial(t, SupplyCurrent{}, make)
	for _, step := range []struct{ state, step string }{{"idle", "cells 3.700 V"}, {"after overcharge", "load off"}} {
		want(t, rs.pick(t, protection.CellCurrent, cell(3), inState(step.state), atStep(step.step)), 6e-6+600e-6*10e-3/2, 1e-12)
		r := rs.pick(t, protection.SumError, inState(step.state), atStep(step.step))
		if math.Abs(r.Value) > 1e-15 {
			t.Errorf("taps %s sum to %g A", step.state, r.Value)
		}
	}
}
