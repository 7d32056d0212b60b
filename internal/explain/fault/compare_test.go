package fault_test

import (
	"math"
	"testing"

	"cupel/internal/explain/fault"
	"cupel/internal/protection"
	"cupel/internal/trial"
)

// TestSilent holds what is called silent: an effect, every check of normal use
// tried, and none of them different.
func TestSilent(t *testing.T) {
	on := trial.Check{Trial: protection.Path, Port: "discharge", State: "full", What: trial.LooksDirection, Normal: true, Word: "on", Value: math.NaN()}
	cut := trial.Check{Trial: protection.Overdischarge, Cell: 4, Port: "discharge", What: trial.LooksCut, Word: trial.CutDone, Value: 0.1}
	not, open := cut, on
	not.Word, open.Word = trial.CutNot, "open"
	whole := []trial.Check{on, cut}
	for _, c := range []struct {
		says                string
		now                 []trial.Check
		lost, silent, shows bool
	}{
		{"nothing differs", []trial.Check{on, cut}, false, false, false},
		{"a loss that nothing shows", []trial.Check{on, not}, true, true, false},
		{"a loss that normal use shows", []trial.Check{open, not}, true, false, true},
		{"a loss, and normal use could not be tried", []trial.Check{not}, true, false, false},
	} {
		r := fault.Compare(whole, c.now)
		if (len(r.Lost) > 0) != c.lost || r.Silent() != c.silent || r.Shows != c.shows {
			t.Errorf("%s: %+v, silent %v", c.says, r, r.Silent())
		}
	}
}
