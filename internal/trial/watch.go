package trial

import (
	"errors"
	"math"

	"cupel/internal/trial/rig"
)

// watch follows one current through a capture and times its opening and
// closing: the moment it passes half of its highest value so far and stays
// there for a millisecond.
type watch struct {
	hold   float64 // s it must stay below before the capture may end; 0: never end it
	steady float64 // s a side of half must last to count

	peak     float64 // highest so far
	below    bool
	since    float64 // of the present side of half
	first    float64 // of the first opening that lasted; NaN before it
	last     float64 // of the last closing that lasted; NaN before it
	openings int     // that lasted
	closings int
	counted  bool // the present side of half has lasted and been counted
	t, v     float64
	started  bool
}

func newWatch(hold float64) *watch {
	return &watch{hold: hold, steady: steadyTime, first: math.NaN(), last: math.NaN()}
}

// see takes the next value and reports whether all is seen.
func (w *watch) see(t, v float64) bool {
	v = math.Abs(v)
	half := w.peak / 2
	if v > w.peak {
		w.peak = v
	}
	below := v < w.peak/2
	if below != w.below || !w.started {
		w.since = w.crossing(t, v, half)
		w.below, w.counted = below, !w.started
	}
	w.t, w.v, w.started = t, v, true
	if !w.counted && w.lasted() {
		w.count()
	}
	return w.hold > 0 && w.below && w.openings > 0 && t-w.since >= w.hold
}

// crossing is when the current passed half, on the line between two samples.
func (w *watch) crossing(t, v, half float64) float64 {
	if !w.started || v == w.v || half == 0 {
		return t
	}
	f := (half - w.v) / (v - w.v)
	return w.t + math.Max(0, math.Min(1, f))*(t-w.t)
}

// lasted reports whether the present side of half has lasted.
func (w *watch) lasted() bool { return w.t-w.since >= w.steady }

// count notes that the present side of half has lasted.
func (w *watch) count() {
	w.counted = true
	if !w.below {
		if w.closings < w.openings { // not the end of a bounce
			w.closings++
			w.last = w.since
		}
		return
	}
	w.openings++
	if math.IsNaN(w.first) {
		w.first = w.since
	}
}

// opened reports whether the current went off and stayed off for as long as
// counts, at least once.
func (w *watch) opened() bool { return w.openings > 0 }

// chatterOpenings is how often a path must open within one dwell to be said to
// chatter: once is a trip, twice may be its bounce.
const chatterOpenings = 3

// chatters reports whether the path kept opening and closing.
func (w *watch) chatters() bool { return w.openings >= chatterOpenings }

// errEmptyRecord is a rig's mistake.
var errEmptyRecord = errors.New("the rig's capture came back without a sample")

// shot is what a capture of one direction showed.
type shot struct {
	*watch
	end    direction // at its end, where a probe was attached
	record rig.Record
}

// parted names the fuse that parted before the first opening, for a note.
func (sh shot) parted() string {
	for _, e := range sh.record.Events {
		if e.What == rig.Parts && e.Time <= sh.first {
			return "fuse " + e.Part + " parted: the board is spent"
		}
	}
	return ""
}

// judgeable is how long a path must have been open to be judged.
func (s *stand) judgeable() float64 { return math.Max(steadyTime, s.settle()) }

// capture watches the direction p while c runs, until the path has been open
// for hold seconds; in full length if hold is 0. Extra points may be in
// c.Points; those of p come before them.
func (s *stand) capture(p port, c rig.Capture, hold float64) (shot, error) {
	w := newWatch(hold)
	c.Points = append([]rig.Point{p.amps(), p.drop()}, c.Points...)
	c.Until = func(t float64, v []float64) bool { return w.see(t, v[0]) }
	s.remember(c.Cause)
	rec, err := s.r.Capture(s.ctx, c)
	if err != nil {
		return shot{}, err
	}
	n := len(rec.Times) - 1
	if n < 0 {
		return shot{}, errEmptyRecord
	}
	return shot{w, s.judge(p, rec.Values[0][n], rec.Values[1][n]), rec}, nil
}

// remember notes what a capture's cause sets.
func (s *stand) remember(c rig.Cause) {
	if c.Load != nil {
		s.set.load = *c.Load
	}
	if c.Charger != nil {
		s.set.charger = *c.Charger
	}
	if c.Cell > 0 {
		s.set.cells[c.Cell-1] = c.Volts
	}
}

// around gives the two samples of a record next to time t.
func around(rec rig.Record, t float64) (before, after float64) {
	before, after = 0, t
	for _, x := range rec.Times {
		if x <= t {
			before = x
		}
		if x >= t {
			return before, x
		}
	}
	return before, after
}
