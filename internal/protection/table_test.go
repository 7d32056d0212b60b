package protection

import (
	"strings"
	"testing"

	"cupel/internal/quantity"
)

// Every trial has a row, the first row is a number, no quantity stands twice
// and every number has a unit.
func TestTableIsWhole(t *testing.T) {
	for _, trial := range Claimable() {
		qs := Quantities(trial)
		if len(qs) == 0 {
			t.Errorf("%s has no quantities", trial)
			continue
		}
		if dim, _ := Dimension(trial, Main(trial)); dim == quantity.None {
			t.Errorf("%s: main quantity %s is a word", trial, Main(trial))
		}
		seen := map[Quantity]bool{}
		for _, q := range qs {
			if seen[q] {
				t.Errorf("%s: %s stands twice", trial, q)
			}
			seen[q] = true
			dim, ok := Dimension(trial, q)
			if !ok {
				t.Errorf("%s %s has no dimension", trial, q)
			}
			if unit := UnitOf(trial, q); (unit == "") != (dim == quantity.None) {
				t.Errorf("%s: dimension %d, unit %q", Name(trial, q), dim, unit)
			}
		}
	}
	if len(table) != len(Claimable()) {
		t.Errorf("table has %d trials, there are %d", len(table), len(Claimable()))
	}
}

func TestUnitDependsOnTrial(t *testing.T) {
	for _, c := range []struct {
		trial Trial
		q     Quantity
		want  string
	}{
		{Overcharge, Detect, "V"},
		{DischargeOvercurrent, Detect, "A"},
		{DischargeOvercurrent, SensedVoltage, "V"},
		{LoadShort, Energy, "J"},
		{Path, Resistance, "Ω"},
		{Overcharge, Resistance, ""},
		{"nonsense", Detect, ""},
	} {
		if got := UnitOf(c.trial, c.q); got != c.want {
			t.Errorf("UnitOf(%s, %s) = %q, want %q", c.trial, c.q, got, c.want)
		}
	}
}

func TestAnswersKnowsTheTables(t *testing.T) {
	for trial, by := range answers {
		for asked, gots := range by {
			want := UnitOf(trial, asked)
			for _, got := range gots {
				if UnitOf(trial, got) != want || want == "" {
					t.Errorf("%s: %s (%s) cannot answer %s (%s)", trial, got, UnitOf(trial, got), asked, want)
				}
			}
		}
	}
	if !Answers(SupplyCurrent, Current, CellCurrent) || Answers(SupplyCurrent, CellCurrent, Current) {
		t.Error("the cell current answers the supply current, and not the other way")
	}
}

func TestLabels(t *testing.T) {
	for _, c := range []struct {
		t    Trial
		q    Quantity
		want string
	}{
		{DischargeOvercurrent, ReleaseDelay, "discharge overcurrent release delay"},
		{DischargeOvercurrent, Current, "discharge overcurrent current"},
		{SupplyCurrent, Current, "supply current"},
		{SupplyCurrent, TapCurrent, "supply current tap current"},
		{Temperature, CutTemperature, "temperature cut"},
		{Temperature, CutResistance, "temperature cut resistance"},
		{Release, ReleaseDelay, "release delay"},
		{Balance, Current, "balance current"},
	} {
		if got := Name(c.t, c.q); got != c.want {
			t.Errorf("%s of %s is %q, want %q", c.q, c.t, got, c.want)
		}
	}
	for _, trial := range Claimable() {
		for _, q := range Quantities(trial) {
			if strings.ContainsAny(Name(trial, q), "-_") {
				t.Errorf("label %q shows an identifier", Name(trial, q))
			}
		}
	}
}
