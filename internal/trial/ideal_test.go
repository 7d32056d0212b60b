package trial

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
)

// five is an ordinary board of five cells.
func five() rigtest.Board {
	return rigtest.Board{
		Cells: 5, Full: 4.2, Middle: 3.7, CellOhms: 12e-3, PathOhms: 8e-3,
		Over:  []rigtest.Limit{{At: 4.25, Back: 4.10, Delay: 1.0, BackDelay: 2e-3}},
		Under: []rigtest.Limit{{At: 2.5, Back: 3.0, Delay: 0.1, BackDelay: 2e-3}},
		Load:  []rigtest.Stage{{Amps: 30, Delay: 10e-3}, {Amps: 90, Delay: 250e-6}}, LoadRule: rigtest.LoadOff, LoadBack: 5e-3, HoldOhms: 1e6,
		Charge: rigtest.Stage{Amps: 20, Delay: 10e-3}, ChargeRule: rigtest.ChargerOff,
		Bleed: []rigtest.Limit{{At: 4.18, Back: 4.15, Delay: 0.1, BackDelay: 0.1}}, BleedOhms: 43,
		Cold: rigtest.Limit{At: 27e3, Back: 22e3, Delay: 1, BackDelay: 1}, Hot: rigtest.Limit{At: 4.9e3, Back: 6e3, Delay: 1, BackDelay: 1},
		HotDischarge: rigtest.Limit{At: 2.6e3, Back: 3.2e3, Delay: 1, BackDelay: 1},
		Supply:       6e-6, Rated: 20,
	}
}

// hinted is the board with sheets that expect what it does.
func hinted(b rigtest.Board) rigtest.Board {
	b.Hints = rig.Hints{
		Overcharge: 4.25, OverchargeRelease: 4.10, Overdischarge: 2.5, OverdischargeRelease: 3.0,
		BalanceStart: 4.18, BalanceStop: 4.15, LoadAmps: []float64{28, 100}, ChargeAmps: 19,
	}
	return b
}

// results are what a trial's jobs found.
type results []Result

// runTrial runs every job of a trial on a rig of its own.
func runTrial(t *testing.T, tr Trial, fresh func() rig.Rig) results {
	t.Helper()
	var all results
	for _, j := range tr.Jobs(fresh().Can()) {
		rs, _, err := j.Run(context.Background(), fresh())
		if err != nil {
			t.Fatalf("%s: %v", j.Name, err)
		}
		for _, r := range rs {
			wellFormed(t, j.Name, r)
		}
		all = append(all, rs...)
	}
	return all
}

// wellFormed checks what must hold for every result.
func wellFormed(t *testing.T, job string, r Result) {
	t.Helper()
	where := fmt.Sprintf("%s, %s %s", job, r.Quantity, r.Step)
	if r.Outcome == "" || r.Quantity == "" || r.Trial == "" {
		t.Errorf("%s: outcome %q of trial %q", where, r.Outcome, r.Trial)
	}
	if r.Stimulus == "" || len(r.Cautions) == 0 {
		t.Errorf("%s: stimulus %q, %d cautions", where, r.Stimulus, len(r.Cautions))
	}
	if r.Outcome == protection.Found {
		if math.IsNaN(r.Value) || r.Low > r.Value || r.Value > r.High {
			t.Errorf("%s: %g is not within %g and %g", where, r.Value, r.Low, r.High)
		}
	} else if r.Value != 0 || r.Low != 0 || r.High != 0 {
		t.Errorf("%s: %s, and yet a value %g", where, r.Outcome, r.Value)
	}
	if r.Outcome == protection.NoneFound && (r.SearchedTo == 0 || r.SearchedUnit == "") && r.Note == "" {
		t.Errorf("%s: none found, but not how far was searched", where)
	}
}

func on(b rigtest.Board) func() rig.Rig {
	return func() rig.Rig { return rigtest.NewIdeal(b) }
}

// plain hides that a rig can go back.
type plain struct{ rig.Rig }

func onBench(b rigtest.Board) func() rig.Rig {
	return func() rig.Rig { return plain{rigtest.NewIdeal(b)} }
}

// pick is the only result of a quantity that match accepts.
func (rs results) pick(t *testing.T, q protection.Quantity, match ...func(Result) bool) Result {
	t.Helper()
	var got []Result
next:
	for _, r := range rs {
		if r.Quantity != q {
			continue
		}
		for _, m := range match {
			if !m(r) {
				continue next
			}
		}
		got = append(got, r)
	}
	if len(got) != 1 {
		t.Fatalf("%d results of %s, want one\n%s", len(got), q, rs)
	}
	return got[0]
}

func cell(k int) func(Result) bool       { return func(r Result) bool { return r.Cell == k } }
func stage(s string) func(Result) bool   { return func(r Result) bool { return r.Stage == s } }
func atStep(s string) func(Result) bool  { return func(r Result) bool { return r.Step == s } }
func inState(s string) func(Result) bool { return func(r Result) bool { return r.State == s } }
func portOf(p string) func(Result) bool  { return func(r Result) bool { return r.Port == p } }

func (rs results) String() string {
	var b strings.Builder
	for _, r := range rs {
		fmt.Fprintf(&b, "%s cell %d stage %q state %q port %q step %q %s: %s %g %s [%g %g] to %g %s %q %s\n", r.Trial, r.Cell, r.Stage, r.State, r.Port, r.Step,
			r.Quantity, r.Outcome, r.Value, r.Unit, r.Low, r.High, r.SearchedTo, r.SearchedUnit, r.Word, r.Note)
	}
	return b.String()
}

// want checks a found value.
func want(t *testing.T, r Result, value, within float64) {
	t.Helper()
	if r.Outcome != protection.Found {
		t.Errorf("%s: %s (%s), want %g", r.Quantity, r.Outcome, r.Note, value)
	} else if math.Abs(r.Value-value) > within {
		t.Errorf("%s: %g, want %g within %g", r.Quantity, r.Value, value, within)
	}
}

// wantOutcome checks an outcome and that it is explained where it must be.
func wantOutcome(t *testing.T, r Result, o protection.Outcome, note string) {
	t.Helper()
	if r.Outcome != o || !strings.Contains(r.Note, note) {
		t.Errorf("%s: %s (%s), want %s (…%s…)", r.Quantity, r.Outcome, r.Note, o, note)
	}
}
