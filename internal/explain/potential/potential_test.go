package potential_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/explain/fault"
	"cupel/internal/explain/potential"
)

func bench(t testing.TB, name string) (*dossier.Dossier, potential.Bench) {
	t.Helper()
	tree, _ := demo.Tree(name)
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	f := fault.Bench{Board: d.Board, Sheets: d.Sheets.Sheet}
	return d, potential.Bench{Board: d.Board, Sheets: d.Sheets.Sheet, Rig: f.NewRig}
}

// level is the voltage of a net in a state.
func level(t *testing.T, s potential.Survey, d *dossier.Dossier, state string, cell int, net string) float64 {
	t.Helper()
	for _, m := range s.Maps {
		if m.State != state || m.Cell != cell {
			continue
		}
		for _, l := range m.Levels {
			if d.Board.Nets[l.Net].Name == net {
				return l.Volts
			}
		}
	}
	t.Fatalf("no level of %s in state %q", net, state)
	return 0
}

// TestSurvey holds the map of the 5-cell board against what can be said without
// a simulation.
func TestSurvey(t *testing.T) {
	d, b := bench(t, "sluice-5s")
	s, err := b.Survey(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		state     string
		cell      int
		net       string
		low, high float64
	}{
		// At rest the taps are whole cells, and the gates hang on tap 3 through
		// a divider of 1 MΩ to 10 MΩ: 11.1 V · 10/11.
		{"idle", 0, "tap2", 7.39, 7.41},
		{"idle", 0, "gate-discharge", 9.9, 10.2},
		{"idle", 0, "discharge-fault", -0.01, 0.1},
		// A cell that has tripped lifts the line by a base-emitter voltage, and
		// the gates are down.
		{"after overdischarge", 4, "discharge-fault", 0.5, 0.8},
		{"after overdischarge", 4, "gate-discharge", -0.1, 0.3},
		// The load holds P− up at B+: four cells of 3.7 V and one of 2.4 V.
		{"after overdischarge", 4, "pminus", 16.5, 17.25},
		{"after overcharge", 2, "charge-fault", 0.5, 0.8},
		{"discharging", 0, "pminus", 0.05, 0.5},
	} {
		if v := level(t, s, d, c.state, c.cell, c.net); !(v >= c.low && v <= c.high) {
			t.Errorf("%s, cell %d: %s is at %.4f V, want %g to %g V", c.state, c.cell, c.net, v, c.low, c.high)
		}
	}
	for _, m := range s.Maps {
		if m.Failed != "" {
			t.Errorf("%s %d: %s", m.State, m.Cell, m.Failed)
		}
	}
}

// TestStress holds that each part's worst is at least what a state that can be
// reckoned by hand makes of it, and that nothing of the demo board is beyond
// what it stands.
func TestStress(t *testing.T) {
	d, b := bench(t, "sluice-5s")
	s, err := b.Survey(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]potential.Stress{}
	for _, x := range s.Stress {
		seen[d.Board.Parts[x.Part].Ref+" "+x.Quantity] = x
		if x.Value > x.Limit {
			t.Errorf("%s %s: %.3g %s of %.3g in state %q", d.Board.Parts[x.Part].Ref, x.Quantity, x.Value, x.Unit, x.Limit, x.State)
		}
	}
	for _, c := range []struct {
		name  string
		least float64
		limit float64
	}{
		{"Q501 v_ce", 17, 60}, // stands off the whole pack of 18.5 V
		{"Q5 v_ds", 18, 40},   // the pack, and the peak of a short's cut
		{"Q5 v_gs", 9.9, 20},
		{"C101 v", 3.6, 16},
		{"U101 v_dd", 3.6, 12},
	} {
		x, ok := seen[c.name]
		if !ok || x.Value < c.least || math.Abs(x.Limit-c.limit) > 1e-9 {
			t.Errorf("%s is %+v, want at least %g of %g", c.name, x, c.least, c.limit)
		}
	}
}

// TestSwitching holds that a board which comes back and cuts again is told as
// such, by averages between what its nets swing between.
func TestSwitching(t *testing.T) {
	d, b := bench(t, "hive-3s")
	s, err := b.Survey(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range s.Maps {
		again := strings.Contains(m.Stimulus, "cutting again")
		if again != (m.State == "after charge-overcurrent") {
			t.Errorf("%s %d: %s", m.State, m.Cell, m.Stimulus)
		}
		for _, l := range m.Levels {
			if again && !(l.Low <= l.Volts && l.Volts <= l.High) {
				t.Errorf("%s is at %g V on average, between %g and %g", d.Board.Nets[l.Net].Name, l.Volts, l.Low, l.High)
			}
		}
	}
}
