package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// answer is what one step of a search saw.
type answer int

const (
	still     answer = iota // the board did not act
	acted                   // it did
	chattered               // it acted and took it back, again and again
	beyond                  // the stimulus could not be delivered
	unclear                 // what was seen fits no word
)

// step is one step of a search, and why where that needs saying.
type step struct {
	answer answer
	note   string
}

// search looks between from, where the board is at rest, and to for the
// stimulus at which it acts: coarse steps first, then bisection until the
// bracket is no wider than the resolution, then both ends once more, unless
// that can tell nothing new. It relies on the board acting everywhere beyond
// the threshold.
type search struct {
	from, to   float64
	coarse     float64 // width of a coarse step, or
	ratio      float64 // its factor (> 1) where the search is logarithmic
	resolution float64 // of the bracket, or
	relative   float64 // as a fraction of its upper end: the coarser counts
	expect     float64 // where a sheet expects it; 0 nowhere. It places the first bracket, no more
	width      float64 // half width of that bracket; 0: one coarse step
	farFirst   bool    // begin at the far end: for rigs where nothing can be hurt
	exact      bool    // the same step always answers the same: for rigs that can be rewound
	fromFound  bool    // acting already at from is found, between 0 and from
	limited    bool    // to is what the rig can do, not where the question ends

	// name tells the searches of one job apart, for guides; without one a
	// search is never guided.
	name string
	// start takes the board to where the search starts from, and notes the
	// stimuli it stands still under on the way; nil where there is nothing to
	// see.
	start func(note func(x float64) error) error
	// under has the board under stimulus x for some time, too short for it to
	// act; nil where a board at rest can be looked at.
	under func(x, seconds float64) error
	// set says which flag ended the search at x, and when to look at its
	// comparator; nil where that is seen by the comparators alone.
	set func(x float64) (rig.Edge, float64)
	// foretell looks, within so long, for what ends a search for a time on this
	// board; NaN if it is not seen.
	foretell func(within float64) (float64, error)

	try  func(x float64) (step, error)
	sure func(x float64) (step, error) // the confirming step, if it differs from try
}

// ending is how a search ended. lo is the last stimulus at rest, hi the first
// acted on, in the sense of the search: lo may be the larger number.
type ending struct {
	outcome    protection.Outcome
	lo, hi     float64
	searchedTo float64
	note       string
	saw        step // at hi
	// solved lies between lo and hi, where a rig that can foresee says the edge
	// is; 0 where none does.
	solved float64
}

// value is what the search found: the middle of the last bracket, or what was
// solved for inside it.
func (e ending) value() float64 {
	if e.solved != 0 {
		return e.solved
	}
	return (e.lo + e.hi) / 2
}
func (e ending) low() float64  { return math.Min(e.lo, e.hi) }
func (e ending) high() float64 { return math.Max(e.lo, e.hi) }
func (e ending) found() bool   { return e.outcome == protection.Found }

// run searches.
func (s search) run() (ending, error) {
	e, err := s.bracket()
	if err != nil || e.outcome != "" {
		return e, err
	}
	e, err = s.bisect(e)
	if err != nil || e.outcome != "" {
		return e, err
	}
	return s.confirm(e)
}

// atFrom ends a search whose very start was not at rest.
func (s search) atFrom(st step) ending {
	if s.fromFound && st.answer == acted {
		return ending{outcome: protection.Found, lo: 0, hi: s.from, searchedTo: s.from}
	}
	note := st.note
	if st.answer == acted {
		note = "acts already where the search begins"
	}
	return ending{outcome: protection.Undefined, searchedTo: s.from, note: note}
}

// between is the point at fraction f of the way from a to b.
func (s search) between(a, b, f float64) float64 {
	if s.ratio > 1 {
		return a * math.Pow(b/a, f)
	}
	return a + f*(b-a)
}

// bisect narrows the bracket.
func (s search) bisect(e ending) (ending, error) {
	for !s.fine(e) {
		x := s.between(e.lo, e.hi, 0.5)
		st, err := s.try(x)
		if err != nil {
			return e, err
		}
		switch st.answer {
		case still:
			e.lo = x
		case acted, chattered:
			e.hi, e.saw = x, st
		default:
			return s.stopped(st, e.lo), nil
		}
	}
	return e, nil
}

// fine reports whether the bracket is as narrow as asked. A hair is allowed
// for, that decimals like 0.05 do not cost a step.
func (s search) fine(e ending) bool {
	want := math.Max(s.resolution, s.relative*e.high())
	return e.high()-e.low() <= want*(1+1e-9)
}

// confirm repeats both ends, where that can tell something new.
func (s search) confirm(e ending) (ending, error) {
	e.searchedTo = e.hi
	lo, hi := step{answer: still}, e.saw
	var err error
	if !s.exact || e.lo == s.from { // from was never tried
		if lo, err = s.again(e.lo); err != nil {
			return e, err
		}
	}
	if !s.exact || s.sure != nil {
		if hi, err = s.again(e.hi); err != nil {
			return e, err
		}
	}
	switch {
	case lo.answer == still && hi.answer == acted:
		e.outcome, e.note = protection.Found, join(e.note, hi.note)
	case lo.answer == still && hi.answer == chattered:
		e.outcome, e.note = protection.Chatters, hi.note
	case e.lo == s.from:
		return s.atFrom(lo), nil
	default:
		e.outcome = protection.Undefined
		e.note = fmt.Sprintf("not repeatable: between %.5g and %.5g the answer changed when asked again", e.lo, e.hi)
	}
	return e, nil
}

// again takes a step again, the confirming way.
func (s search) again(x float64) (step, error) {
	if s.sure != nil {
		return s.sure(x)
	}
	return s.try(x)
}

// exhausted ends a search that came to its far end.
func (s search) exhausted() ending {
	o := protection.NoneFound
	if s.limited {
		o = protection.NotReached
	}
	return ending{outcome: o, searchedTo: s.to}
}

// stopped ends a search that could not go on beyond lo.
func (s search) stopped(st step, lo float64) ending {
	o := protection.Undefined
	if st.answer == beyond {
		o = protection.NotReached
	}
	return ending{outcome: o, searchedTo: lo, note: st.note}
}
