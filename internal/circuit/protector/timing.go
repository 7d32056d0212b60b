package protector

import "math"

// work is one evaluation of a machine at one instant.
type work struct {
	s       *State
	t       float64 // s
	truth   Truth
	drain   int  // flag of timer 0's running back; timer i has flag drain+i
	decay   bool // delays run back instead of being reset
	instant bool // every delay has run out: Start
	changed bool
	rounds  int
}

// maxRounds bounds the evaluations at one instant. From a consistent truth a
// checked spec settles in a few. A caller that flips one of two comparators of
// the same level before the other hands over, for that one call, a truth in
// which a band is passed both ways, and a part without delays would follow it
// round and round; the call with the other edge settles it.
const maxRounds = 64

// again reports whether another evaluation is due: the first, and one after
// each that changed something.
func (w *work) again() bool {
	if w.rounds > 0 && !w.changed || w.rounds == maxRounds {
		return false
	}
	w.rounds++
	w.changed = false
	return true
}

// above reports comparator i; one that is absent is never true.
func (w *work) above(i int) bool { return i >= 0 && w.truth[i] }

// below reports that comparator i is there and false.
func (w *work) below(i int) bool { return i >= 0 && !w.truth[i] }

func (w *work) has(flag int) bool { return w.s.Has(flag) }

func (w *work) put(flag int, on bool) {
	if w.s.Has(flag) != on {
		w.s.Put(flag, on)
		w.changed = true
	}
}

// stop ends a timer, running or running back.
func (w *work) stop(timer int) {
	w.s.Due[timer] = math.Inf(1)
	w.s.Put(w.drain+timer, false)
}

// running reports whether a timer counts towards its end.
func (w *work) running(timer int) bool {
	return !math.IsInf(w.s.Due[timer], 1) && !w.s.Has(w.drain+timer)
}

// held keeps a timer for a condition and reports whether the condition has
// held for the delay. The timer ends at exactly the time of its edge + delay.
func (w *work) held(timer int, cond bool, delay float64) bool {
	if w.instant {
		return cond && !math.IsInf(delay, 1)
	}
	if !cond {
		w.stop(timer)
		return false
	}
	if !w.running(timer) {
		w.s.Due[timer] = w.t + delay
	}
	return w.s.Due[timer] <= w.t
}

// charged is held for a delay that may run back: while the condition lapses
// Due holds the time at which nothing of the run is left.
func (w *work) charged(timer int, cond bool, delay float64) bool {
	if w.instant || !w.decay {
		return w.held(timer, cond, delay)
	}
	due, back := &w.s.Due[timer], w.drain+timer
	if cond {
		if w.has(back) {
			left := max(0, *due-w.t)
			w.s.Put(back, false)
			*due = w.t + delay - left
		}
		return w.held(timer, true, delay)
	}
	if w.running(timer) {
		*due = w.t + delay - max(0, *due-w.t)
		w.s.Put(back, true)
	}
	if *due <= w.t {
		w.stop(timer)
	}
	return false
}

// latch is a flag with a delay each way; the two share one timer, since only
// one of them can run. At Start it can only be set: where both conditions hold
// at once (an overcurrent flows, and with DO still on vm is low as if the load
// were gone) the part would come and go for ever, and begins with the flag set.
func (w *work) latch(flag, timer int, set bool, tSet float64, clear bool, tClear float64) {
	switch {
	case !w.has(flag) && w.charged(timer, set, tSet):
		w.put(flag, true)
		w.stop(timer)
	case w.has(flag) && !w.instant && w.charged(timer, clear, tClear):
		w.put(flag, false)
		w.stop(timer)
	}
}

// drop clears a latch at once.
func (w *work) drop(flag, timer int) {
	w.put(flag, false)
	w.stop(timer)
}
