package tolerance

import (
	"math"
	"slices"
	"strings"

	"cupel/internal/protection"
	"cupel/internal/trial"
)

// towards is the corner at which the effects of single variables add up upward,
// sign 1, or downward, sign −1. Where both limits move the figure the wrong way
// the variable stays nominal.
func (w *work) towards(f *figure, sign float64) corner {
	c := corner{}
	for _, v := range w.Variables {
		if moved := sign * f.minor[v.block()]; moved != 0 && !w.active[f.lesson][v.block()] {
			c[v] = math.Copysign(1, moved) * w.screened(v)
		}
	}
	for _, e := range f.Effects {
		low, high := sign*(e.Low-f.centre.Value), sign*(e.High-f.centre.Value)
		switch {
		case high > 0 && !(low > high):
			c[e.Variable] = 1
		case low > 0:
			c[e.Variable] = -1
		}
	}
	return c
}

// name tells corners apart.
func (c corner) name(order []Variable) string {
	var b strings.Builder
	for i, v := range order {
		if u, ok := c[v]; ok {
			b.WriteString(string(rune(i)))
			if u > 0 {
				b.WriteByte('+')
			}
		}
	}
	return b.String()
}

// corners asks for the corners of every figure. Figures of a lesson often share
// them.
func (w *work) corners() error {
	var asks []Ask
	for _, l := range w.Mine {
		seen := map[string]bool{}
		for _, f := range w.byLesson[l] {
			f.low, f.high = w.towards(f, -1), w.towards(f, 1)
			for _, c := range []corner{f.low, f.high} {
				if n := c.name(w.Variables); n != "" && !seen[n] {
					seen[n] = true
					asks = append(asks, Ask{Set{Levels: c}, []int{l}})
				}
			}
		}
	}
	if err := w.ask(asks, nil); err != nil {
		return err
	}
	for _, f := range w.all {
		f.judgeLow, f.judgeHigh, f.doubtLow, f.doubtHigh = f.Low, f.High, f.LowDoubt, f.HighDoubt
	}
	return nil
}

// random asks for random corners and for random boards inside; what lies beyond
// the corners starts a climb.
func (w *work) random() error {
	var asks []Ask
	for j := range uint64(randomCorners) {
		asks = append(asks, Ask{RandomCorner{w.Seed, j}, w.Mine})
	}
	for j := range uint64(insidePoints) {
		asks = append(asks, Ask{Sample{w.Seed, j}, w.Mine})
	}
	return w.ask(asks, func(i int, f *figure, a trial.Again) {
		y := math.NaN()
		if a.Outcome == protection.Found {
			y = a.Value
		}
		if i >= randomCorners {
			f.insideY = append(f.insideY, y)
		}
		if y > f.judgeHigh+f.eps+f.doubtHigh+a.Doubt && !(f.highClimb.at != nil && y <= f.highClimb.value) {
			f.highClimb = climb{sign: 1, at: asks[i].Point, value: y, doubt: a.Doubt, corner: f.high}
		}
		if y < f.judgeLow-f.eps-f.doubtLow-a.Doubt && !(f.lowClimb.at != nil && y >= f.lowClimb.value) {
			f.lowClimb = climb{sign: -1, at: asks[i].Point, value: y, doubt: a.Doubt, corner: f.low}
		}
	})
}

// climb is a search from a board that lay beyond the corners: one variable after
// the other to the limit that leads further, all that do at once if that is
// further still.
type climb struct {
	sign   float64
	at     Point // nil: none
	value  float64
	doubt  float64
	corner corner
	done   bool

	tries []try
}

// try is one change of the board a climb stands at.
type try struct {
	v     Variable
	level float64
	got   trial.Again
}

// Bounds of a climb, our own choices: how many times it goes on, and how many
// variables it tries, those of the greatest effect.
const (
	climbs    = 6
	climbOver = 24
)

func (f *figure) climbs() []*climb {
	var out []*climb
	for _, c := range []*climb{&f.lowClimb, &f.highClimb} {
		if c.at != nil && !c.done {
			out = append(out, c)
		}
	}
	return out
}

// climbOn lets all climbs go on until none gets further.
func (w *work) climbOn() error {
	for _, f := range w.all {
		f.Beyond = len(f.climbs()) > 0
	}
	for n := range climbs {
		if err := w.tryOut(); err != nil {
			return err
		}
		if n == 0 {
			for _, f := range w.all {
				for _, c := range f.climbs() {
					f.name(c)
				}
			}
		}
		if err := w.goOn(); err != nil {
			return err
		}
	}
	return nil
}

// asked is an ask of one climb, and where its answer goes.
type asked struct {
	f  *figure
	to *trial.Again
}

// askFor asks boards of single figures.
func (w *work) askFor(asks []Ask, of []asked) error {
	return w.ask(asks, func(i int, f *figure, a trial.Again) {
		if of[i].f == f {
			*of[i].to = a
		}
	})
}

// tryOut tries every single change of every climb.
func (w *work) tryOut() error {
	var asks []Ask
	var of []asked
	for _, f := range w.all {
		for _, c := range f.climbs() {
			c.tries = nil
			for _, e := range f.Effects[:min(len(f.Effects), climbOver)] {
				for _, level := range []float64{-1, 1} {
					if c.at.Level(e.Variable) != level {
						c.tries = append(c.tries, try{v: e.Variable, level: level})
					}
				}
			}
			for i := range c.tries {
				t := &c.tries[i]
				asks = append(asks, Ask{with(c.at, t.v, t.level), []int{f.lesson}})
				of = append(of, asked{f, &t.got})
			}
		}
	}
	return w.askFor(asks, of)
}

// gain is how much further a try came.
func (c *climb) gain(a trial.Again) float64 {
	if a.Outcome != protection.Found {
		return math.Inf(-1)
	}
	return c.sign * (a.Value - c.value)
}

// name finds what the figure is not monotone in: the variable whose level at the
// corner, alone, takes most of what the board had beyond it away again.
func (f *figure) name(c *climb) {
	worst, at := f.eps+c.doubt, -1
	for i, t := range c.tries {
		if u, ok := c.corner[t.v]; ok && u == t.level && -c.gain(t.got) > worst && !math.IsInf(c.gain(t.got), 0) {
			worst, at = -c.gain(t.got), i
		}
	}
	if at >= 0 && !slices.Contains(f.Odd, c.tries[at].v) {
		f.Odd = append(f.Odd, c.tries[at].v)
	}
}

// goOn moves every climb to the best of its tries, or to all that led further at
// once.
func (w *work) goOn() error {
	var asks []Ask
	var of []asked
	type move struct {
		c        *climb
		best     try
		all      Set
		together trial.Again
	}
	var moves []*move
	for _, f := range w.all {
		for _, c := range f.climbs() {
			m := &move{c: c, all: Set{Levels: map[Variable]float64{}, Under: c.at}}
			best := f.eps + c.doubt
			for _, t := range c.tries {
				g := c.gain(t.got)
				if g > f.eps+t.got.Doubt {
					m.all.Levels[t.v] = t.level
				}
				if g > best {
					best, m.best = g, t
				}
			}
			if len(m.all.Levels) == 0 || m.best.level == 0 {
				c.done = true
				continue
			}
			moves = append(moves, m)
			asks = append(asks, Ask{m.all, []int{f.lesson}})
			of = append(of, asked{f, &m.together})
		}
	}
	if err := w.askFor(asks, of); err != nil {
		return err
	}
	for _, m := range moves {
		c := m.c
		if c.gain(m.together) >= c.gain(m.best.got) {
			c.at, c.value, c.doubt = m.all, m.together.Value, m.together.Doubt
			continue
		}
		c.at, c.value, c.doubt = with(c.at, m.best.v, m.best.level), m.best.got.Value, m.best.got.Doubt
	}
	return nil
}
