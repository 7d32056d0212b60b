// Package rehearse plays a whole ring-out against a board that is known: how many
// touches it takes, and whether what comes out is right.
//
// The planner is given a sample, which holds no net; the [Meter] is given the
// truth, and knows nothing of the planner. References and the order of parts are
// shuffled first, so that nothing can hang on how a board happens to be written.
package rehearse

import (
	"context"
	"fmt"
	"math/rand/v2"

	"cupel/internal/ringout"
	"cupel/internal/ringout/planner"
	"cupel/internal/ringout/strip"
)

// Options say how the rehearsal goes.
type Options struct {
	Rates Rates
	Plan  planner.Options // of the planner that is rehearsed
	Seed  uint64
	// OnlyBridged leaves out the closing by pairs, which takes as long to play as
	// all the rest.
	OnlyBridged bool
}

// Result is how a rehearsal went.
type Result struct {
	Pads, Nets int
	Questions  int
	// Touches is how many it took until the nets were those of the truth and
	// remained so. Closing touches show beyond that that the rest is apart: by pairs
	// and sweeps only, and with bridged pads.
	Touches, Closing, ClosingBridged int
	Found                            bool // the nets are those of the truth
	NaivePairs, Representative       int
	Wrong, Flagged                   []Net
	Errors                           Errors
	Log                              []ringout.Entry // with the names of the sample as given
}

// Touch is how long a touch takes at an even pace, in s.
const Touch = 4

// What stops a planner that does not come to an end: so many touches, or so often
// the same question of one that believes every reading. One that does not may
// have to ask for a pair more often than that.
const (
	mostPerPad = 60
	mostAgain  = 100
)

// Endless is the error of a planner that asks on and on.
type Endless struct{ Touches, Pads int }

func (e *Endless) Error() string {
	return fmt.Sprintf("after %d touches for %d pads there is still something to ask", e.Touches, e.Pads)
}

// Play rehearses the ring-out of a sample.
func Play(ctx context.Context, s *ringout.Sample, truth strip.Truth, o Options) (Result, error) {
	rng := rand.New(rand.NewPCG(o.Seed, 0))
	x := shuffle(s, truth, rng)
	m := NewMeter(x.truth, o.Rates, rand.New(rand.NewPCG(o.Seed, 1)))
	n := len(s.Pads)
	r := Result{Pads: n, NaivePairs: n * (n - 1) / 2, Nets: nets(truth), Representative: representatives(truth, rng)}

	main := newGame(x, m, o.Plan)
	if err := main.play(ctx); err != nil {
		return r, err
	}
	r.Found, r.Questions, r.Errors = main.right, main.questions, m.Errors
	r.Touches, r.ClosingBridged = main.found, main.touches-main.found
	r.Wrong, r.Flagged = judge(main.copper, x)
	r.Log = x.named(main.log)

	if o.OnlyBridged {
		return r, nil
	}
	pairs := o.Plan
	pairs.Pairs = true
	rest := newGame(x, m, pairs)
	rest.take(main.log[:main.at])
	if err := rest.play(ctx); err != nil {
		return r, err
	}
	r.Closing = rest.touches - main.found
	return r, nil
}

// game is a ring-out from some reading on to its end.
type game struct {
	mixed
	meter     *Meter
	plan      *planner.Planner
	believing bool // the planner takes every reading for right
	copper    *ringout.Copper
	log       []ringout.Entry
	strip     ringout.Strip
	touches   int
	questions int
	right     bool
	at, found int // entries and touches when the nets became right for good; before: when all guesses were made
}

func newGame(x mixed, m *Meter, o planner.Options) *game {
	return &game{mixed: x, meter: m, plan: planner.New(x.sample, o), believing: o.ErrorRate == 0, copper: ringout.NewCopper(x.sample, ringout.Rules{})}
}

func (g *game) play(ctx context.Context) error {
	guessing := true
	asked := map[string]int{}
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		ask, ok := g.plan.Next(g.copper)
		if !ok {
			return nil
		}
		question := fmt.Sprint(ask.Kind, ask.A, ask.B)
		asked[question]++
		if g.touches > mostPerPad*len(g.sample.Pads) || g.believing && asked[question] > mostAgain {
			return &Endless{g.touches, len(g.sample.Pads)}
		}
		if guessing && ask.Stage == planner.Close {
			guessing = false
			if !g.right {
				g.at, g.found = len(g.log), g.touches
			}
		}
		g.questions++
		g.take(g.probe(ask))
		if guessing && !g.right {
			g.at, g.found = len(g.log), g.touches
		}
	}
}

// take takes entries in.
func (g *game) take(entries []ringout.Entry) {
	for _, e := range entries {
		e.Number = len(g.log) + 1
		g.log = append(g.log, e)
		g.touches += g.cost(e)
		if err := g.copper.Add(e); err != nil {
			panic("rehearse: " + err.Error()) // an entry of our own making
		}
	}
	was := g.right
	g.right = same(g.copper, g.truth)
	if g.right && !was {
		g.at, g.found = len(g.log), g.touches
	}
}

func (g *game) cost(e ringout.Entry) int {
	if e.Kind == ringout.Bridge {
		return 1 + g.strip.Use(e.B)
	}
	return len(e.B)
}

// probe does what is asked. A sweep ends at the first pad that is not open: what
// came before is one entry, the pad that did not another.
func (g *game) probe(a planner.Ask) []ringout.Entry {
	if a.Kind != ringout.Sweep {
		return []ringout.Entry{g.entry(a.Kind, a.A, a.B, g.meter.Read(a.A, a.B))}
	}
	for i, b := range a.B {
		r := g.meter.Read(a.A, []int{b})
		if r.Result == ringout.Open {
			continue
		}
		var out []ringout.Entry
		if i > 0 {
			out = append(out, g.entry(ringout.Sweep, a.A, a.B[:i], Shown{Result: ringout.Open}))
		}
		return append(out, g.entry(ringout.Pair, a.A, []int{b}, r))
	}
	return []ringout.Entry{g.entry(ringout.Sweep, a.A, a.B, Shown{Result: ringout.Open})}
}

func (g *game) entry(k ringout.EntryKind, a int, b []int, r Shown) ringout.Entry {
	e := ringout.Entry{Kind: k, A: g.sample.Pads[a].Name, Result: r.Result, Value: r.Value}
	for _, x := range b {
		e.B = append(e.B, g.sample.Pads[x].Name)
	}
	return e
}
