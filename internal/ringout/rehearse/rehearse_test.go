package rehearse

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/ringout"
	"cupel/internal/ringout/planner"
	"cupel/internal/ringout/strip"

	"github.com/google/go-cmp/cmp"
)

func demoSample(t testing.TB, name string) (*ringout.Sample, strip.Truth) {
	t.Helper()
	texts, ok := demo.Texts(name)
	if !ok {
		t.Fatalf("no demo %s", name)
	}
	d := dossier.OfTexts(texts)
	return strip.Board(d.Board, d.Sheets.Sheet)
}

func play(t testing.TB, s *ringout.Sample, truth strip.Truth, o Options) Result {
	t.Helper()
	r, err := Play(context.Background(), s, truth, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Boards are found whole, within what the issue of this part asks for: 2.5 touches
// a pad; and no way can take fewer touches than pads less nets.
func TestDemos(t *testing.T) {
	for _, name := range []string{"hive-3s", "dome-8s"} {
		s, truth := demoSample(t, name)
		r := play(t, s, truth, Options{Seed: 1, OnlyBridged: testing.Short() || name != "hive-3s"})
		perPad := float64(r.Touches) / float64(r.Pads)
		t.Logf("%s: %d pads on %d nets, %.2f touches a pad, closing %d, bridged %d, usual way %d", name, r.Pads, r.Nets, perPad, r.Closing, r.ClosingBridged, r.Representative)
		if !r.Found || len(r.Wrong)+len(r.Flagged) > 0 {
			t.Errorf("%s: found %v, wrong %v, flagged %v", name, r.Found, r.Wrong, r.Flagged)
		}
		if perPad > 2.5 || r.Touches < r.Pads-r.Nets || r.Representative < r.Touches {
			t.Errorf("%s: %d touches for %d pads on %d nets, the usual way %d", name, r.Touches, r.Pads, r.Nets, r.Representative)
		}
		if r.NaivePairs != r.Pads*(r.Pads-1)/2 {
			t.Errorf("%s: %d pairs", name, r.NaivePairs)
		}
	}
}

// While the meter does not err, what was answered is not asked again: a planner
// that does so once does so for ever.
func TestNoQuestionTwice(t *testing.T) {
	names := []string{"hive-3s", "dome-8s"}
	if !testing.Short() {
		names = append(names, "trolley-10s")
	}
	for _, name := range names {
		s, truth := demoSample(t, name)
		r := play(t, s, truth, Options{Seed: 1, OnlyBridged: true})
		asked := map[string]int{}
		for _, e := range r.Log {
			q := fmt.Sprint(e.Kind, e.A, e.B)
			if first, again := asked[q]; again {
				t.Fatalf("%s: entry %d asks what entry %d asked: %s", name, e.Number, first, q)
			}
			asked[q] = e.Number
		}
		if !r.Found {
			t.Errorf("%s: not found", name)
		}
	}
}

// A meter as bad as may be asked for has one pair asked for more than a hundred
// times, and the rehearsal still ends.
func TestMuchError(t *testing.T) {
	if testing.Short() {
		t.Skip("a long game")
	}
	s, truth := demoSample(t, "hive-3s")
	r := play(t, s, truth, Options{Seed: 1, Rates: Even(0.24), Plan: planner.Options{ErrorRate: 0.24}, OnlyBridged: true})
	if len(r.Wrong) > 0 {
		t.Errorf("%v are wrong, and nothing says so", r.Wrong)
	}
}

// With one reading in fifty wrong, of each kind, no net is silently wrong.
func TestNeverSilentlyWrong(t *testing.T) {
	s, truth := demoSample(t, "hive-3s")
	seeds := uint64(8)
	if testing.Short() {
		seeds = 2
	}
	var all Errors
	for seed := range seeds {
		r := play(t, s, truth, Options{Seed: seed, Rates: Even(0.02), Plan: planner.Options{ErrorRate: 0.02}, OnlyBridged: true})
		if len(r.Wrong) > 0 {
			t.Errorf("seed %d: %v are wrong, and nothing says so", seed, r.Wrong)
		}
		all.FalseBeep += r.Errors.FalseBeep
		all.MissedBeep += r.Errors.MissedBeep
		all.LowValue += r.Errors.LowValue
	}
	if all.FalseBeep == 0 || all.MissedBeep == 0 || all.LowValue == 0 {
		t.Errorf("the meter made no errors of some kind: %+v", all)
	}
}

// A planner that believes a meter that errs comes out wrong: what the test above
// looks for is there to be found.
func TestBelievingIsWrong(t *testing.T) {
	s, truth := demoSample(t, "hive-3s")
	amiss := 0
	for seed := range uint64(4) {
		r, err := Play(context.Background(), s, truth, Options{Seed: seed, Rates: Even(0.05), OnlyBridged: true})
		var endless *Endless
		if errors.As(err, &endless) || len(r.Wrong)+len(r.Flagged) > 0 {
			amiss++
		}
	}
	if amiss == 0 {
		t.Error("a meter that errs 5 times in 100 made no difference")
	}
}

// The same seed gives the same readings, whatever the nets are called; another
// seed other ones.
func TestNetsHaveNoNames(t *testing.T) {
	s, truth := demoSample(t, "hive-3s")
	renamed := make(strip.Truth, len(truth))
	for i, n := range truth {
		renamed[i] = n
		if n != board.NoNet {
			renamed[i] = 1000 - n
		}
	}
	a := play(t, s, truth, Options{Seed: 3, OnlyBridged: true})
	b := play(t, s, renamed, Options{Seed: 3, OnlyBridged: true})
	if d := cmp.Diff(a.Log, b.Log); d != "" {
		t.Error(d)
	}
	if c := play(t, s, truth, Options{Seed: 4, OnlyBridged: true}); cmp.Equal(a.Log, c.Log) {
		t.Error("another seed shuffles nothing")
	}
}

// The planner cannot peek because its input has no net: nothing of package board
// is in it.
func TestSampleHoldsNoNet(t *testing.T) {
	seen := map[reflect.Type]bool{}
	var walk func(reflect.Type)
	walk = func(x reflect.Type) {
		if seen[x] {
			return
		}
		seen[x] = true
		if strings.HasSuffix(x.PkgPath(), "internal/board") {
			t.Errorf("a sample holds %s", x)
		}
		switch x.Kind() {
		case reflect.Struct:
			for i := range x.NumField() {
				if strings.Contains(strings.ToLower(x.Field(i).Name), "net") {
					t.Errorf("a sample holds %s.%s", x, x.Field(i).Name)
				}
				walk(x.Field(i).Type)
			}
		case reflect.Map, reflect.Slice, reflect.Pointer, reflect.Array:
			if x.Kind() == reflect.Map {
				walk(x.Key())
			}
			walk(x.Elem())
		}
	}
	walk(reflect.TypeFor[ringout.Sample]())
}

// Shuffling keeps every part with its pads and nets, and moves most of them.
func TestShuffle(t *testing.T) {
	s, truth := demoSample(t, "sluice-5s")
	x := shuffle(s, truth, rand.New(rand.NewPCG(1, 2)))
	if err := x.sample.Check(); err != nil {
		t.Fatal(err)
	}
	moved := 0
	for i := range x.sample.Pads {
		p := &x.sample.Pads[i]
		j, ok := s.Pad(x.given[i])
		if !ok || x.truth[i] != truth[j] || s.Pads[j].Pin != p.Pin {
			t.Fatalf("pad %s was %s", p.Name, x.given[i])
		}
		if p.Part != ringout.NoPart && s.Parts[s.Pads[j].Part].Type != x.sample.Parts[p.Part].Type {
			t.Fatalf("pad %s of a %s was %s of a %s", p.Name, x.sample.Parts[p.Part].Type, x.given[i], s.Parts[s.Pads[j].Part].Type)
		}
		if p.Name != x.given[i] {
			moved++
		}
	}
	if moved < len(s.Pads)/2 {
		t.Errorf("%d of %d pads have another name", moved, len(s.Pads))
	}
}

// The meter errs at its rates, and each time anew.
func TestMeter(t *testing.T) {
	m := NewMeter(strip.Truth{0, 0, 1, board.NoNet, board.NoNet}, Rates{0.1, 0.2, 0.05}, rand.New(rand.NewPCG(1, 2)))
	const n = 20000
	count := func(a int, b ...int) (out [4]float64) {
		for range n {
			switch r := m.Read(a, b); r.Result {
			case ringout.Connected:
				out[0]++
			case ringout.Open:
				out[1]++
			case ringout.Ohms:
				out[2]++
				if r.Value < lowest || r.Value > highest {
					t.Errorf("a low value of %g Ω", r.Value)
				}
			}
		}
		return out
	}
	for _, c := range []struct {
		name               string
		got                [4]float64
		beeps, opens, lows float64
	}{
		{"joined", count(0, 1), 0.75, 0.2, 0.05},
		{"apart", count(0, 2), 0.1, 0.9, 0},
		{"on nothing", count(3, 4), 0.1, 0.9, 0},
		{"bridged with one that is joined", count(0, 2, 1, 3), 0.75, 0.2, 0.05},
	} {
		for i, want := range []float64{c.beeps, c.opens, c.lows} {
			// Five standard deviations of a share of n.
			if got := c.got[i] / n; math.Abs(got-want) > 5*math.Sqrt(want*(1-want)/n) {
				t.Errorf("%s: share %d is %.3f, want %.3f", c.name, i, got, want)
			}
		}
	}
}

// What differs from the truth is wrong unless the readings contradict each other
// about it.
func TestJudge(t *testing.T) {
	s := &ringout.Sample{Cells: 1}
	for _, n := range []string{"a", "b", "c", "d", "e"} {
		s.AddPad(ringout.Pad{Name: n})
	}
	truth := strip.Truth{0, 0, 1, 1, board.NoNet}
	pair := func(n int, a, b string, r ringout.Result) ringout.Entry {
		return ringout.Entry{Number: n, Kind: ringout.Pair, A: a, B: []string{b}, Result: r}
	}
	for _, c := range []struct {
		name           string
		log            []ringout.Entry
		right          bool
		wrong, flagged int
	}{
		{"right", []ringout.Entry{pair(1, "a", "b", ringout.Connected), pair(2, "c", "d", ringout.Connected)}, true, 0, 0},
		{"split", []ringout.Entry{pair(1, "a", "b", ringout.Connected)}, false, 2, 0},
		{"merged", []ringout.Entry{pair(1, "a", "b", ringout.Connected), pair(2, "c", "d", ringout.Connected), pair(3, "a", "c", ringout.Connected)}, false, 1, 0},
		{"merged, and contradicted", []ringout.Entry{
			pair(1, "a", "b", ringout.Connected), pair(2, "c", "d", ringout.Connected), pair(3, "a", "c", ringout.Connected), pair(4, "b", "d", ringout.Open),
		}, false, 0, 1},
		{"with a pad that is on nothing", []ringout.Entry{pair(1, "a", "b", ringout.Connected), pair(2, "c", "d", ringout.Connected), pair(3, "a", "e", ringout.Connected)}, false, 1, 0},
	} {
		copper := ringout.NewCopper(s, ringout.Rules{})
		for _, e := range c.log {
			if err := copper.Add(e); err != nil {
				t.Fatal(err)
			}
		}
		x := mixed{sample: s, truth: truth, given: []string{"a", "b", "c", "d", "e"}}
		wrong, flagged := judge(copper, x)
		if same(copper, truth) != c.right || len(wrong) != c.wrong || len(flagged) != c.flagged {
			t.Errorf("%s: right %v, wrong %v, flagged %v", c.name, same(copper, truth), wrong, flagged)
		}
	}
	if n := nets(truth); n != 3 {
		t.Errorf("%d nets", n)
	}
}
