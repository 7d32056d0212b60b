package transient

import (
	"math"
	"slices"
)

// Chatter is a unit in a limit cycle.
type Chatter struct {
	Part string
	Rate float64 // Hz
	// Irregular is set if no short pattern repeats: timers that beat against each
	// other. Rate is then that of a pair of changes, on average.
	Irregular bool
}

// toggles remembers when a unit's outputs last changed, to tell a limit cycle.
type toggles struct {
	at    [remembered]float64
	marks [3]float64 // of the last whole lots of changes
	count int
}

// A unit is in a limit cycle when its changes repeat with some even count of
// them a period, up to mostChanges, for the last remembered changes, all periods
// within spacing of each other. It is in an irregular one when its last two lots
// of changes took the same time within evenly.
const (
	remembered  = 16
	mostChanges = 8
	spacing     = 0.2
	lot         = 256
	evenly      = 0.05
)

func (g *toggles) add(t float64) {
	g.at[g.count%remembered] = t
	g.count++
	if g.count%lot == 0 {
		g.marks[0], g.marks[1], g.marks[2] = g.marks[1], g.marks[2], t
	}
}

// cycles returns after how many changes the unit's outputs repeat and the rate
// of that; 0 when they do not.
func (g *toggles) cycles() (changes int, rate float64) {
	if g.count < remembered {
		return 0, 0
	}
	for n := 2; n <= mostChanges; n += 2 {
		low, high := math.Inf(1), 0.0
		for i := g.count - remembered + n; i < g.count; i++ {
			p := g.at[i%remembered] - g.at[(i-n)%remembered]
			low, high = min(low, p), max(high, p)
		}
		if low > 0 && high <= low*(1+spacing) {
			return n, 2 / (low + high)
		}
	}
	if g.count >= 3*lot {
		before, last := g.marks[1]-g.marks[0], g.marks[2]-g.marks[1]
		if math.Abs(before-last) <= evenly*last {
			return lot, lot / 2 / last
		}
	}
	return 0, 0
}

// cycle is one period of a unit's limit cycle under watch, before the run
// passes over the rest of them.
type cycle struct {
	unit  *Unit
	rate  float64
	count int // of the unit's changes at which it ends
	whole int // changes in it
	start float64
	x     []float64   // unknowns at its start
	sum   []float64   // their integral since
	due   [][]float64 // every unit's deadlines at its start
}

// restless is how much a node may differ between two ends of a period for
// the rest of the periods to be passed over: what still drifts must not be frozen.
const restless = 5e-3 // V

// chatters looks for a limit cycle, watches one period of it, and passes over as
// much of the interval as nothing else happens in.
func (r *Run) chatters(until float64) {
	c := &r.cycle
	if c.unit == nil {
		r.startCycle(until)
		return
	}
	if c.unit.toggles.count < c.count {
		return
	}
	stop, settled := r.quiet(until), r.sameAgain()
	u := c.unit
	c.unit = nil
	if !settled || (stop-r.Time)*c.rate < remembered {
		return
	}
	r.Chatter = append(r.Chatter, Chatter{u.Part, c.rate, c.whole == lot})
	r.passOver(stop)
	u.toggles = toggles{}
}

// startCycle begins to watch the first unit that is in a limit cycle worth
// passing over.
func (r *Run) startCycle(until float64) {
	for _, u := range r.Units {
		n, rate := u.toggles.cycles()
		if n == 0 || (until-r.Time)*rate < remembered {
			continue
		}
		c := &r.cycle
		r.mean = nil
		c.unit, c.rate, c.whole, c.count, c.start = u, rate, n, u.toggles.count+n, r.Time
		c.x = append(c.x[:0], r.X()...)
		c.sum = append(c.sum[:0], c.x...)
		clear(c.sum)
		c.due = c.due[:0]
		for _, v := range r.Units {
			c.due = append(c.due, slices.Clone(v.State.Due[:v.timers]))
		}
		return
	}
}

// add counts the step just accepted to the cycle under watch.
func (c *cycle) add(g *Segment) {
	if c.unit == nil {
		return
	}
	for i := range c.sum {
		c.sum[i] += g.Integral(g.X0[i], g.Xg[i], g.X1[i])
	}
}

// sameAgain reports whether the nodes came back to where the cycle began. An
// irregular one never does.
func (r *Run) sameAgain() bool {
	c := &r.cycle
	if c.whole == lot {
		return true
	}
	for i, v := range r.X()[:r.solver.Layout.Nodes] {
		if math.Abs(v-c.x[i]) > restless {
			return false
		}
	}
	return true
}

// quiet is up to when nothing falls due but what takes part in the cycle: a
// timer that was running at its start and still waits for the same time is
// another's.
func (r *Run) quiet(until float64) float64 {
	for i, u := range r.Units {
		for j, due := range u.State.Due[:u.timers] {
			if due > r.Time && due == r.cycle.due[i][j] {
				until = min(until, due)
			}
		}
	}
	return until
}

// passOver moves the run to a time a whole number of cycles on, without changing
// anything but the timers that take part.
func (r *Run) passOver(stop float64) {
	c := &r.cycle
	span := r.Time - c.start
	dt := stop - r.Time
	r.Time = stop
	for i, u := range r.Units {
		for j := range u.State.Due[:u.timers] {
			if u.State.Due[j] != c.due[i][j] {
				u.State.Due[j] += dt
			}
		}
	}
	for i := range c.sum {
		c.sum[i] /= span
	}
	r.mean, r.meanAt = c.sum, r.Time
	r.h, r.smooth = r.opt.Fastest, false
}

// Mean returns the unknowns averaged over a period of the limit cycle that the
// run has just passed over; nil if it came to the present step by step. It is
// valid until the run moves on.
func (r *Run) Mean() []float64 {
	if r.mean == nil || r.meanAt != r.Time {
		return nil
	}
	return r.mean
}

// leave forgets the cycle under watch and the mean of the last.
func (r *Run) leave() { r.cycle.unit, r.mean = nil, nil }
