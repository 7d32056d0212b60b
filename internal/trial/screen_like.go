package trial

import (
	"context"
	"math"

	"cupel/internal/trial/rig"
)

// Whole is what the screening of a whole board showed, and what its nets did
// while each cell was taken through its limits. Against it the screening of a
// board with a fault leaves out what cannot come out otherwise.
//
// The ground for leaving out is that a solution of the circuit is unique. A
// fault changes some parts; call the nets whose voltage at rest differs by it
// the odd ones, and the parts that hang on odd nets, with those that the fault
// is in, the odd parts. Let the faulted board rest for as long as the experiment
// takes, and let no net move meanwhile: no timer runs and nothing drifts or
// beats. If in the whole board's record of the experiment the nets to which the
// odd parts are joined kept their distances from each other, then the odd parts
// see in the faulted board what they see at rest: they stay at rest, draw what
// they draw there, and all other nets do what they do in the whole board.
type Whole struct {
	Checks []Check
	points []rig.Point
	rests  map[port]*tape // of a board left alone, probe attached
	jobs   map[string]*tape
}

// Likeness tells how a board with a fault lies beside the whole one.
type Likeness struct {
	Whole Whole
	// Points are the whole board's points as the faulted one has them.
	Points []rig.Point
	// Joined tells what odd parts join, given the points that differ at rest;
	// false where that cannot be told.
	Joined func(odd []int) (Joints, bool)
}

// Joints is what odd parts join, as indices of points.
type Joints struct {
	Groups [][]int // whose distances from each other must stay
	Off    []Off   // that must stay off
}

// Off is a transistor that passes nothing on while it is off: its pins may go
// where they will. What passes through its capacitances, some pF, lasts
// microseconds and turns no other transistor on, or that one's junction shows it.
// Junctions are pairs of points, the first of which must not stand above the
// second: base over emitter, base over collector, gate over source, source over
// drain.
type Off struct{ Junctions [][2]int }

// deadVolts is a forward voltage at which a junction or a gate carries nothing
// that counts: 1 nA with the saturation current of 10 fA of the generic sheets, a
// third of the lowest gate threshold.
const deadVolts = 0.3

func (o Off) holds(v []float64) bool {
	for _, j := range o.Junctions {
		if v[j[0]]-v[j[1]] > deadVolts {
			return false
		}
	}
	return true
}

// stillVolts is by how much a net may be off and count as the same: what a
// screening leaves to its solver as error of a node (the bench's accuracy, 20 mV).
const stillVolts = 20e-3

// RunWhole is Run on a whole board, of which points are remembered where the rig
// can go back to where it was.
func (x Screening) RunWhole(ctx context.Context, r rig.Rig, points []rig.Point) (Whole, error) {
	out := Whole{points: points, rests: map[port]*tape{}, jobs: map[string]*tape{}}
	w := x.screen(ctx, r)
	if rw, ok := r.(rig.Rewinder); ok && len(points) > 0 {
		t := &taping{Rig: r, Rewinder: rw, points: points}
		w = x.screen(ctx, t)
		w.taping, w.keep = t, &out
	}
	err := w.run()
	out.Checks = w.checks
	return out, err
}

// RunLike is Run on a board with a fault; checks that the whole board's record
// proves to come out alike are taken from there.
func (x Screening) RunLike(ctx context.Context, r rig.Rig, l Likeness) ([]Check, error) {
	w := x.screen(ctx, r)
	if w.rewinds() && len(l.Points) > 0 {
		w.like, w.joined = &l, map[port]likeness{}
	}
	err := w.run()
	return w.checks, err
}

// likeness is what holds between two boards that rest with one probe attached.
type likeness struct {
	alike bool
	Joints
}

// still leaves the board alone for some seconds and gives its points at the
// start; false if one of them moved.
func (w *screen) still(points []rig.Point, seconds float64) (*tape, bool, error) {
	rec, err := w.r.Capture(w.ctx, rig.Capture{Points: points, Seconds: seconds})
	if err != nil {
		return nil, false, err
	}
	t := &tape{}
	t.write(rec, 0)
	for _, row := range t.values {
		for i, v := range row {
			if !(math.Abs(v-t.values[0][i]) <= stillVolts) {
				return t, false, nil
			}
		}
	}
	return t, true, nil
}

// once does an experiment that begins where the probe of p is attached: it takes
// its checks from the whole board where they cannot differ, and leaves them there
// with what the nets did where the board is the whole one.
func (w *screen) once(name string, p port, do func() error) error {
	if same, err := w.copied(name, p); err != nil || same {
		return err
	}
	if w.keep == nil {
		return do()
	}
	if d, err := w.armed(p); err != nil || !d.flows() {
		return do() // which says so
	}
	t := &tape{calm: w.calm[p]}
	from := len(w.checks)
	w.taping.on = t
	err := do()
	w.taping.on = nil
	t.checks = w.checks[from:len(w.checks):len(w.checks)]
	w.keep.jobs[name] = t
	return err
}

// rested looks, once a direction, at the whole board left alone for as long as
// the longest of its tapes.
func (w *screen) rested() error {
	for _, p := range w.ports() {
		switch d, err := w.armed(p); {
		case err != nil:
			return err
		case !d.flows():
			continue
		}
		rest, still, err := w.still(w.keep.points, w.keep.longest())
		if err != nil {
			return err
		}
		if still {
			w.keep.rests[p] = rest
		}
	}
	return nil
}

func (k *Whole) longest() float64 {
	longest := 0.0
	for _, t := range k.jobs {
		longest = math.Max(longest, t.seconds)
	}
	return longest
}

// copied takes the checks of an experiment from the whole board where they cannot
// differ, and reports whether it did.
func (w *screen) copied(name string, p port) (bool, error) {
	if w.like == nil {
		return false, nil
	}
	job, rest := w.like.Whole.jobs[name], w.like.Whole.rests[p]
	if job == nil || rest == nil || job.calm != w.calm[p] {
		return false, nil
	}
	x, err := w.likeness(p, rest)
	if err != nil || !x.alike || !job.holds(rest.values[0], x.Joints) {
		return false, err
	}
	w.checks = append(w.checks, job.checks...)
	return true, nil
}

// likeness compares, once a direction, the board at rest with the whole one.
func (w *screen) likeness(p port, whole *tape) (likeness, error) {
	if x, ok := w.joined[p]; ok {
		return x, nil
	}
	w.joined[p] = likeness{}
	if d, err := w.armed(p); err != nil || !d.flows() {
		return likeness{}, err
	}
	rest, still, err := w.still(w.like.Points, w.like.Whole.longest())
	if err != nil || !still {
		return likeness{}, w.ctx.Err() // what finds no solution at rest is tried limit by limit
	}
	var odd []int
	for i, v := range whole.values[0] {
		if !(math.Abs(v-rest.values[0][i]) <= stillVolts) {
			odd = append(odd, i)
		}
	}
	joints, ok := w.like.Joined(odd)
	w.joined[p] = likeness{ok, joints}
	return w.joined[p], nil
}
