package tolerance

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/elaborate"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/simulated"
)

// bench makes rigs of one demo board.
type bench struct {
	tb testing.TB
	d  *dossier.Dossier
}

func newBench(tb testing.TB, name string) bench {
	tb.Helper()
	tree, ok := demo.Tree(name)
	if !ok {
		tb.Fatalf("no demo board %s", name)
	}
	d, err := dossier.Read(tree)
	if err != nil {
		tb.Fatal(err)
	}
	return bench{tb, d}
}

func (b bench) elaborate(c elaborate.Choice, kelvin float64) (*elaborate.Circuit, error) {
	out, l := elaborate.Elaborate(b.d.Board, b.d.Sheets.Sheet, elaborate.Options{Choice: c, Kelvin: kelvin, Apart: true})
	return out, l.Err()
}

func (b bench) rig(c elaborate.Choice) *simulated.Rig {
	b.tb.Helper()
	r, err := simulated.New(b.d.Board, func(k float64) (*elaborate.Circuit, error) { return b.elaborate(c, k) }, simulated.Options{})
	if err != nil {
		b.tb.Fatal(err)
	}
	return r
}

// jobs are those that are repeated.
func (b bench) jobs() []trial.Job {
	var out []trial.Job
	can := b.rig(elaborate.Nominal{}).Can()
	for _, t := range trial.All(func(i int) rand.Source { return rand.NewPCG(0, uint64(i)) }) {
		for _, j := range t.Jobs(can) {
			if trial.Repeatable(j) {
				out = append(out, j)
			}
		}
	}
	return out
}

func (b bench) lessons() []*trial.Lesson {
	b.tb.Helper()
	var out []*trial.Lesson
	for _, j := range b.jobs() {
		out = append(out, b.learn(j))
	}
	return out
}

func (b bench) learn(j trial.Job) *trial.Lesson {
	b.tb.Helper()
	l, err := trial.Learn(context.Background(), b.rig(elaborate.Nominal{}), j)
	if err != nil {
		b.tb.Fatal(err)
	}
	return l
}

// TestAgree holds the short way against the plain one: every sample's figures
// found by guided searches lie where plain bracketing of the same board has
// them, within both brackets.
func TestAgree(t *testing.T) {
	samples := 3 // CUPEL_SAMPLES=200 takes an hour and more; -run TestAgree/discharge takes one trial
	if n, err := strconv.Atoi(os.Getenv("CUPEL_SAMPLES")); err == nil {
		samples = n
	}
	b := newBench(t, "sluice-5s")
	figures := 0
	for _, j := range b.jobs() {
		t.Run(j.Name, func(t *testing.T) {
			var c comparison
			l := b.learn(j)
			for i := range samples {
				c.sample(t, b, l, uint64(i))
			}
			t.Logf("%d figures compared", c.figures)
			figures += c.figures
		})
	}
	if filter := flag.Lookup("test.run"); figures < 280*samples && !strings.Contains(filter.Value.String(), "/") {
		t.Errorf("only %d figures compared", figures)
	}
}

// sample compares the two ways on one random board.
func (c *comparison) sample(t *testing.T, b bench, l *trial.Lesson, number uint64) {
	x := Choice{Sample{7, number}}
	again, err := trial.Repeat(context.Background(), b.rig(x), []*trial.Lesson{l})
	if err != nil {
		t.Fatal(err)
	}
	plain, _, err := l.Job.Run(context.Background(), b.rig(x))
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range c.compare(l, again[0], plain) {
		t.Errorf("sample %d, %s", number, d)
	}
}

// comparison counts what was compared.
type comparison struct{ figures int }

// compare gives the differences between the figures of a repetition and those of
// a plain run of the same job on the same board.
func (c *comparison) compare(l *trial.Lesson, again []trial.Again, plain []trial.Result) (bad []string) {
	byName := map[string]trial.Result{}
	for _, r := range plain {
		byName[name(r)] = r
	}
	for j, k := range l.Again {
		want, ok := byName[name(l.Results[k])]
		if !ok || want.Trial == protection.LoadShort && !hardest(want) {
			continue // plainly each board is swept over resistances of its own
		}
		c.figures++
		if d := difference(again[j], want); d != "" && !sliver(want, plain) {
			bad = append(bad, name(want)+": "+d)
		}
	}
	return bad
}

// difference says how the two ways differ by more than they may.
func difference(got trial.Again, want trial.Result) string {
	if got.Outcome != want.Outcome {
		return fmt.Sprintf("%s, plainly %s (%s)", got.Outcome, want.Outcome, want.Note)
	}
	if got.Outcome == protection.Found && got.At != 0 && follows(got, want) {
		return ""
	}
	if d := math.Abs(got.Value - want.Value); got.Outcome == protection.Found && d > slack(want) {
		return fmt.Sprintf("%.8g, plainly %.8g ± %.2g", got.Value, want.Value, slack(want))
	}
	return ""
}

// steepest is how fast a delay falls with the current, as d ln delay / d ln
// current. While the gates' supply sags after an edge, the comparator of a faster
// stage is reached the later the less it is passed by: 42 was seen.
const steepest = 60

// follows reports whether two delays of one board differ as the currents they
// were taken at do: each search has its own, both within their brackets.
func follows(got trial.Again, want trial.Result) bool {
	for _, c := range want.Conditions {
		if c.Name == "current" {
			more, less := math.Log(got.At/c.Value), math.Log(want.Value/got.Value)
			return math.Abs(more) < 0.0101 && more*less >= 0 && math.Abs(less) < steepest*math.Abs(more)
		}
	}
	return false
}

// sliver reports whether a figure is of a second stage that the short stage hides
// from all but a sliver of currents: one no wider than both brackets may show in
// one search and not in the other.
func sliver(r trial.Result, plain []trial.Result) bool {
	of := func(stage string) float64 {
		for _, o := range plain {
			if o.Quantity == protection.Current && o.Stage == stage && o.Outcome == protection.Found {
				return o.Value
			}
		}
		return math.NaN()
	}
	return r.Trial == protection.DischargeOvercurrent && r.Stage == "2" && of("short") < 1.0203*of("2")
}

// hardest reports whether a figure of a sweep of shorts is one that the hardest
// short decides, which is the same in every sweep.
func hardest(r trial.Result) bool {
	return r.Step == "" && (r.Quantity == protection.PeakCurrent || r.Quantity == protection.SupplyMinimum || r.Quantity == protection.PeakVoltage)
}

// slack is what two searches of one board may differ by: both brackets, and
// where a figure was taken at a stimulus that a search found, what that moves. A
// sensed voltage follows its current, which is known to 1 %.
func slack(r trial.Result) float64 {
	at := 2e-3 * math.Abs(r.Value)
	switch r.Quantity {
	case protection.SensedVoltage:
		at = 1e-2 * math.Abs(r.Value)
	case protection.Delay, protection.ReleaseDelay:
		at = 4e-2 * math.Abs(r.Value)
	}
	return at + 1.01*(r.High-r.Low)
}

func name(r trial.Result) string {
	return fmt.Sprint(r.Quantity, r.Cell, r.Tap, r.State, r.Stage, r.Port, r.Step)
}
