package transient

import (
	"context"
	"fmt"

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
	// Fuses are the elements that part once their margin is gone; Parted, when
	// set, sees each as it does.
	Fuses  []Fuse
	Parted func(t float64, f Fuse)
	// Chatter names the units found in a limit cycle since the last Operate or
	// Rewind, with their rates.
	Chatter []Chatter
	// Steps and Rejected count the steps taken and taken back.
	Steps, Rejected int
	// Way is how the last operating point was found.
	Way bias.Way
	// Restless names the units whose outputs kept changing each other when the last
	// operating point was looked for; empty where there is a state of rest.
	Restless string

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
	busy   []*Unit // whose outputs changed last

	margins []margins // of Fuses, in the step under trial
	cycle   cycle
	mean    []float64 // of the unknowns over the cycle passed over up to meanAt
	meanAt  float64
}

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
	r.solver.Loose = max(1, volts/(share*newton.NodeVolts))
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
			return fmt.Errorf("gave up at %.6g s of %.6g s after %d instants of switching, the last of %s", r.Time, until, events, names(r.busy))
		}
		r.chatters(until)
	}
	return nil
}
