package simulated_test

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/protection"
	"cupel/internal/study"
	"cupel/internal/study/batch"
)

// predicted are all figures of a dossier by their names: the trials of three
// cells, of currents and of drains.
func predicted(t *testing.T, d *dossier.Dossier) map[string]answer.Result {
	t.Helper()
	p, err := study.Predict(t.Context(), d, study.Question{Trials: []protection.Trial{
		protection.Overcharge, protection.Overdischarge, protection.DischargeOvercurrent, protection.Balance,
		protection.SupplyCurrent, protection.Path,
	}, Cells: []int{1, 3, 4}, Kelvins: []float64{298.15}}, batch.Runner(batch.Options{Workers: 2}))
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]answer.Result{}
	for _, r := range p.Answer.Results {
		cell, tap := "", ""
		if r.Cell != nil {
			cell = fmt.Sprintf(" cell %d", *r.Cell)
		}
		if r.Tap != nil {
			tap = fmt.Sprintf(" tap %d", *r.Tap)
		}
		key := fmt.Sprint(r.Trial, cell, tap, " ", r.Quantity, ", ", r.State, ", ", r.Stage, ", ", r.Port, ", ", r.Step)
		for _, c := range r.Conditions {
			if c.Name == "cell voltage" { // of three jobs alike
				key += fmt.Sprintf(", %.2f V", *c.Value)
			}
		}
		all[key] = r
	}
	return all
}

// moved lists the figures that differ by more than their searches resolve: by a
// thousandth, a drain by ten nanoamperes: beside a load that still takes 0.1 mA the
// currents are solved to 1e-4 of that.
func moved(a, b map[string]answer.Result) []string {
	var keys []string
	for k, x := range a {
		y, ok := b[k]
		if !ok || x.Outcome != y.Outcome || x.Value != nil && y.Value != nil && differ(*x.Value, *y.Value, string(x.Unit), x.Resolution) {
			keys = append(keys, k)
		}
	}
	for k := range b {
		if _, ok := a[k]; !ok {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	return keys
}

// atRest is how well a current at rest is known: a last move of half a millivolt
// over the kilohms that carry it.
const atRest = 3e-7 // A

func differ(a, b float64, unit string, resolution *float64) bool {
	within := 1e-3*math.Abs(a) + 1e-8
	if unit == "A" {
		within += atRest
	}
	if resolution != nil {
		within = math.Max(within, 1.01*2**resolution)
	}
	return math.Abs(a-b) > within
}

// ownSheet is a generic sheet under another name with one figure changed.
func ownSheet(t *testing.T, generic, name, old, new string) map[string]string {
	t.Helper()
	text, err := os.ReadFile("../../catalog/generic/sheets/" + generic + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), old) {
		t.Fatalf("%s has no %q", generic, old)
	}
	own := strings.Replace(strings.Replace(string(text), old, new, 1), "sheet: "+generic, "sheet: "+name, 1)
	return map[string]string{name: own}
}

// handEdit is an edit by hand and the figures that hang on it.
type handEdit struct {
	name   string
	edit   edit
	sheets map[string]string
	must   []string // each moves at least one figure
	only   string   // nothing else moves
}

// TestEditsMoveWhatTheyShould edits one value, one threshold, one net by hand:
// the figures that hang on it move, and no others.
func TestEditsMoveWhatTheyShould(t *testing.T) {
	if testing.Short() {
		t.Skip("predicts nine boards")
	}
	t.Parallel()
	const protector = "cell-protector-4v25-auto"
	for _, board := range []struct {
		name  string
		edits []handEdit
	}{
		{sluice, []handEdit{
			{
				"resistor of cell 4's shifter, R405", in("R405", "1 MΩ", "2.2 MΩ"), nil,
				[]string{`^overdischarge cell 4 power_down`},
				`^overdischarge cell 4 `,
			},
			{
				"threshold of U301", in("U301", protector, "own"), ownSheet(t, protector, "own", "4.225/4.250/4.275", "4.325/4.350/4.375"),
				[]string{`^overcharge cell 3 detect`},
				`^overcharge cell 3 `,
			},
			{
				"bleed resistor of cell 1, R109", in("R109", "43 Ω", "100 Ω"), nil,
				[]string{`^balance cell 1 current`, `^balance cell 1 resistor_power`, `^supply-current cell 1 .*4.20 V`},
				`^balance cell 1 |^supply-current .*4.20 V|^supply-current (cell|tap) [01] .*after overcharge`,
			},
			{
				"FETs of the discharge bank, Q5", in("Q5", "count: 2", "count: 4"), nil,
				[]string{`^discharge-overcurrent current`, `^path resistance`},
				`^discharge-overcurrent |^path |release_delay|after discharge-overcurrent|load on`,
			},
			{
				"net of the sense line, R12", in("R12", "middle", "pminus"), nil,
				[]string{`^discharge-overcurrent current`},
				`^discharge-overcurrent |after discharge-overcurrent|after overcharge|^overcharge .* release|^path .* 30 A, cells 2.600 V`,
			},
		}},
		{hive, []handEdit{
			{
				"one shunt in place of two, R5", in("R5", "count: 2, ", ""), nil,
				[]string{`^discharge-overcurrent current`, `^path resistance`},
				`^discharge-overcurrent |^path `,
			},
			{
				"capacitor of the overcharge delay, C6", in("C6", "100 nF", "220 nF"), nil,
				[]string{`^overcharge cell 1 delay`, `^overcharge cell 3 delay`},
				`^overcharge cell . (delay|release)`,
			},
		}},
	} {
		base := predicted(t, edited(t, board.name, nil))
		for _, e := range board.edits {
			got := moved(base, predicted(t, edited(t, board.name, e.sheets, e.edit)))
			for _, m := range e.must {
				if re := regexp.MustCompile(m); !slices.ContainsFunc(got, re.MatchString) {
					t.Errorf("%s, %s: no figure like %q moves, of %q", board.name, e.name, m, got)
				}
			}
			for _, k := range got {
				if !regexp.MustCompile(e.only).MatchString(k) {
					t.Errorf("%s, %s: moves %q", board.name, e.name, k)
				}
			}
		}
	}
}
