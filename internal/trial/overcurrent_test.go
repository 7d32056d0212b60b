package trial

import (
	"context"
	"math"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
	"pgregory.net/rapid"
)

// atCells accepts results at a cell voltage.
func atCells(v float64) func(Result) bool {
	return func(r Result) bool {
		for _, c := range r.Conditions {
			if c.Name == "cell voltage" {
				return math.Abs(c.Value-v) < 1e-9
			}
		}
		return false
	}
}

func TestDischargeOvercurrent(t *testing.T) {
	for name, fresh := range map[string]func() rig.Rig{"plain": on(five()), "hinted": on(hinted(five())), "bench": onBench(hinted(five()))} {
		t.Run(name, func(t *testing.T) {
			rs := runTrial(t, DischargeOvercurrent{}, fresh)
			low := 2.6
			if name == "plain" {
				low = 0.75*3.7 + 0.1
			}
			for _, v := range []float64{3.7, 4.2, low} {
				want(t, rs.pick(t, protection.Current, atCells(v), stage("1")), 30, 0.3)
				want(t, rs.pick(t, protection.Current, atCells(v), stage("short")), 90, 0.9)
				want(t, rs.pick(t, protection.Delay, atCells(v), stage("1"), atStep("")), 10e-3, 1e-6)
				want(t, rs.pick(t, protection.Delay, atCells(v), stage("1"), atStep("2×")), 10e-3, 1e-6)
				want(t, rs.pick(t, protection.Delay, atCells(v), stage("short")), 250e-6, 1e-6)
				want(t, rs.pick(t, protection.SensedVoltage, atCells(v), stage("1")), 30*8e-3, 0.3*8e-3)
			}
			want(t, rs.pick(t, protection.ReleaseDelay), 5e-3, 4e-3)
			want(t, rs.pick(t, protection.ResidualLoad), 1e6, 0.2e6)
		})
	}
}

func TestDischargeOvercurrentOutcomes(t *testing.T) {
	cases := []struct {
		name   string
		change func(*rigtest.Board)
		q      protection.Quantity
		stage  string
		want   protection.Outcome
		note   string
	}{
		{"never cuts", func(b *rigtest.Board) { b.Load = nil }, protection.Current, "1", protection.NotReached, "overdischarge cut first"},
		{"never cuts, its delay", func(b *rigtest.Board) { b.Load = nil }, protection.Delay, "1", protection.NotReached, "no trip"},
		{"never cuts nor sags", func(b *rigtest.Board) { b.Load, b.Under = nil, nil }, protection.Current, "1", protection.NoneFound, ""},
		{"one stage only", func(b *rigtest.Board) { b.Load = b.Load[:1] }, protection.Current, "short", protection.NotReached, "no stage faster"},
		{"no port", func(b *rigtest.Board) { b.NoDischarge = true }, protection.Current, "1", protection.NotApplicable, "P- is missing"},
		{"never releases", func(b *rigtest.Board) { b.LoadRule = rigtest.Never }, protection.ResidualLoad, "1", protection.Undefined, "does not release"},
		{"every load holds", func(b *rigtest.Board) { b.HoldOhms = 0 }, protection.ResidualLoad, "1", protection.Undefined, "already"},
		{"no load holds", func(b *rigtest.Board) { b.HoldOhms = 1 }, protection.ResidualLoad, "1", protection.NoneFound, "no residual load"},
		{"open at rest", func(b *rigtest.Board) { b.Under[0] = rigtest.Limit{At: 3.9, Back: 4} }, protection.Current, "1", protection.Undefined, "open at rest"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := five()
			c.change(&b)
			r := rigtest.NewIdeal(b)
			rs, _, err := DischargeOvercurrent{}.Jobs(r.Can())[0].Run(context.Background(), r)
			if err != nil {
				t.Fatal(err)
			}
			wantOutcome(t, results(rs).pick(t, c.q, stage(c.stage)), c.want, c.note)
		})
	}
}

func TestOvercurrentThatOnlyAChargerReleases(t *testing.T) {
	b := five()
	b.LoadRule = rigtest.ChargerOn
	r := rigtest.NewIdeal(b)
	rs, _, err := DischargeOvercurrent{}.Jobs(r.Can())[0].Run(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	wantOutcome(t, results(rs).pick(t, protection.ReleaseDelay, atStep("column L0")), protection.NeverReleases, "")
	want(t, results(rs).pick(t, protection.ReleaseDelay, atStep("column C0")), 0, 4e-3)
}

func TestChargeOvercurrent(t *testing.T) {
	for name, fresh := range map[string]func() rig.Rig{"plain": on(five()), "hinted": on(hinted(five())), "bench": onBench(five())} {
		t.Run(name, func(t *testing.T) {
			rs := runTrial(t, ChargeOvercurrent{}, fresh)
			want(t, rs.pick(t, protection.Current), 20, 0.2)
			want(t, rs.pick(t, protection.Delay), 10e-3, 1e-6)
			want(t, rs.pick(t, protection.SensedVoltage), 20*8e-3, 0.2*8e-3)
			want(t, rs.pick(t, protection.ReleaseDelay), 5e-3, 4e-3)
		})
	}
	none := five()
	none.Charge = rigtest.Stage{}
	r := runTrial(t, ChargeOvercurrent{}, on(none)).pick(t, protection.Current)
	wantOutcome(t, r, protection.NoneFound, "")
	if r.SearchedTo != 60 || r.SearchedUnit != "A" {
		t.Errorf("searched to %g %s, want three times the 20 A rating", r.SearchedTo, r.SearchedUnit)
	}
	none.NoCharge = true
	wantOutcome(t, runTrial(t, ChargeOvercurrent{}, on(none)).pick(t, protection.Current), protection.NotApplicable, "C-")
}

// Any two stages are told apart and found within a per cent.
func TestAnyStagesAreFound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := five()
		first := rapid.Float64Range(2, 60).Draw(rt, "first stage")
		b.Load = []rigtest.Stage{
			{Amps: first, Delay: rapid.Float64Range(5e-3, 50e-3).Draw(rt, "first delay")},
			{Amps: first * rapid.Float64Range(1.15, 2.2).Draw(rt, "ratio"), Delay: rapid.Float64Range(150e-6, 900e-6).Draw(rt, "second delay")},
		}
		r := rigtest.NewIdeal(b)
		rs, _, err := DischargeOvercurrent{}.Jobs(r.Can())[0].Run(context.Background(), r)
		if err != nil {
			rt.Fatal(err)
		}
		for i, name := range []string{"1", "short"} {
			got := results(rs).pick(t, protection.Current, stage(name))
			if x := b.Load[i].Amps; got.Outcome != protection.Found || math.Abs(got.Value-x) > 0.01*x {
				rt.Fatalf("stage %s at %g A, found %s %g A", name, x, got.Outcome, got.Value)
			}
		}
	})
}
