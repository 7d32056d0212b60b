package study

import (
	"context"
	"fmt"
	"math"
	"slices"

	"cupel/internal/claim"
	"cupel/internal/dossier"
	"cupel/internal/elaborate"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/simulated"
	"cupel/internal/trial/tolerance"
)

// Sampling asks for ranges over the tolerances of all parts. The zero value asks
// for none.
type Sampling struct {
	Samples int   // random boards; 0: typical values only
	Seed    int64 // of which random boards
	// Shard of Of does a part of the work, counted from 1; 0 of 0 does all.
	Shard, Of int
	// Rough is a first look: no worst corners, and random boards only for the
	// first job of each of the roughTrials, at 25 °C, and of that only for what
	// claims state.
	Rough bool
}

// roughTrials are those of a first look: what a board's table states first.
var roughTrials = []protection.Trial{protection.Overcharge, protection.Overdischarge, protection.DischargeOvercurrent}

// share is the numbers of the samples that are done here: from … to−1.
func (s Sampling) share() (from, to int) {
	if s.Of == 0 {
		return 0, s.Samples
	}
	return (s.Shard - 1) * s.Samples / s.Of, s.Shard * s.Samples / s.Of
}

// mine reports whether the corners of job n are searched here.
func (s Sampling) mine(n int) bool { return s.Of == 0 || n%s.Of == s.Shard-1 }

// spread is what is known of one job's figures over tolerances, each by its
// place among the job's results. All of it but Job comes from a run or is read
// back from shards.
type spread struct {
	Job     int   // number of the run
	Again   []int // the results that have ranges
	Extents []tolerance.Extent
	// Values and Outcomes are those of every figure by sample, from From on.
	From     int
	Values   [][]float64
	Outcomes [][]protection.Outcome
	Done     []bool // by sample
	Reasons  []reason
}

// reason is why the first sample that ended in an outcome other than found did.
type reason struct {
	Figure  int // among Again
	Outcome protection.Outcome
	Number  int // of the sample
	Text    string
}

// boards computes boards of one dossier at one temperature.
type boards struct {
	d       *dossier.Dossier
	kelvin  float64
	lessons []*trial.Lesson
	run     Runner
	kept    map[uint64][][]trial.Again // of the first samples that were computed, by number
}

// rig is a board at a point.
func (b *boards) rig(p tolerance.Point) (*simulated.Rig, error) {
	made := func(kelvin float64) (*elaborate.Circuit, error) {
		return tolerated(b.d, tolerance.Choice{Point: p}, kelvin)
	}
	return simulated.New(b.d.Board, made, simulated.Options{Kelvin: b.kelvin, RatedAmps: rated(b.d.Claims.Claims)})
}

// tolerated is the board of a dossier with other values than the nominal ones;
// parts in parallel are apart, as each has its own.
func tolerated(d *dossier.Dossier, c elaborate.Choice, kelvin float64) (*elaborate.Circuit, error) {
	out, l := elaborate.Elaborate(d.Board, d.Sheets.Sheet, elaborate.Options{Choice: c, Kelvin: kelvin, Apart: true})
	return out, l.Err()
}

// compute gives the figures of lessons on a board. Only the end of ctx is an
// error: a board that cannot be computed is an answer.
func (b *boards) compute(ctx context.Context, p tolerance.Point, numbers []int) ([][]trial.Again, error) {
	lessons := make([]*trial.Lesson, len(numbers))
	for i, n := range numbers {
		lessons[i] = b.lessons[n]
	}
	r, err := b.rig(p)
	if err == nil {
		var got [][]trial.Again
		if got, err = trial.Repeat(ctx, r, lessons); err == nil {
			return got, nil
		}
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	return notComputed(lessons, err), nil
}

// notComputed is the answer of a board that could not be computed.
func notComputed(lessons []*trial.Lesson, err error) [][]trial.Again {
	out := make([][]trial.Again, len(lessons))
	for i, l := range lessons {
		for range l.Again {
			out[i] = append(out[i], trial.Again{Outcome: protection.NotComputed, Why: err.Error()})
		}
	}
	return out
}

// ask computes boards side by side, for a study of corners.
func (b *boards) ask(ctx context.Context) tolerance.Asker {
	return func(asks []tolerance.Ask) ([][][]trial.Again, error) {
		out := make([][][]trial.Again, len(asks))
		errs := b.run(ctx, len(asks), func(ctx context.Context, i int) error {
			if s, ok := asks[i].Point.(tolerance.Sample); ok && b.kept[s.Number] != nil {
				out[i] = chosenOf(b.kept[s.Number], asks[i].Lessons)
				return nil
			}
			var err error
			out[i], err = b.compute(ctx, asks[i].Point, asks[i].Lessons)
			return err
		})
		for i, err := range errs {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if err != nil { // it crashed
				out[i] = b.crashed(asks[i].Lessons, err)
			}
		}
		return out, nil
	}
}

// chosenOf takes some lessons' figures out of a board's.
func chosenOf(all [][]trial.Again, lessons []int) [][]trial.Again {
	out := make([][]trial.Again, len(lessons))
	for i, n := range lessons {
		out[i] = all[n]
	}
	return out
}

func (b *boards) crashed(numbers []int, err error) [][]trial.Again {
	lessons := make([]*trial.Lesson, len(numbers))
	for i, n := range numbers {
		lessons[i] = b.lessons[n]
	}
	return notComputed(lessons, err)
}

// samples computes samples from … to−1 of all lessons; what was not reached
// before ctx ended is nil.
func (b *boards) samples(ctx context.Context, seed int64, from, to int) [][][]trial.Again {
	all := make([]int, len(b.lessons))
	for i := range all {
		all[i] = i
	}
	out := make([][][]trial.Again, to-from)
	errs := b.run(ctx, len(out), func(ctx context.Context, i int) error {
		got, err := b.compute(ctx, tolerance.Sample{Seed: uint64(seed), Number: uint64(from + i)}, all)
		if err == nil {
			out[i] = got
		}
		return err
	})
	for i, err := range errs {
		if err != nil && ctx.Err() == nil {
			out[i] = b.crashed(all, err)
		}
		if n := from + i; n < firstLook && out[i] != nil {
			b.kept[uint64(n)] = out[i]
		}
	}
	return out
}

// firstLook is how many samples are computed before the search for corners, which
// takes long: work that is stopped in it has something to show for it. The search
// wants as many boards inside anyway.
const firstLook = 200

// ranges finds the ranges of all runs at one temperature. It reports whether all
// of it was done.
func (b *boards) ranges(ctx context.Context, s Sampling, jobs []int) (out []*spread, whole bool) {
	b.kept = map[uint64][][]trial.Again{}
	whole = true
	for i, l := range b.lessons {
		out = append(out, &spread{Job: jobs[i], Again: l.Again})
	}
	from, to := s.share()
	got := b.samples(ctx, s.Seed, from, min(to, from+firstLook))
	if !s.Rough {
		extents, err := b.corners(ctx, s, jobs)
		whole = err == nil
		for i := range extents {
			out[i].Extents = extents[i]
		}
	}
	got = append(got, b.samples(ctx, s.Seed, from+len(got), to)...)
	for i := range out {
		out[i].take(from, got, i)
		whole = whole && !slices.Contains(out[i].Done, false)
	}
	return out, whole
}

// corners studies the jobs that are studied here.
func (b *boards) corners(ctx context.Context, s Sampling, jobs []int) ([][]tolerance.Extent, error) {
	variables, err := tolerance.Variables(func(c elaborate.Choice) error {
		_, err := tolerated(b.d, c, b.kelvin)
		return err
	})
	if err != nil {
		return nil, err
	}
	var mine []int
	for i := range b.lessons {
		if s.mine(jobs[i]) {
			mine = append(mine, i)
		}
	}
	return tolerance.Study{Variables: variables, Lessons: b.lessons, Mine: mine, Seed: uint64(s.Seed), Ask: b.ask(ctx)}.Run()
}

// take keeps the samples of lesson n.
func (p *spread) take(from int, got [][][]trial.Again, n int) {
	p.From, p.Done = from, make([]bool, len(got))
	p.Values, p.Outcomes = make([][]float64, len(p.Again)), make([][]protection.Outcome, len(p.Again))
	for i, g := range got {
		p.Done[i] = g != nil
		for k := range p.Again {
			a := trial.Again{Outcome: protection.NotComputed}
			if g != nil {
				a = g[n][k]
			}
			v := math.NaN()
			if a.Outcome == protection.Found {
				v = a.Value
			}
			p.Values[k], p.Outcomes[k] = append(p.Values[k], v), append(p.Outcomes[k], a.Outcome)
			if g != nil && a.Why != "" {
				p.why(reason{k, a.Outcome, from + i, a.Why})
			}
		}
	}
}

// why keeps a reason, of those for one outcome of one figure that of the first
// sample.
func (p *spread) why(r reason) {
	for i := range p.Reasons {
		if have := &p.Reasons[i]; have.Figure == r.Figure && have.Outcome == r.Outcome {
			if r.Number < have.Number {
				*have = r
			}
			return
		}
	}
	p.Reasons = append(p.Reasons, r)
}

// spreads finds the ranges of all runs that can be repeated, temperature by
// temperature.
func spreads(ctx context.Context, d *dossier.Dossier, s Sampling, runs []run, do Runner) (out []*spread, whole bool) {
	whole = true
	for _, kelvin := range kelvinsOf(runs) {
		b := &boards{d: d, kelvin: kelvin, run: do}
		var jobs []int
		for i := range runs {
			if r := &runs[i]; r.kelvin == kelvin && r.lesson != nil && len(r.lesson.Again) > 0 && (!s.Rough || roughly(runs, i)) {
				b.lessons, jobs = append(b.lessons, s.of(r.lesson, d.Claims.Claims)), append(jobs, i)
			}
		}
		if len(jobs) == 0 {
			continue
		}
		got, all := b.ranges(ctx, s, jobs)
		out, whole = append(out, got...), whole && all
	}
	return out, whole
}

// of is what is repeated of a lesson: in a first look what claims state.
func (s Sampling) of(l *trial.Lesson, claims []claim.Claim) *trial.Lesson {
	if !s.Rough {
		return l
	}
	var stated []protection.Quantity
	for _, c := range claims {
		if c.Protection == l.Job.Trial {
			stated = append(stated, protection.AnsweredBy(c.Protection, c.Quantity)...)
		}
	}
	return l.Only(stated)
}

// roughly reports whether a first look takes job i: the first of its trial.
func roughly(runs []run, i int) bool {
	of := func(r run) bool { return r.job.Trial == runs[i].job.Trial }
	return slices.Contains(roughTrials, runs[i].job.Trial) && slices.IndexFunc(runs, of) == i
}

// kelvinsOf lists the temperatures of runs in their order.
func kelvinsOf(runs []run) []float64 {
	var out []float64
	for i := range runs {
		if !slices.Contains(out, runs[i].kelvin) {
			out = append(out, runs[i].kelvin)
		}
	}
	return out
}

// checkShard refuses a shard that is none.
func (s Sampling) check() error {
	switch {
	case s.Samples < 0:
		return fmt.Errorf("%d samples: their number cannot be negative", s.Samples)
	case s.Of != 0 && s.Samples == 0:
		return fmt.Errorf("shard %d of %d of no samples: say how many with --samples", s.Shard, s.Of)
	case s.Of < 0 || s.Of > 0 && (s.Shard < 1 || s.Shard > s.Of):
		return fmt.Errorf("no shard %d of %d: they are counted from 1", s.Shard, s.Of)
	}
	return nil
}
