package simulated

import (
	"context"
	"math"

	"cupel/internal/circuit/transient"
	"cupel/internal/trial/rig"
)

// A short is over once its current has stayed below ebbed of its peak for rung:
// the first swings of what rings on, of which the voltages' peaks are, have
// passed by then. What rings more slowly, coarse steps follow; our own choices.
const (
	ebbed = 0.05
	rung  = 8e-6 // s
)

// ebb is how far a short's current has gone back.
type ebb struct {
	peak float64 // A
	low  float64 // s, since when it has been below ebbed of the peak
	over bool
}

// see follows the current, of a size of amps at time t.
func (e *ebb) see(t, amps float64) {
	e.peak = math.Max(e.peak, amps)
	if amps >= ebbed*e.peak {
		e.low = t
	}
	e.over = t-e.low > rung
}

// follow loosens the tolerance where a short is over, and tightens it again where
// its current comes back.
func (r *Rig) follow(s *transient.Segment) {
	if r.set.load.Kind != rig.Short {
		return
	}
	was := r.set.ebb.over
	r.set.ebb.see(s.Start+s.Step, math.Abs(r.ports.loop.Current(s.X1)))
	if r.set.ebb.over != was {
		r.tolerance()
	}
}

// advance lets time pass, as closely followed as the load asks for, until seen, if
// it is set, says of a step that it is enough.
func (r *Rig) advance(ctx context.Context, seconds float64, seen func(*transient.Segment) bool) error {
	r.run.Watch = func(s *transient.Segment) bool {
		r.follow(s)
		return seen != nil && seen(s)
	}
	defer func() { r.run.Watch = nil }()
	return wrap(r.run.Advance(ctx, r.run.Time+seconds))
}
