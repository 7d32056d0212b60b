package transient

import (
	"fmt"
	"math"
	"strings"

	"cupel/internal/circuit/bias"
)

// Operate brings circuit and units to rest: the operating point in which every
// unit's state is the one it would be in after long. It tries to reach it from
// the present unknowns. Where units keep changing each other there is no such
// state: Restless names them, and time goes on from one of those they pass through.
func (r *Run) Operate() error {
	r.h, r.smooth, r.Chatter, r.Restless = r.opt.Fastest, false, nil, ""
	r.leave()
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
		r.busy = r.busy[:0]
		for _, u := range r.Units {
			u.readFresh(r.X())
			u.Machine.Start(&u.State, r.Time, u.truth)
			if u.apply() {
				r.busy = append(r.busy, u)
			}
		}
		if len(r.busy) == 0 {
			return nil
		}
	}
	r.Restless = names(r.busy)
	if _, err := bias.Operate(r.solver); err != nil {
		return fmt.Errorf("no state of rest: the outputs of %s keep changing each other; and half way: %w", r.Restless, err)
	}
	return r.settle(true)
}

// Disturb solves the present instant again after the caller changed elements,
// and carries out what the units make of it.
func (r *Run) Disturb() error {
	r.solver.Touch()
	r.leave()
	return r.settle(true)
}

// settle carries out what is due at this instant, until nothing changes.
func (r *Run) settle(dirty bool) error {
	for range rounds {
		dirty = r.burst() || dirty
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
				if !dirty {
					r.busy = r.busy[:0]
				}
				dirty = true
				r.busy = append(r.busy, u)
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
	return fmt.Errorf("at %.6g s the outputs of %s change each other without end", r.Time, names(r.busy))
}

// names lists the parts of units.
func names(us []*Unit) string {
	var parts []string
	for _, u := range us {
		parts = append(parts, u.Part)
	}
	return strings.Join(parts, ", ")
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
