package trial

import (
	"fmt"
	"math"
)

// onsets finds the currents at which faster stages take over, behind the first:
// wherever the delay of a rung is less than half of what the slower stage takes
// inside its own range, and goes on falling steeply from there.
func (e edge) onsets(s *stand, first ending, ps []point, relative float64) ([]ending, error) {
	slower := first
	var found []ending
	for n := 0; ; n++ {
		f := faster{n: n}
		if err := f.half(s, e, slower); err != nil || !f.among(ps, slower) {
			return found, err
		}
		en, is, err := f.begins(s, e, relative)
		if err != nil || !is {
			return found, err
		}
		if s.learning != nil {
			s.learning.stages = append(s.learning.stages, f)
		}
		found, slower = append(found, en), en
	}
}

// onsetsAgain finds stages that were found on the nominal board, until one is not
// told apart on this one.
func (e edge) onsetsAgain(s *stand, first ending, limit, relative float64) (found []ending, err error) {
	slower := first
	for _, f := range s.guide.stages {
		f.from, f.to = slower.high(), limit
		if err := f.half(s, e, slower); err != nil {
			return found, err
		}
		en, is, err := f.begins(s, e, relative)
		if err != nil || !is {
			return found, err
		}
		found, slower = append(found, en), en
	}
	return found, nil
}

// begins finds the current at which the stage takes over, and says whether it is a
// stage of its own.
func (f *faster) begins(s *stand, e edge, relative float64) (en ending, is bool, err error) {
	en, err = f.onset(s, e, relative)
	if err != nil || !en.found() {
		return en, false, err
	}
	is, err = f.steep(s, e, en)
	return en, is, err
}

// faster is a faster stage between two currents, known by its delay.
type faster struct {
	n        int
	from, to float64 // A
	between  float64 // s: its delay is shorter, that of the slower stage is not
}

const (
	// inside is how far inside a stage its delay is taken, as a multiple of where
	// it begins: just there it is longer.
	inside = 1.1
	// fall is what a delay must fall to inside a stage, as a part of what it is
	// where the stage begins; one that goes with the inverse of the current would
	// only fall to 0.91.
	fall = 0.8
)

// half makes between what tells the stage from the slower one: the part of the
// slower one's delay at which it belongs to another stage. It stays 0 if the
// slower one does not act.
func (f *faster) half(s *stand, e edge, slower ending) error {
	c, err := e.see(s, inside*slower.high())
	if err == nil && c.opened() {
		f.between = c.first / fasterThan
	}
	return err
}

// steep reports whether a stage that begins at en is one, and not the slower one's
// delay that only falls with the current.
func (f faster) steep(s *stand, e edge, en ending) (bool, error) {
	c, err := e.see(s, inside*en.high())
	return err == nil && c.opened() && c.first <= fall*f.between, err
}

// among looks for the stage among rungs, beyond the slower one.
func (f *faster) among(ps []point, slower ending) bool {
	f.from = slower.high()
	for _, p := range ps {
		if p.amps <= f.from {
			continue
		}
		if p.delay < f.between {
			f.to = p.amps
			return true
		}
		f.from = p.amps
	}
	return false
}

// onset finds the current at which the stage takes over. The board is watched
// for no longer than tells the two apart.
func (f faster) onset(s *stand, e edge, relative float64) (ending, error) {
	e.dwell = math.Min(e.dwell, f.between+1.2*steadyTime)
	sr := search{
		name: fmt.Sprintf("faster stage %d", f.n), from: f.from, to: f.to, coarse: f.to - f.from, relative: relative,
		try: func(amps float64) (step, error) {
			c, err := e.see(s, amps)
			if err != nil || !c.opened() || c.first >= f.between {
				return step{}, err
			}
			return step{answer: acted}, nil
		},
	}
	e.foresee(s, &sr)
	return s.search(sr)
}
