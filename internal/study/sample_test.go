package study

import (
	"bytes"
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/study/batch"
)

// twoResistors loads each of two cells with a resistor of its own: figures that
// can be worked out on paper, at a fraction of a millisecond a board.
const twoResistors = `cupel: 1
board: toy
cells: 2
pads: {B-: gnd, T1: tap1, B+: tap2}
parts:
  R1: {value: 10 kΩ ±5 %, size: 0603, pins: [tap1, gnd]}
  R2: {value: 10 kΩ ±10 %, size: 0603, pins: [tap2, tap1]}
`

func toy(t *testing.T) *dossier.Dossier {
	t.Helper()
	d := dossier.OfTexts(map[string][]byte{"board.yaml": []byte(twoResistors)})
	if err := d.Findings.Err(); err != nil {
		t.Fatal(err)
	}
	return d
}

func asking(samples int, seed int64) Question {
	return Question{Trials: []protection.Trial{protection.SupplyCurrent}, Sampling: Sampling{Samples: samples, Seed: seed}}
}

// cellOne is the current of cell 1 at rest, half full.
func cellOne(t *testing.T, a answer.Predict) answer.Result {
	t.Helper()
	for _, r := range a.Results {
		if r.Quantity == string(protection.CellCurrent) && r.State == "idle" && r.Cell != nil && *r.Cell == 1 && strings.Contains(string(r.Step), "3.700") {
			return r
		}
	}
	t.Fatal("no current of cell 1")
	return answer.Result{}
}

// The current through 10 kΩ ± 5 % at 3.7 V: I = V/R with R even between its
// limits. The mean is V·ln(1.05/0.95)/(0.1·R₀), the mean square V²/(R₀²·(1−0.05²)).
// The 12 mΩ of the cell do not show.
func TestRangeOfAResistor(t *testing.T) {
	const v, r0, tol, n = 3.7, 10e3, 0.05, 2500
	p, err := Predict(t.Context(), toy(t), asking(n, 7), batch.Runner(batch.Options{}))
	if err != nil {
		t.Fatal(err)
	}
	r := cellOne(t, p.Answer)
	mean := v / r0 * math.Log((1+tol)/(1-tol)) / (2 * tol)
	sd := math.Sqrt(v*v/(r0*r0*(1-tol*tol)) - mean*mean)
	near := func(what string, got *float64, want, by float64) {
		t.Helper()
		if got == nil || math.Abs(*got-want) > by {
			t.Errorf("%s: %v, want %g ± %.1g", what, got, want, by)
		}
	}
	near("typical", r.Value, v/r0, 1e-5*v/r0)
	near("low", r.Low, v/r0/(1+tol), 1e-5*v/r0)
	near("high", r.High, v/r0/(1-tol), 1e-5*v/r0)
	near("mean", r.Mean, mean, 4*sd/math.Sqrt(n))
	near("deviation", r.SD, sd, 4*sd/math.Sqrt(2*n))
	near("median", r.PMid, v/r0, 0.005*v/r0)
	near("0.135 %", r.PLow, v/r0/(1+tol), 0.003*v/r0)
	if r.Confidence == nil || !(r.Confidence.PLow[0] <= *r.PLow && *r.PLow <= r.Confidence.PLow[1]) {
		t.Errorf("bounds %v of %v", r.Confidence, r.PLow)
	}
	if len(r.Causes) < 1 || r.Causes[0].Part != "R1" || r.Causes[0].Quantity != "value" || r.Causes[0].Share < 0.99 {
		t.Errorf("causes %+v", r.Causes)
	}
	if strings.Contains(string(r.Note), "monotone") || *r.RSquared < 0.99 {
		t.Errorf("R² %v, note %q", *r.RSquared, r.Note)
	}
}

// Percentiles and their bounds appear where there are enough samples for them.
func TestTooFewSamples(t *testing.T) {
	for _, c := range []struct {
		n              int
		outer, bounded bool
	}{{739, false, false}, {740, true, false}, {2217, true, false}, {2218, true, true}} {
		p, err := Predict(t.Context(), toy(t), asking(c.n, 1), batch.Runner(batch.Options{}))
		if err != nil {
			t.Fatal(err)
		}
		r := cellOne(t, p.Answer)
		if (r.PLow != nil) != c.outer || (r.Confidence != nil) != c.bounded || r.PMid == nil {
			t.Errorf("%d samples: percentile %v, bounds %v", c.n, r.PLow, r.Confidence)
		}
	}
}

func encoded(t *testing.T, a any) string {
	t.Helper()
	var b bytes.Buffer
	if err := answer.Encode(&b, a); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The same question has the same answer on any number of workers and from
// shards merged in any order; another seed has another.
func TestSamplesDoNotDependOnWorkers(t *testing.T) {
	answers := map[string]string{}
	for name, c := range map[string]struct {
		workers int
		seed    int64
	}{"1 worker": {1, 7}, "3 workers": {3, 7}, "another seed": {1, 8}} {
		p, err := Predict(t.Context(), toy(t), asking(50, c.seed), batch.Runner(batch.Options{Workers: c.workers}))
		if err != nil {
			t.Fatal(err)
		}
		answers[name] = encoded(t, p.Answer)
	}
	if answers["1 worker"] != answers["3 workers"] {
		t.Error("one and three workers differ")
	}
	if answers["1 worker"] == answers["another seed"] {
		t.Error("another seed draws the same boards")
	}
	files := shards(t, 50, 7, 4)
	files[0], files[2] = files[2], files[0]
	merged, err := Merge(files)
	if err != nil {
		t.Fatal(err)
	}
	if got := encoded(t, merged); got != answers["1 worker"] {
		t.Error("merged differs from unsharded")
	}
	if again := shards(t, 50, 7, 4); encoded(t, again[1].Shard) != encoded(t, shards(t, 50, 7, 4)[1].Shard) {
		t.Error("a shard made again differs")
	}
}

// shards makes all shards of a question.
func shards(t *testing.T, samples int, seed int64, of int) []ShardFile {
	t.Helper()
	var out []ShardFile
	for i := 1; i <= of; i++ {
		q := asking(samples, seed)
		q.Shard, q.Of = i, of
		s, err := Shard(t.Context(), toy(t), q, "v1", batch.Runner(batch.Options{}))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, ShardFile{File: string(rune('a'+i-1)) + ".json", Shard: s})
	}
	return out
}

func TestMergeRefuses(t *testing.T) {
	whole := func() []ShardFile { return shards(t, 12, 7, 3) }
	for _, c := range []struct {
		name string
		of   func([]ShardFile) []ShardFile
		want []string
	}{
		{"nothing", func([]ShardFile) []ShardFile { return nil }, []string{"there are no shards to merge"}},
		{"a lost one", func(f []ShardFile) []ShardFile { return f[:2] }, []string{"shard 3 of 3 is missing", "--shard 3/3 -o FILE"}},
		{"one twice", func(f []ShardFile) []ShardFile { return append(f, ShardFile{"d.json", f[1].Shard}) }, []string{"d.json", "numbers of shard 2, which b.json has too"}},
		{"another seed", func(f []ShardFile) []ShardFile { f[1].Seed = 8; return f }, []string{"b.json", "its seed (8) is not that of the others"}},
		{"another version", func(f []ShardFile) []ShardFile { f[2].Version = "v2"; return f }, []string{"c.json", "made by (v2)"}},
		{"another dossier", func(f []ShardFile) []ShardFile { f[1].Inputs = "ffff"; return f }, []string{"b.json", "its dossier (ffff)"}},
		{"other samples", func(f []ShardFile) []ShardFile { f[1].Samples = 13; return f }, []string{"b.json", "its number of samples (13)"}},
		{"overlapping numbers", func(f []ShardFile) []ShardFile { f[1].To++; return f }, []string{"b.json", "its samples 4 to 8 are not those of shard 2 of 3"}},
		{"a stopped one", func(f []ShardFile) []ShardFile { f[1].Complete = false; return f }, []string{"b.json", "not complete", "run it again"}},
		{"a spoilt one", func(f []ShardFile) []ShardFile { f[1].Data = f[1].Data[:40]; return f }, []string{"b.json", "cannot be read"}},
		{"texts of another board", func(f []ShardFile) []ShardFile {
			f[0].Texts[0].Text += "\n"
			return f
		}, []string{"a.json", "not those it was predicted from"}},
	} {
		_, err := Merge(c.of(whole()))
		if err == nil {
			t.Errorf("%s: merged", c.name)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(said(err), w) {
				t.Errorf("%s: %q is not said in:\n%s", c.name, w, said(err))
			}
		}
	}
}

// A person who stops the work keeps the boards that are done, and whoever stops it
// in the search for corners those before it.
func TestStoppedSamplesAreKept(t *testing.T) {
	const all, done = 100, 30
	for name, c := range map[string]struct {
		stops         func(n, i int) bool
		least, most   int
		mean, corners bool
	}{
		"among samples": {func(n, i int) bool { return n == all && i == done }, done, done + 1, true, false},
		"among corners": {func(n, _ int) bool { return n == 2*firstLook }, all, all, true, false},
		"not at all":    {func(int, int) bool { return false }, all, all, true, true},
	} {
		ctx, stop := context.WithCancel(t.Context())
		inner := batch.Runner(batch.Options{Workers: 1})
		run := func(ctx context.Context, n int, do func(context.Context, int) error) []error {
			return inner(ctx, n, func(ctx context.Context, i int) error {
				if c.stops(n, i) {
					stop()
				}
				return do(ctx, i)
			})
		}
		p, err := Predict(ctx, toy(t), asking(all, 7), run)
		if err != nil {
			t.Fatal(err)
		}
		r := cellOne(t, p.Answer)
		if n := p.Answer.Samples; p.Answer.Complete != c.corners || n < c.least || n > c.most || (r.Mean != nil) != c.mean || (r.Low != nil) != c.corners {
			t.Errorf("%s: complete %v, %d samples, mean %v, low %v", name, p.Answer.Complete, n, r.Mean, r.Low)
		}
		stop()
	}
}

// said is all that an error of findings says.
func said(err error) string {
	var errs *finding.Errors
	if !errors.As(err, &errs) {
		return err.Error()
	}
	var b strings.Builder
	for _, f := range errs.List {
		b.WriteString(f.Place.File + ": " + f.Text + ": " + f.Do + "\n")
	}
	return b.String()
}
