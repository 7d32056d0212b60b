package simulated_test

import (
	"math"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/simulated"
)

// What a protector takes to look at its thermistor counts on average, whenever
// the current is read: here 11.1 V over 1 kΩ in tr, R13 and the thermistor of
// 10 kΩ, for 1 ms a second. Between two looks R13 makes no difference.
func TestSupplyCurrentCountsTheLooks(t *testing.T) {
	t.Parallel()
	supply := func(edits ...edit) []trial.Result {
		s := with(t, simulated.Options{}, hive, edits...)
		return append(s.run(trial.SupplyCurrent{}, 0), s.run(trial.SupplyCurrent{}, 1)...)
	}
	one, other := supply(), supply(in("R13", "10 kΩ", "15 kΩ"))
	expected := 11.1 * (1/21e3 - 1/26e3) * 1e-3 // A
	for _, step := range []string{"cells 3.700 V", "load off"} {
		got := pick(t, one, protection.CellCurrent, step).Value - pick(t, other, protection.CellCurrent, step).Value
		if math.Abs(got-expected) > 0.1*expected {
			t.Errorf("%s: 5 kΩ less at the thermistor cost %.4g µA, want %.4g µA", step, got*1e6, expected*1e6)
		}
	}
}
