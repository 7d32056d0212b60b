package transient

import (
	"math"
	"slices"

	"cupel/internal/circuit/protector"
	"cupel/internal/circuit/sparse"
)

// edge is one comparator that changes within the step under trial.
type edge struct {
	theta      float64
	unit, comp int
	now        bool
}

// scan looks for comparators that change within the step under trial, lets
// copies of their machines see the changes in order, and returns how far the
// step may go: h, or less where an output would change inside it or a timer
// started in it would run out in it.
func (r *Run) scan(h float64) float64 {
	r.findEdges()
	if len(r.edges) == 0 {
		return h
	}
	slices.SortStableFunc(r.edges, func(a, b edge) int {
		switch {
		case a.theta < b.theta:
			return -1
		case a.theta > b.theta:
			return 1
		}
		return 0
	})
	cut := h
	for _, u := range r.Units {
		u.trial = u.State
		copy(u.trialTruth, u.truth)
	}
	for _, e := range r.edges {
		at := e.theta * h
		if at > cut {
			break
		}
		u := r.Units[e.unit]
		u.trialTruth[e.comp] = e.now
		u.Machine.Advance(&u.trial, r.Time+at, u.trialTruth)
		if h-at > landing && u.differs(&u.trial) {
			return max(at, landing/10)
		}
		cut = min(cut, max(u.trial.Deadline(u.timers)-r.Time, at))
	}
	if h-cut <= tick(r.Time+h) {
		return h
	}
	return max(cut, landing/10)
}

// findEdges fills edges from the parabolas of all comparators.
func (r *Run) findEdges() {
	g := &r.seg
	r.edges = r.edges[:0]
	for ui, u := range r.Units {
		for ci := range u.comparators {
			c := &u.comparators[ci]
			s1, sg := c.signal(g.X1), c.signal(g.Xg)
			up := u.truth[ci]
			if up && s1 > margin && sg > margin || !up && s1 < -margin && sg < -margin {
				// No change at either point. A dip between them is possible
				// only where the signal is near the threshold for its bend;
				// the parabola tells.
				r.dip(ui, ci, c.signal(g.X0), sg, s1, up)
				continue
			}
			r.cross(ui, ci, c.signal(g.X0), sg, s1, up)
		}
	}
}

// dip looks for a crossing there and back between points of one sign.
func (r *Run) dip(ui, ci int, s0, sg, s1 float64, up bool) {
	if math.Abs(s0) > 4*math.Abs(s1-s0)+4*math.Abs(sg-s0) {
		return
	}
	r.cross(ui, ci, s0, sg, s1, up)
}

// cross adds the edges of one comparator whose signal is s0, sg, s1.
func (r *Run) cross(ui, ci int, s0, sg, s1 float64, up bool) {
	shift := -margin // a false comparator turns true above +margin
	least := -1e-15
	if up {
		shift, least = margin, 1e-15
	}
	s0, sg, s1 = s0+shift, sg+shift, s1+shift
	if s0 > 0 != up { // the start is by its truth on this side of the threshold
		s0 = least
	}
	at, n := crossings(s0, sg, s1)
	for _, theta := range at[:n] {
		up = !up
		r.edges = append(r.edges, edge{theta, ui, ci, up})
	}
}

// commit makes what scan found the state of the units.
func (r *Run) commit() {
	if len(r.edges) == 0 {
		return
	}
	for _, e := range r.edges {
		r.Units[e.unit].truth[e.comp] = e.now
	}
	for _, e := range r.edges {
		u := r.Units[e.unit]
		u.State = u.trial
	}
}

// due reports whether anything is to be carried out at this instant.
func (r *Run) due() bool {
	for _, u := range r.Units {
		if u.Deadline() <= r.Time+tick(r.Time) {
			return true
		}
	}
	for _, e := range r.edges {
		u := r.Units[e.unit]
		if u.differs(&u.State) {
			return true
		}
	}
	return r.spends()
}

// Snapshot is a run to come back to.
type Snapshot struct {
	pivots        *sparse.LU
	time          float64
	x, q, f, held []float64
	states        []protector.State
	truth         [][]bool
	breaks        []float64
	h             float64
}

// Snapshot saves the run: time, unknowns, states, machines and what elements
// remember. What the caller set on elements is the caller's to save. The run
// itself goes on as it will after Rewind: from the same first guess, with every
// element evaluated anew.
func (r *Run) Snapshot() *Snapshot {
	s := r.solver.Sys
	r.smooth = false
	r.solver.Recall(r.solver.Hold(nil), r.solver.Pivots())
	p := &Snapshot{
		time: r.Time, x: slices.Clone(s.X), q: slices.Clone(s.Q), f: slices.Clone(s.F),
		held: r.solver.Hold(nil), pivots: r.solver.Pivots(), breaks: slices.Clone(r.breaks), h: r.h,
	}
	for _, u := range r.Units {
		p.states = append(p.states, u.State)
		p.truth = append(p.truth, slices.Clone(u.truth))
	}
	return p
}

// Rewind puts the run back to exactly where p was taken.
func (r *Run) Rewind(p *Snapshot) {
	s := r.solver.Sys
	copy(s.X, p.x)
	copy(s.Q, p.q)
	copy(s.F, p.f)
	r.solver.Recall(p.held, p.pivots)
	r.Time, r.h, r.smooth, r.Chatter = p.time, p.h, false, nil
	r.leave()
	r.breaks = append(r.breaks[:0], p.breaks...)
	for i, u := range r.Units {
		u.State = p.states[i]
		copy(u.truth, p.truth[i])
		u.toggles = toggles{}
		u.force()
	}
	r.solver.Touch()
}
