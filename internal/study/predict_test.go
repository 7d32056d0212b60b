package study

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"cupel/internal/answer"
	"cupel/internal/claim"
	"cupel/internal/protection"
	"cupel/internal/quantity"
	"cupel/internal/study/batch"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"github.com/google/go-cmp/cmp"
)

// still is a rig that only knows its temperature; what the fake trials find
// comes from their jobs.
type still struct {
	rig.Rig
	kelvin float64
}

func (s *still) SetTemperature(k float64) error { s.kelvin = k; return nil }

// fake is a trial of one job a cell.
type fake struct {
	word protection.Trial
	run  func(cell int, kelvin float64) ([]trial.Result, error)
}

func (f fake) Word() protection.Trial { return f.word }

func (f fake) Jobs(can rig.Abilities) []trial.Job {
	var out []trial.Job
	for c := 1; c <= can.Cells; c++ {
		out = append(out, trial.Job{
			Trial: f.word, Cell: c, Name: fmt.Sprint("cell ", c),
			Run: func(_ context.Context, r rig.Rig) ([]trial.Result, []trial.Figure, error) {
				rs, err := f.run(c, r.(*still).kelvin)
				return rs, nil, err
			},
		})
	}
	return out
}

// detects finds a threshold of 4.25 V, 1 mV higher a cell, 1 mV lower a kelvin
// over 25 °C.
func detects(cell int, kelvin float64) ([]trial.Result, error) {
	v := 4.25 + 1e-3*float64(cell) - 1e-3*(kelvin-298.15)
	return []trial.Result{{
		Trial: protection.Overcharge, Cell: cell, Quantity: protection.Detect, Unit: "V",
		Outcome: protection.Found, Value: v, Low: v - 1e-3, High: v + 1e-3,
		Assumed: []string{"R7 value"}, Cautions: []string{"cells are live"},
	}}, nil
}

func overcharge(min, typ, max float64) claim.Claim {
	return claim.Claim{
		Protection: protection.Overcharge, Quantity: protection.Detect, At: math.NaN(), Kind: claim.Stated,
		Value: quantity.Quantity{Dim: quantity.Voltage, Min: min, Typ: typ, Max: max},
	}
}

func trying(run func(int, float64) ([]trial.Result, error)) experiment {
	return experiment{
		trials: []trial.Trial{fake{protection.Overcharge, run}},
		newRig: func(float64) (rig.Rig, error) { return &still{}, nil },
		claims: []claim.Claim{overcharge(4.2, 4.25, 4.3)},
	}
}

func predicted(x experiment, ctx context.Context, can rig.Abilities, run Runner) answer.Predict {
	p := Prediction{Answer: answer.Predict{Head: answer.NewHead("predict", "toy-3s", "ab12")}}
	x.gather(&p, can, x.carryOut(ctx, can, run, &p))
	return p.Answer
}

var three = rig.Abilities{Cells: 3, Assumed: []string{"cells of 12 mΩ"}}

func TestPredictJudgesWhatItFinds(t *testing.T) {
	a := predicted(trying(detects), t.Context(), three, batch.Runner(batch.Options{}))
	if len(a.Results) != 3 || !a.Complete || a.Summary.Meets != 1 || a.Summary.Found != 3 {
		t.Fatalf("%d results, complete %v, summary %+v", len(a.Results), a.Complete, a.Summary)
	}
	want := answer.Predicted{
		Low: number(4.251), Typ: number(4.252), High: number(4.253),
		LowCell: answer.Whole(1), HighCell: answer.Whole(3),
	}
	if d := cmp.Diff(want, a.Claims[0].Predicted); d != "" {
		t.Error(d)
	}
	if got := *a.Results[0].Resolution; got != 0.001 {
		t.Errorf("resolution is %g, want half of the last interval", got)
	}
	if d := cmp.Diff(answer.List[string]{"cells of 12 mΩ", "R7 value"}, a.Assumed); d != "" {
		t.Errorf("each assumption once: %s", d)
	}
	if d := cmp.Diff(answer.List[string]{"cells are live"}, a.Cautions); d != "" {
		t.Errorf("each caution once: %s", d)
	}
}

// TestFailingCellLeavesTheOthers holds that a job that errors or crashes is
// "not computed", is named, and keeps the claim from being met by the rest.
func TestFailingCellLeavesTheOthers(t *testing.T) {
	for name, fail := range map[string]func() error{
		"error": func() error { return &rig.NotComputed{Text: "node gate-discharge does not settle at 2 ms"} },
		"crash": func() error { panic("index out of range") },
	} {
		t.Run(name, func(t *testing.T) {
			x := trying(func(cell int, k float64) ([]trial.Result, error) {
				if cell == 2 {
					return nil, fail()
				}
				return detects(cell, k)
			})
			a := predicted(x, t.Context(), three, batch.Runner(batch.Options{}))
			if !a.Complete || a.Summary.Found != 2 {
				t.Errorf("complete %v, found %d", a.Complete, a.Summary.Found)
			}
			if got := a.Claims[0].Verdict; got != "cannot tell" {
				t.Errorf("the claim is %q although cell 2 was not computed", got)
			}
			if len(a.Findings) != 1 || !strings.Contains(a.Findings[0].Text, "overcharge, cell 2, at 25 °C") {
				t.Errorf("findings do not name the job: %+v", a.Findings)
			}
			for _, r := range a.Results {
				if *r.Cell == 2 && (r.Outcome != "not computed" || r.Value != nil) {
					t.Errorf("cell 2 %s is %q with value %v", r.Quantity, r.Outcome, r.Value)
				}
			}
		})
	}
}

func TestStoppedIsIncomplete(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	x := trying(func(cell int, k float64) ([]trial.Result, error) {
		if cell == 2 {
			cancel()
			return nil, errors.New("stopped")
		}
		return detects(cell, k)
	})
	a := predicted(x, ctx, three, batch.Runner(batch.Options{Workers: 1}))
	if a.Complete || len(a.Results) != 1 || *a.Results[0].Cell != 1 {
		t.Errorf("complete %v with %d results, want what cell 1 gave", a.Complete, len(a.Results))
	}
	if got := a.Claims[0].Verdict; got == "meets" || got == "fails" {
		t.Errorf("the claim is %q although cells 2 and 3 were not tried", got)
	}
	if len(a.Findings) != 0 {
		t.Errorf("stopping is no finding: %+v", a.Findings)
	}
}

func TestTemperaturesAndCells(t *testing.T) {
	x := trying(detects)
	x.kelvins, x.cells = []float64{298.15, 253.15}, []int{3}
	a := predicted(x, t.Context(), three, batch.Runner(batch.Options{}))
	var got []string
	for _, r := range a.Results {
		got = append(got, fmt.Sprint(*r.Cell, " ", *r.Temperature, " ", *r.Value))
	}
	if d := cmp.Diff([]string{"3 -20 4.298", "3 25 4.253"}, got); d != "" {
		t.Error(d)
	}
}

func TestSameBytesForAnyWorkers(t *testing.T) {
	encode := func(workers int) string {
		a := predicted(trying(detects), t.Context(), rig.Abilities{Cells: 9}, batch.Runner(batch.Options{Workers: workers}))
		var b bytes.Buffer
		if err := answer.Encode(&b, a); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	if d := cmp.Diff(encode(1), encode(8)); d != "" {
		t.Error(d)
	}
}

func TestResults(t *testing.T) {
	for _, c := range []struct {
		name              string
		in                trial.Result
		value, resolution *float64
		searched          *float64
		tap               *int
	}{
		{
			"a search",
			trial.Result{Outcome: protection.Found, Unit: "V", Value: 4, Low: 3.5, High: 4.5, Tap: -1},
			number(4), number(0.5), nil, nil,
		},
		{
			"a formula, no search",
			trial.Result{Outcome: protection.Found, Unit: "V", Value: 4, Tap: -1},
			number(4), nil, nil, nil,
		},
		{
			"last bits go",
			trial.Result{Outcome: protection.Found, Unit: "A", Value: 28.900000000001, Tap: -1},
			number(28.9), nil, nil, nil,
		},
		{
			"none found",
			trial.Result{Outcome: protection.NoneFound, Unit: "A", Value: 9, SearchedTo: 60, SearchedUnit: "A", Tap: -1},
			nil, nil, number(60), nil,
		},
		{
			"a word",
			trial.Result{Outcome: protection.Found, Word: "starved", Tap: -1},
			nil, nil, nil, nil,
		},
		{
			"of tap 0",
			trial.Result{Outcome: protection.Found, Unit: "A", Quantity: protection.TapCurrent, Value: 1e-6},
			number(1e-6), nil, nil, answer.Whole(0),
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := result(c.in, 298.15)
			for what, pair := range map[string][2]any{
				"value": {c.value, got.Value}, "resolution": {c.resolution, got.Resolution},
				"searched_to": {c.searched, got.SearchedTo}, "tap": {c.tap, got.Tap},
			} {
				if d := cmp.Diff(pair[0], pair[1]); d != "" {
					t.Errorf("%s: %s", what, d)
				}
			}
		})
	}
}
