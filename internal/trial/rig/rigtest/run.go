package rigtest

import (
	"context"
	"math"

	"cupel/internal/trial/rig"
)

// tick separates the samples before and after an edge, s.
const tick = 1e-9

// settle lets everything that is due change, until nothing does. Events go to
// rec, when there is one, at time t of it.
func (r *Ideal) settle(saw func(part, what string)) {
	for changed, n := true, 0; changed && n < 100; n++ {
		changed = false
		for i := range r.latch {
			changed = r.turn(i, saw) || changed
		}
	}
}

// turn brings latch i to the present and reports whether it changed.
func (r *Ideal) turn(i int, saw func(part, what string)) bool {
	l, w := &r.latch[i], &r.now
	cond, delay := l.set, l.setDelay
	if w.latched[i] {
		cond, delay = l.clear, l.clrDelay
	}
	if !cond(r) {
		w.since[i] = math.NaN()
		return false
	}
	if math.IsNaN(w.since[i]) {
		w.since[i] = w.t
	}
	if w.t < w.since[i]+delay-1e-12 {
		return false
	}
	w.latched[i] = !w.latched[i]
	w.since[i], w.at[i] = math.NaN(), w.t
	if saw != nil && l.name != "" {
		what := rig.Clears
		if w.latched[i] {
			what = rig.Sets
		}
		saw(l.part, what+l.name)
	}
	return true
}

// next is when something changes by itself, at the earliest.
func (r *Ideal) next() float64 {
	t := math.Inf(1)
	for i, l := range r.latch {
		if s := r.now.since[i]; !math.IsNaN(s) {
			d := l.setDelay
			if r.now.latched[i] {
				d = l.clrDelay
			}
			t = math.Min(t, s+d)
		}
		if r.now.latched[i] && l.chatters {
			half := 1 / (2 * r.board.ChatterHertz)
			n := math.Floor((r.now.t-r.now.at[i])/half+1e-9) + 1
			t = math.Min(t, r.now.at[i]+n*half)
		}
	}
	return t
}

// recorder samples an Ideal.
type recorder struct {
	r     *Ideal
	c     rig.Capture
	rec   rig.Record
	start float64
	vals  []float64
}

// sample appends the present and reports whether the capture is to end.
func (q *recorder) sample(t float64) (bool, error) {
	if n := len(q.rec.Times); n > 0 && t <= q.rec.Times[n-1] {
		return false, nil
	}
	q.rec.Times = append(q.rec.Times, t)
	for i, p := range q.c.Points {
		v, err := q.r.value(p)
		if err != nil {
			return false, err
		}
		q.rec.Values[i] = append(q.rec.Values[i], v)
		q.vals[i] = v
	}
	return q.c.Until != nil && q.c.Until(t, q.vals), nil
}

// Capture lets time pass and records. Between events samples stand closer to
// the event that was last.
func (r *Ideal) Capture(ctx context.Context, c rig.Capture) (rig.Record, error) {
	if c.Cause.Cell != 0 {
		if err := r.cellIndex(c.Cause.Cell); err != nil {
			return rig.Record{}, err
		}
	}
	q := &recorder{r: r, c: c, start: r.now.t, vals: make([]float64, len(c.Points))}
	q.rec = rig.Record{Points: c.Points, Values: make([][]float64, len(c.Points))}
	r.now.joules = [2]float64{}
	saw := func(part, what string) {
		q.rec.Events = append(q.rec.Events, rig.Event{Time: r.now.t - q.start, Part: part, What: what})
	}
	done, err := q.sample(0)
	if err != nil {
		return rig.Record{}, err
	}
	r.cause(c.Cause)
	r.settle(saw)
	for gap := 1e-6; !done; {
		if err := ctx.Err(); err != nil {
			return rig.Record{}, err
		}
		var edge bool
		edge, done, err = q.advance(gap, saw)
		if err != nil || r.now.t >= q.start+c.Seconds-1e-12 {
			return q.rec, err
		}
		if gap *= 1.5; edge {
			gap = 1e-6
		}
		gap = math.Min(gap, math.Max(c.Seconds/50, 1e-6))
	}
	return q.rec, nil
}

func (r *Ideal) cause(c rig.Cause) {
	if c.Load != nil {
		r.now.load = *c.Load
	}
	if c.Charger != nil {
		r.now.charger = *c.Charger
	}
	if c.Cell > 0 {
		r.now.cells[c.Cell-1] = c.Volts
	}
}

// advance goes on by gap, or to the next event or the end if they are nearer.
func (q *recorder) advance(gap float64, saw func(part, what string)) (edge, done bool, err error) {
	r := q.r
	to, end := r.now.t+gap, q.start+q.c.Seconds
	if n := r.next(); n <= to {
		to, edge = n, true
	}
	if end <= to {
		to, edge = end, edge && end == to
	}
	// At least a tick, or the sample after the last edge would be lost.
	if done, err = q.sample(math.Min(r.now.t-q.start+tick, q.c.Seconds)); done || err != nil {
		return edge, done, err
	}
	r.pass(math.Max(0, to-r.now.t))
	if done, err = q.sample(to - q.start); done || err != nil {
		return edge, done, err
	}
	if edge { // in between conditions cannot change
		r.settle(saw)
	}
	return edge, false, nil
}

// pass lets time pass in which nothing changes.
func (r *Ideal) pass(dt float64) {
	i := r.loadAmps()
	for dir := range r.now.joules {
		r.now.joules[dir] += i * i * r.board.PathOhms / 2 * dt
	}
	r.now.t += dt
}
