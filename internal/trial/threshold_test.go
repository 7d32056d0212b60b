package trial

import (
	"context"
	"errors"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
	"pgregory.net/rapid"
)

// Cells of their own thresholds are told apart, with and without hints, on
// rigs that can go back and on those that cannot.
func TestCellThresholds(t *testing.T) {
	b := five()
	b.Over = []rigtest.Limit{
		{At: 4.20, Back: 4.05, Delay: 1.0, BackDelay: 2e-3},
		{At: 4.225, Back: 4.10, Delay: 0.7, BackDelay: 2e-3},
		{At: 4.25, Back: 4.15, Delay: 1.3, BackDelay: 2e-3},
		{At: 4.275, Back: 4.0, Delay: 0.9, BackDelay: 2e-3},
		{At: 4.35, Back: 4.20, Delay: 1.1, BackDelay: 2e-3},
	}
	b.Under = []rigtest.Limit{
		{At: 2.4, Back: 2.9, Delay: 0.1, BackDelay: 2e-3},
		{At: 2.5, Back: 3.0, Delay: 0.07, BackDelay: 2e-3},
		{At: 2.6, Back: 3.1, Delay: 0.13, BackDelay: 2e-3},
		{At: 2.8, Back: 3.0, Delay: 0.1, BackDelay: 2e-3},
		{At: 3.0, Back: 3.2, Delay: 0.1, BackDelay: 2e-3},
	}
	for name, make := range map[string]func() rig.Rig{"plain": on(b), "hinted": on(hinted(b)), "bench": onBench(b), "hinted bench": onBench(hinted(b))} {
		t.Run(name, func(t *testing.T) {
			over, under := runTrial(t, Overcharge{}, make), runTrial(t, Overdischarge{}, make)
			for k := 1; k <= 5; k++ {
				o, u := b.Over[k-1], b.Under[k-1]
				want(t, over.pick(t, protection.Detect, cell(k)), o.At, 2e-3)
				want(t, over.pick(t, protection.Delay, cell(k)), o.Delay, 1e-6)
				want(t, over.pick(t, protection.ReleaseAt, cell(k)), o.Back, 2.6e-3)
				want(t, over.pick(t, protection.ReleaseDelay, cell(k)), o.BackDelay, 1e-6)
				want(t, under.pick(t, protection.Detect, cell(k)), u.At, 5e-3)
				want(t, under.pick(t, protection.Delay, cell(k)), u.Delay, 1e-6)
				want(t, under.pick(t, protection.ReleaseAt, cell(k)), u.Back, 5e-3)
				want(t, under.pick(t, protection.ReleaseDelay, cell(k)), u.BackDelay, 1e-6)
				if r := under.pick(t, protection.PowerDown, cell(k)); r.Word != "stays awake" {
					t.Errorf("cell %d %s", k, r.Word)
				}
			}
		})
	}
}

func TestCellThresholdOutcomes(t *testing.T) {
	cases := []struct {
		name    string
		change  func(*rigtest.Board)
		trial   Trial
		q       protection.Quantity
		want    protection.Outcome
		note    string
		word    string
		inState string
	}{
		{"never cuts up", func(b *rigtest.Board) { b.Over = nil }, Overcharge{}, protection.Detect, protection.NoneFound, "", "", ""},
		{"never cuts up, its delay", func(b *rigtest.Board) { b.Over = nil }, Overcharge{}, protection.Delay, protection.NoneFound, "no trip", "", ""},
		{"never cuts down", func(b *rigtest.Board) { b.Under = nil }, Overdischarge{}, protection.Detect, protection.NoneFound, "", "", ""},
		{"chatters", func(b *rigtest.Board) { b.ChatterHertz = 40 }, Overcharge{}, protection.Detect, protection.Chatters, "opened", "", ""},
		{"no charge port", func(b *rigtest.Board) { b.NoCharge = true }, Overcharge{}, protection.Detect, protection.NotApplicable, "C- is missing", "", ""},
		{"no discharge port", func(b *rigtest.Board) { b.NoDischarge = true }, Overdischarge{}, protection.PowerDown, protection.NotApplicable, "P- is missing", "", ""},
		{"open before the stimulus", func(b *rigtest.Board) { b.Over[0].At, b.Over[0].Back = 3.6, 3.5 }, Overcharge{}, protection.Detect, protection.Undefined, "acts already where the search begins", "", ""},
		{"open at rest", func(b *rigtest.Board) { b.Over[0].At, b.Over[0].Back, b.Over[0].Delay = 3.6, 3.5, 0 }, Overcharge{}, protection.Detect, protection.Undefined, "charge direction is open at rest", "", ""},
		{"becomes a diode", func(b *rigtest.Board) { b.Diode = true }, Overdischarge{}, protection.Detect, protection.Found, "body diode", "", ""},
		{"a diode has no time", func(b *rigtest.Board) { b.Diode = true }, Overdischarge{}, protection.Delay, protection.Undefined, "never fell below half", "", ""},
		{"never releases", func(b *rigtest.Board) { b.UnderRule = rigtest.Never }, Overdischarge{}, protection.ReleaseAt, protection.NeverReleases, "", "", "charging"},
		{"alone it does not release", func(b *rigtest.Board) { b.UnderRule = rigtest.ChargerOn }, Overdischarge{}, protection.ReleaseAt, protection.NeverReleases, "", "", "idle"},
		{"with a charger it does", func(b *rigtest.Board) { b.UnderRule = rigtest.ChargerOn }, Overdischarge{}, protection.ReleaseAt, protection.Found, "", "", "charging"},
		{"with a load it does", func(b *rigtest.Board) { b.OverRule = rigtest.LoadOn }, Overcharge{}, protection.ReleaseAt, protection.Found, "", "", "discharging"},
		{"powers down", func(b *rigtest.Board) { b.Asleep = 0.1e-6 }, Overdischarge{}, protection.PowerDown, protection.Found, "", "powers down", ""},
		{"had to be woken", func(b *rigtest.Board) { b.NeedsWake = true }, Overdischarge{}, protection.Detect, protection.Found, "woken", "", ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			b := five()
			b.Cells = 2
			c.change(&b)
			match := []func(Result) bool{cell(2)}
			if c.inState != "" {
				match = append(match, inState(c.inState))
			}
			rs := runTrial(t, c.trial, on(b))
			if c.want == protection.NeverReleases && c.inState == "charging" {
				rs = rs[:0:0].keep(rs, func(r Result) bool { return r.Step != "column C1" }) // C0 is left
				match = match[:1]
				match = append(match, atStep("column C0"))
			}
			r := rs.pick(t, c.q, match...)
			wantOutcome(t, r, c.want, c.note)
			if r.Word != c.word {
				t.Errorf("word %q, want %q", r.Word, c.word)
			}
		})
	}
}

// keep appends the results that match accepts.
func (rs results) keep(from results, match func(Result) bool) results {
	for _, r := range from {
		if match(r) {
			rs = append(rs, r)
		}
	}
	return rs
}

// Any threshold is found within the resolution, and its delay with it.
func TestAnyCellThresholdIsFound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		b := five()
		b.Cells, b.Bleed = 2, nil // bleeding would move the cell behind its resistance
		b.Over = []rigtest.Limit{{At: rapid.Float64Range(3.9, 4.7).Draw(rt, "overcharge"), Delay: rapid.Float64Range(0.01, 3).Draw(rt, "delay"), BackDelay: 1e-3}}
		b.Over[0].Back = b.Over[0].At - rapid.Float64Range(0.06, 0.3).Draw(rt, "hysteresis")
		b.Hints.Overcharge = rapid.Float64Range(0, 5).Draw(rt, "hint")
		r := rigtest.NewIdeal(b)
		rs, _, err := Overcharge{}.Jobs(r.Can())[1].Run(context.Background(), r)
		if err != nil {
			rt.Fatal(err)
		}
		within := map[protection.Quantity]float64{protection.Detect: 2.1e-3, protection.ReleaseAt: 5.1e-3, protection.Delay: 1e-6}
		for q, x := range map[protection.Quantity]float64{protection.Detect: b.Over[0].At, protection.ReleaseAt: b.Over[0].Back, protection.Delay: b.Over[0].Delay} {
			r := results(rs).pick(t, q)
			if r.Outcome != protection.Found || r.Low > x+1e-4 || x-1e-4 > r.High || r.High-r.Low > within[q] {
				rt.Fatalf("%s is %g, found %s %g to %g", q, x, r.Outcome, r.Low, r.High)
			}
		}
	})
}

// broken fails at its nth capture.
type broken struct {
	rig.Rig
	n   int
	err error
}

func (b *broken) Capture(ctx context.Context, c rig.Capture) (rig.Record, error) {
	if b.n--; b.n < 0 {
		return rig.Record{}, b.err
	}
	return b.Rig.Capture(ctx, c)
}

func TestNotComputedIsAnAnswer(t *testing.T) {
	none := &rig.NotComputed{Text: "no solution at net gate, Q1, 0.12 s"}
	r := &broken{Rig: rigtest.NewIdeal(five()), n: 3, err: none}
	rs, _, err := Overcharge{}.Jobs(r.Can())[0].Run(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	wantOutcome(t, results(rs).pick(t, protection.Detect), protection.NotComputed, "Q1")

	gone := errors.New("instrument gone")
	r = &broken{Rig: rigtest.NewIdeal(five()), n: 3, err: gone}
	if _, _, err := (Overcharge{}).Jobs(r.Can())[0].Run(context.Background(), r); !errors.Is(err, gone) {
		t.Errorf("error %v, want %v", err, gone)
	}
	if v, err := r.Read(rig.Point{Kind: rig.ChargeAmps}); err != nil || v.Value != 0 {
		t.Errorf("the charger was left on after an error: %g A, %v", v.Value, err)
	}
}
