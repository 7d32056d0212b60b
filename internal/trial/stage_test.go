package trial

import (
	"context"
	"math"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
)

// silent hides what a board cuts for: as on a bench, stages are then told apart
// by their delays.
type silent struct{ *rigtest.Ideal }

func (s silent) Capture(ctx context.Context, c rig.Capture) (rig.Record, error) {
	rec, err := s.Ideal.Capture(ctx, c)
	rec.Events = nil
	return rec, err
}

// threeStages are 30, 60 and a short stage at 70 A, which a ladder of currents
// steps over from the first to the last.
func threeStages() rigtest.Board {
	b := five()
	b.Load = []rigtest.Stage{{Amps: 30, Delay: 10e-3}, {Amps: 60, Delay: 2e-3}, {Amps: 70, Delay: 250e-6}}
	return b
}

func stageCurrents(t *testing.T, r rig.Rig, want map[string]float64) {
	t.Helper()
	rs, _, err := DischargeOvercurrent{}.Jobs(r.Can())[0].Run(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	for name, amps := range want {
		got := results(rs).pick(t, protection.Current, stage(name))
		if got.Outcome != protection.Found || math.Abs(got.Value-amps) > 0.01*amps {
			t.Errorf("stage %s: %s at %g A, want %g A", name, got.Outcome, got.Value, amps)
		}
	}
}

func TestStagesByTheirFlags(t *testing.T) {
	stageCurrents(t, rigtest.NewIdeal(threeStages()), map[string]float64{"1": 30, "2": 60, "short": 70})
}

// Where the rig does not tell, the delays still part stages that are far enough
// apart.
func TestStagesByTheirDelays(t *testing.T) {
	stageCurrents(t, silent{rigtest.NewIdeal(five())}, map[string]float64{"1": 30, "short": 90})
	b := five()
	b.Load = []rigtest.Stage{{Amps: 30, Delay: 10e-3}, {Amps: 60, Delay: 2e-3}, {Amps: 100, Delay: 250e-6}}
	stageCurrents(t, silent{rigtest.NewIdeal(b)}, map[string]float64{"1": 30, "2": 60, "short": 100})
}

// A board whose short stage hides the second one, and one on which a hidden one
// stands out, are told from the nominal board they are repeated after.
func TestStagesOfOtherBoards(t *testing.T) {
	hidden := threeStages()
	hidden.Load[2].Amps = 55
	for name, c := range map[string]struct {
		nominal, board rigtest.Board
		want           map[string]float64
	}{
		"one more hidden": {threeStages(), hidden, map[string]float64{"1": 30, "short": 55}},
		"the same":        {threeStages(), threeStages(), map[string]float64{"1": 30, "2": 60, "short": 70}},
		"one stands out":  {hidden, threeStages(), map[string]float64{"1": 30, "short": 70}},
	} {
		r := rigtest.NewIdeal(c.nominal)
		l, err := Learn(context.Background(), r, DischargeOvercurrent{}.Jobs(r.Can())[0])
		if err != nil {
			t.Fatal(err)
		}
		again, err := Repeat(context.Background(), rigtest.NewIdeal(c.board), []*Lesson{l})
		if err != nil {
			t.Fatal(err)
		}
		for k, i := range l.Again {
			r := l.Results[i]
			want, has := c.want[r.Stage]
			if r.Quantity != protection.Current {
				continue
			}
			if got := again[0][k]; has != (got.Outcome == protection.Found) || has && math.Abs(got.Value-want) > 0.01*want {
				t.Errorf("%s: stage %s %s at %g A, want %g A", name, r.Stage, got.Outcome, got.Value, want)
			}
		}
	}
}
