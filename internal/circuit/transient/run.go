package transient

import (
	"context"
	"errors"
	"fmt"
	"math"

	"cupel/internal/circuit/bias"
	"cupel/internal/circuit/newton"
)

// Options of a Run. The zero value gives the defaults.
type Options struct {
	// Volts is the local error allowed at each node in one step; 0 means 1 mV.
	// It is absolute: relative to an 84 V node it would hide the millivolts
	// that the machines watch.
	Volts float64
	// Amps is the same for branch currents, beside 1e-3 of the current; 0
	// means 1 mA.
	Amps float64
	// Fastest is the step that is never taken back for its local error: what
	// moves faster is damped instead of followed. 0 means 5 ns, well below any
	// delay or gate time of a board.
	Fastest float64
	// Events is how many instants of switching one Advance may pass before it
	// gives up; 0 means 20 000.
	Events int
}

const (
	instant   = 1e-12 // s; the backward Euler step that solves an instant again
	fastest   = 5e-9  // s
	leastStep = 1e-14 // s; below it the step has failed
	growth    = 10    // of the step from one to the next
	doubt     = 0.35  // of the step at most, when it was taken back once already
	safety    = 0.9   // of the step the error estimate asks for
	keep      = 1.3   // a step that could grow by less stays, and so does its matrix
	landing   = 1e-9  // s; an output change this near the end of a step is at its end
	rounds    = 60    // of switching at one instant
	newtons   = 12    // iterations a stage may take before the step is cut
	// share is how much smaller than the step's own error the last move of a
	// stage's iteration must be. Convergence is quadratic: across a junction a
	// last move of 0.5 mV leaves (0.5 mV)²/(2·26 mV) = 5 µV.
	share = 40
)

// Run is a circuit at a time.
type Run struct {
	Time  float64 // s
	Units []*Unit
	// Watch, when set, sees every accepted step; returning true ends Advance.
	Watch func(*Segment) bool
	// Log, when set, sees every change of a unit's outputs.
	Log func(t float64, u *Unit)
	// Chatter names the units found in a limit cycle since the last Operate or
	// Rewind, with their rates.
	Chatter []Chatter
	// Steps and Rejected count the steps taken and taken back.
	Steps, Rejected int
	// Way is how the last operating point was found.
	Way bias.Way

	opt    Options
	solver *newton.Solver
	sides  []newton.Side
	seg    Segment
	h      float64 // step to try next
	smooth bool    // seg is the step just before Time: its parabola goes on
	breaks []float64
	qn, fn []float64
	qg, fg []float64
	rhs    []float64
	err    []float64
	edges  []edge
}

// Chatter is a unit in a limit cycle.
type Chatter struct {
	Part string
	Rate float64 // Hz
}

// Segment is one accepted step.
type Segment struct {
	Start, Step float64 // s
	X0, Xg, X1  []float64
}

// At puts the unknowns at Start + θ·Step into x.
func (g *Segment) At(theta float64, x []float64) {
	w0, wg, w1 := quadratic(theta)
	for i := range x {
		x[i] = w0*g.X0[i] + wg*g.Xg[i] + w1*g.X1[i]
	}
}

// Inner is where between 0 and 1 the inner point of a segment lies.
var Inner = gamma

// New returns a run of the solver's circuit with units, at time 0. Call Operate
// before Advance.
func New(n *newton.Solver, units []*Unit, opt Options) *Run {
	if opt.Volts == 0 {
		opt.Volts = 1e-3
	}
	if opt.Amps == 0 {
		opt.Amps = 1e-3
	}
	if opt.Fastest == 0 {
		opt.Fastest = fastest
	}
	if opt.Events == 0 {
		opt.Events = 20000
	}
	n.Tie = true
	unknowns, states := n.Layout.Unknowns, n.Layout.States
	vec := func(n int) []float64 { return make([]float64, n) }
	r := &Run{
		Units: units, opt: opt, solver: n,
		seg: Segment{X0: vec(unknowns), Xg: vec(unknowns), X1: vec(unknowns)},
		qn:  vec(states), fn: vec(states), qg: vec(states), fg: vec(states),
		rhs: vec(unknowns), err: vec(unknowns),
	}
	for _, u := range units {
		u.init()
	}
	r.SetAccuracy(opt.Volts, opt.Fastest)
	r.sides = n.Sides()
	return r
}

// X returns the present unknowns by node; valid until the run moves on.
func (r *Run) X() []float64 { return r.solver.Sys.X }

// Solver returns the solver under the run.
func (r *Run) Solver() *newton.Solver { return r.solver }

// Operate brings circuit and units to rest: the operating point in which every
// unit's state is the one it would be in after long. It tries to reach it from
// the present unknowns.
func (r *Run) Operate() error {
	r.h, r.smooth, r.Chatter = r.opt.Fastest, false, nil
	for _, u := range r.Units {
		u.toggles = toggles{}
		u.force()
	}
	for range rounds {
		way, err := bias.Operate(r.solver)
		if err != nil {
			return err
		}
		r.Way = way
		changed := false
		for _, u := range r.Units {
			u.readFresh(r.X())
			u.Machine.Start(&u.State, r.Time, u.truth)
			changed = u.apply() || changed
		}
		if !changed {
			return nil
		}
	}
	return errors.New("no state of rest: the outputs of the ICs keep changing each other")
}

// Break makes a step end at time t: a source bends there.
func (r *Run) Break(t float64) {
	if t > r.Time {
		r.breaks = append(r.breaks, t)
	}
}

// SetAccuracy changes, from here on, the local error allowed at each node and the
// step that is never taken back: Options.Volts and Options.Fastest.
func (r *Run) SetAccuracy(volts, fastest float64) {
	r.opt.Volts, r.opt.Fastest = volts, fastest
	r.solver.Loose = math.Max(1, volts/(share*newton.NodeVolts))
}

// Disturb solves the present instant again after the caller changed elements,
// and carries out what the units make of it.
func (r *Run) Disturb() error {
	r.solver.Touch()
	return r.settle(true)
}

// settle carries out what is due at this instant, until nothing changes.
func (r *Run) settle(dirty bool) error {
	for range rounds {
		if dirty {
			if err := r.again(); err != nil {
				return err
			}
			r.h, r.smooth = r.opt.Fastest, false
		}
		dirty = false
		for _, u := range r.Units {
			due := u.Deadline()
			if u.read(r.X()) || due <= r.Time+tick(r.Time) {
				// A deadline a rounding away is now: told an earlier time, the
				// machine would wait for it for ever.
				now := r.Time
				if due > now && due <= now+tick(now) {
					now = due
				}
				u.Machine.Advance(&u.State, now, u.truth)
			}
			if u.apply() {
				dirty = true
				u.toggles.add(r.Time)
				if r.Log != nil {
					r.Log(r.Time, u)
				}
			}
		}
		if !dirty {
			return nil
		}
		r.solver.Touch()
	}
	return fmt.Errorf("at %.6g s the outputs of the ICs change each other without end", r.Time)
}

// tick is the spacing of times that still counts as the same instant.
func tick(t float64) float64 { return 1e-12 + 4e-16*math.Abs(t) }

// again solves the present instant with charges and fluxes held: a backward
// Euler step too short for any of them to change, which also gives the rates.
func (r *Run) again() error {
	s := r.solver.Sys
	copy(r.qn, s.Q)
	s.Time = r.Time
	var err error
	for step := instant; step < 1e-6; step *= 100 {
		s.Alpha = 1 / step
		for i, q := range r.qn {
			s.Hist[i] = -s.Alpha * q
		}
		if err = r.solver.Solve(100); err == nil {
			return nil
		}
		r.solver.Forget()
	}
	return err
}

// Advance lets time pass until the given time, or until Watch ends it. It
// returns ctx's error when ctx ends first; the run then stands at a sound
// earlier time.
func (r *Run) Advance(ctx context.Context, until float64) error {
	events := 0
	for taken := 0; r.Time < until-tick(until); taken++ {
		if taken%64 == 0 && ctx.Err() != nil {
			return fmt.Errorf("stopped at %.6g s of %.6g s: %w", r.Time, until, ctx.Err())
		}
		ended, switched, err := r.step(until)
		if err != nil {
			return err
		}
		if ended {
			return nil
		}
		if !switched {
			continue
		}
		if events++; events > r.opt.Events {
			return fmt.Errorf("gave up at %.6g s of %.6g s after %d instants of switching", r.Time, until, events)
		}
		if r.chatters(until) {
			return nil
		}
	}
	return nil
}

// chatters looks for a limit cycle and passes over the rest of the interval
// when it finds one.
func (r *Run) chatters(until float64) bool {
	for _, u := range r.Units {
		rate := u.toggles.rate()
		if rate == 0 || (until-r.Time)*rate < remembered {
			continue
		}
		r.Chatter = append(r.Chatter, Chatter{u.Part, rate})
		r.shift(until - r.Time)
		u.toggles = toggles{}
		return true
	}
	return false
}

// shift moves the run and every running timer by dt without changing anything
// else: a whole number of cycles passed over.
func (r *Run) shift(dt float64) {
	r.Time += dt
	for _, u := range r.Units {
		for i := range u.timers {
			u.State.Due[i] += dt
		}
	}
	r.h, r.smooth = r.opt.Fastest, false
}

// nextStop is where the next step must end at the latest.
func (r *Run) nextStop(until float64) float64 {
	stop := until
	for _, u := range r.Units {
		stop = math.Min(stop, u.Deadline())
	}
	live := r.breaks[:0]
	for _, b := range r.breaks {
		if b > r.Time+tick(r.Time) {
			live = append(live, b)
			stop = math.Min(stop, b)
		}
	}
	r.breaks = live
	return stop
}

// step takes one accepted step, at most to until, and carries out what falls
// due at its end.
func (r *Run) step(until float64) (ended, switched bool, err error) {
	stop := r.nextStop(until)
	if stop <= r.Time+tick(r.Time) {
		return false, true, r.settle(false)
	}
	h, end := r.fit(r.h, stop)
	for refused := 0; ; refused++ {
		next, e, err := r.attempt(h, refused)
		if err != nil {
			return false, false, err
		}
		if next == h {
			r.accept(h, end, e, refused > 0)
			break
		}
		r.Rejected++
		r.back()
		h, end = next, r.Time+next
	}
	ended = r.Watch != nil && r.Watch(&r.seg)
	if !r.due() {
		return ended, false, nil
	}
	return ended, true, r.settle(false)
}

// attempt tries the step h, refused so many times before, and returns it with
// its error when it may stand, else the step to try instead.
func (r *Run) attempt(h float64, refused int) (next, e float64, err error) {
	e, err = r.try(h)
	switch {
	case err != nil && h/8 < leastStep:
		return 0, 0, err
	case err != nil:
		return h / 8, 0, nil
	case e > 1 && h > r.opt.Fastest:
		factor := safety * math.Pow(e, -1.0/3)
		if refused > 0 {
			factor = math.Min(factor, doubt)
		}
		return math.Max(h*math.Max(factor, 1.0/growth), r.opt.Fastest), e, nil
	}
	return r.scan(h), e, nil
}

// fit shortens h to end at stop, or to leave room for two equal steps.
func (r *Run) fit(h, stop float64) (step, end float64) {
	switch left := stop - r.Time; {
	case h >= left*(1-1e-9):
		return left, stop
	case 2*h > left:
		return left / 2, r.Time + left/2
	}
	return h, r.Time + h
}

// try computes the step of length h from the present and returns its local
// error in units of what is allowed. The present stays in seg.X0, qn, fn.
func (r *Run) try(h float64) (float64, error) {
	s, g := r.solver.Sys, &r.seg
	r.predict(h)
	copy(r.qn, s.Q)
	copy(r.fn, s.F)
	s.Alpha = 1 / (d * h)
	s.Time = r.Time + gamma*h
	for i := range s.Hist {
		s.Hist[i] = -s.Alpha*r.qn[i] - r.fn[i]
	}
	if err := r.solver.Solve(newtons); err != nil {
		return 0, err
	}
	copy(g.Xg, s.X)
	copy(r.qg, s.Q)
	copy(r.fg, s.F)
	s.Time = r.Time + h
	for i := range s.Hist {
		s.Hist[i] = -s.Alpha * (a1*r.qg[i] - a2*r.qn[i])
	}
	for i := range s.X {
		s.X[i] = g.X0[i] + (g.Xg[i]-g.X0[i])/gamma
	}
	if err := r.solver.Solve(newtons); err != nil {
		return 0, err
	}
	copy(g.X1, s.X)
	return r.localError(h), nil
}

// predict saves the present in seg.X0 and puts a first guess of the inner point
// into Sys.X: the last parabola drawn on, where there is one not much shorter.
func (r *Run) predict(h float64) {
	x, g := r.solver.Sys.X, &r.seg
	if !r.smooth || h > 2*g.Step {
		copy(g.X0, x)
		return
	}
	w0, wg, w1 := quadratic(1 + gamma*h/g.Step)
	for i := range x {
		now := x[i]
		x[i] = w0*g.X0[i] + wg*g.Xg[i] + w1*g.X1[i]
		g.X0[i] = now
	}
}

// back undoes try.
func (r *Run) back() {
	s := r.solver.Sys
	copy(s.X, r.seg.X0)
	copy(s.Q, r.qn)
	copy(s.F, r.fn)
	r.smooth = false
}

// localError estimates the error of the step in charge, solves for what that
// makes of the unknowns, and returns the largest in units of its allowance.
func (r *Run) localError(h float64) float64 {
	s := r.solver.Sys
	clear(r.rhs)
	for _, p := range r.sides {
		e := h * (errN*r.fn[p.State] + errG*r.fg[p.State] + err1*s.F[p.State])
		r.rhs[p.At] += p.Factor * e * s.Alpha
	}
	r.solver.Correct(r.rhs, r.err)
	worst := 0.0
	for i := 1; i < r.solver.Layout.Nodes; i++ {
		worst = math.Max(worst, math.Abs(r.err[i]))
	}
	worst /= r.opt.Volts
	for i := r.solver.Layout.Nodes; i < r.solver.Layout.Unknowns; i++ {
		worst = math.Max(worst, math.Abs(r.err[i])/(r.opt.Amps+1e-3*math.Abs(s.X[i])))
	}
	return worst
}

// accept makes the step under trial the present. The wish for the next step
// stays as it was when this one was cut short by a stop and not refused.
func (r *Run) accept(h, end, e float64, refused bool) {
	r.seg.Start, r.seg.Step = r.Time, h
	r.Time = end
	r.Steps++
	r.smooth = true
	r.commit()
	factor := float64(growth)
	if e > 0 {
		factor = math.Min(growth, safety*math.Pow(e, -1.0/3))
	}
	switch natural := math.Max(h*factor, r.opt.Fastest); {
	case !refused && h < r.h && natural < r.h && e < 0.5:
	case factor > keep || factor < 1:
		r.h = natural
	default:
		r.h = h
	}
}

// Integral integrates over the segment what has the values f0, fg and f1 at its
// start, inner point and end, by the parabola through them.
func (g *Segment) Integral(f0, fg, f1 float64) float64 {
	w0 := (gamma/2 - 1.0/6) / gamma
	wg := 1 / (6 * gamma * (1 - gamma))
	w1 := (1.0/3 - gamma/2) / (1 - gamma)
	return g.Step * (w0*f0 + wg*fg + w1*f1)
}
