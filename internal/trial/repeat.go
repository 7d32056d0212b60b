package trial

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Lesson is a job that ran once on a nominal board, and what that taught: the
// same job on boards with other values of the same parts is then done with few
// runs. Nothing of the nominal board gets into what is found there: a lesson
// says where to look, and each board shows what it does.
type Lesson struct {
	Job     Job
	Results []Result
	Figures []Figure
	// Again are the indexes of those Results that Repeat finds again: figures
	// with a unit, without the steps of sweeps that are cut short.
	Again []int

	guide *guide
	keys  []figureKey // of Again
}

// figureKey tells the results of one job apart, but for circumstances that
// differ from board to board, as the cell voltage just above overdischarge.
type figureKey struct {
	cell, tap          int
	state, stage, port string
	step               string // of a sweep whose steps are the same on every board
	quantity           protection.Quantity
	n                  int // how many alike came before
}

// keys names results.
func keys(rs []Result) []figureKey {
	ks := make([]figureKey, len(rs))
	seen := map[figureKey]int{}
	for i, r := range rs {
		k := figureKey{cell: r.Cell, tap: r.Tap, state: r.State, stage: r.Stage, port: r.Port, quantity: r.Quantity}
		if r.Trial == protection.LoadShort {
			k.step = r.Step
		}
		ks[i] = k
		ks[i].n = seen[k]
		seen[k]++
	}
	return ks
}

// Repeatable reports whether a job is one that Repeat can do: all but those
// whose answers are mostly words or that take many runs for each figure.
func Repeatable(j Job) bool {
	return j.work != nil && j.work.absent == "" && j.Trial != protection.FirstConnection && j.Trial != protection.Release
}

// Learn runs a job on a nominal board, which its results are those of, and keeps
// what it taught. The rig must be a rig.Rewinder for that.
func Learn(ctx context.Context, r rig.Rig, j Job) (*Lesson, error) {
	out := &Lesson{Job: j}
	rw, ok := r.(rig.Rewinder)
	if !ok || !Repeatable(j) {
		var err error
		out.Results, out.Figures, err = j.Run(ctx, r)
		return out, err
	}
	origin := rw.Mark()
	s := newStand(ctx, r)
	s.learning = &guide{searches: map[string]lesson{}}
	var err error
	if out.Results, out.Figures, err = j.work.on(s); err != nil {
		return out, err
	}
	out.guide = s.learning
	rw.Rewind(origin)
	again, err := Repeat(ctx, r, []*Lesson{out})
	if err != nil {
		return out, err
	}
	out.choose(again[0])
	return out, nil
}

// choose takes as figures those that a repetition gave too.
func (l *Lesson) choose(again []Again) {
	have := map[figureKey]bool{}
	for _, a := range again {
		have[a.key] = true
	}
	for i, k := range keys(l.Results) {
		r := l.Results[i]
		if have[k] && r.Unit != "" && !rounding(r) && r.Outcome != protection.NotApplicable && r.Outcome != protection.NotComputed {
			l.Again, l.keys = append(l.Again, i), append(l.keys, k)
		}
	}
}

// Only returns the lesson of the job cut down to some of its quantities.
func (l *Lesson) Only(qs []protection.Quantity) *Lesson {
	out := *l
	out.Job, out.Again, out.keys = l.Job.Only(qs), nil, nil
	for k, i := range l.Again {
		if slices.Contains(qs, l.Results[i].Quantity) {
			out.Again, out.keys = append(out.Again, i), append(out.keys, l.keys[k])
		}
	}
	return &out
}

// leastFigure is what no voltage, current, time or resistance of a board is
// smaller than: below it a figure is nothing but rounding.
const leastFigure = 1e-12

func rounding(r Result) bool {
	return r.Quantity == protection.SumError || r.Outcome == protection.Found && math.Abs(r.Value) < leastFigure
}

// Again is a figure found again, or how its search ended.
type Again struct {
	Outcome protection.Outcome
	Value   float64
	Doubt   float64 // Value is known to ± this from the search alone
	Why     string  // where there is no value
	At      float64 // A, of a delay: the current it was taken at, which each board has its own of; 0 of others

	key figureKey
}

// Repeat does the jobs of lessons on another board of the same kind, all on one
// rig, and gives the figures named by each lesson's Again. What one lesson gives
// does not depend on the others: each begins where the rig stands now.
func Repeat(ctx context.Context, r rig.Rig, lessons []*Lesson) ([][]Again, error) {
	rw, ok := r.(rig.Rewinder)
	if !ok {
		return nil, errors.New("a job can only be repeated on a rig that can be rewound")
	}
	s := newStand(ctx, r)
	s.origin = &kept{rw.Mark(), s.set.clone()}
	out := make([][]Again, len(lessons))
	for i, l := range lessons {
		s.fresh()
		s.guide = l.guide
		rs, _, err := l.Job.work.on(s)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", l.Job.Name, err)
		}
		out[i] = l.pick(rs)
	}
	return out, nil
}

// at is one of the conditions a result was found under; 0 where it is none.
func (r Result) at(name string) float64 {
	for _, c := range r.Conditions {
		if c.Name == name {
			return c.Value
		}
	}
	return 0
}

// fresh forgets all but the rests, which are prepared from the origin whoever
// asks first.
func (s *stand) fresh() {
	s.back(*s.origin)
	s.woke = false
	clear(s.cuts)
	for name := range s.kept {
		if !strings.HasPrefix(name, "rest ") {
			delete(s.kept, name)
		}
	}
}

// elsewhere is why a board lacks a figure that the nominal one has: a stage that
// another hides, a release that needs another circumstance.
const elsewhere = "this board does not come to it in the circumstances the nominal one does"

// pick takes out of results what the lesson names; all of it before it names
// any.
func (l *Lesson) pick(rs []Result) []Again {
	byKey := map[figureKey]Again{}
	all := make([]Again, 0, len(rs))
	for i, k := range keys(rs) {
		a := Again{Outcome: rs[i].Outcome, Value: rs[i].Value, key: k}
		if r := rs[i]; !r.Solved && r.Low < r.High {
			a.Doubt = (r.High - r.Low) / 2
		}
		if a.Outcome != protection.Found {
			a.Why = rs[i].Note
		}
		if rs[i].Quantity == protection.Delay {
			a.At = rs[i].at("current")
		}
		byKey[k] = a
		all = append(all, a)
	}
	if l.keys == nil {
		return all
	}
	out := make([]Again, len(l.keys))
	for i, k := range l.keys {
		a, ok := byKey[k]
		if !ok {
			a = Again{Outcome: protection.Undefined, Why: elsewhere, key: k}
		}
		out[i] = a
	}
	return out
}
