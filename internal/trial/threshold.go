package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// threshold is what overcharge and overdischarge have in common: a cell moved
// away from the middle until its direction opens, and back until it is on.
type threshold struct {
	word       protection.Trial
	port       port
	to         float64 // V where the search ends
	resolution float64 // V
	expect     float64 // V, hint
	beyond     float64 // V past detect for the delay, with its sign
	delay      float64 // s, dwell for detection
	release    float64 // s, dwell for release
	back       float64 // V where the search for release ends
	expectBack float64 // V, hint
	columns    []column
}

// Steps of a cell, V.
const (
	coarseVolts    = 0.05
	hintVolts      = 0.01 // half the first bracket around what a sheet expects
	backResolution = 5e-3 // of a release
)

// arm rests the board and attaches the probe of the direction to watch.
func (s *stand) arm(p port) error {
	return s.from("armed "+p.String(), func() error {
		if err := s.ready(s.a.CellMiddle, p); err != nil {
			return err
		}
		d, err := s.probe(p)
		if err == nil && !d.on() {
			err = &notReadyError{text: fmt.Sprintf("the %s direction is %s with its probe attached, before any stimulus", p, d)}
		}
		return err
	})
}

// cause moves cell k to volts. The probing charger moves along, so that what
// it has above the pack stays the same.
func (s *stand) cause(k int, volts float64, p port) rig.Cause {
	c := rig.Cause{Cell: k, Volts: volts}
	if p == chargePort {
		up := volts - s.set.cells[k-1]
		c.Charger = &rig.Charger{Volts: s.set.charger.Volts + up, Amps: s.set.charger.Amps}
	}
	return c
}

// move takes cell k from the armed rest to volts and watches.
func (th threshold) move(s *stand, k int, volts float64, whole bool) (shot, error) {
	if err := s.arm(th.port); err != nil {
		return shot{}, err
	}
	hold := 0.0
	if !whole {
		hold = s.judgeable()
	}
	return s.capture(th.port, rig.Capture{Cause: s.cause(k, volts, th.port), Seconds: th.delay}, hold)
}

// answer puts a search's word to what a shot showed.
func (sh shot) answer() step {
	switch {
	case sh.chatters(), sh.opened() && sh.end.on():
		return step{answer: chattered, note: fmt.Sprintf("the path opened %d times within the dwell and is %s at its end", sh.openings, sh.end)}
	case sh.end.on():
		return step{answer: still}
	case sh.end.word == isUndefined:
		return step{answer: acted, note: "the direction was neither on, diode nor open: " + sh.end.String()}
	case sh.end.word == isDiode:
		return step{answer: acted, note: "the path became a diode: current still flows through a body diode"}
	}
	return step{answer: acted}
}

// detect searches for the voltage at which the direction opens.
func (th threshold) detect(s *stand, k int) (ending, error) {
	ask := func(whole bool) func(float64) (step, error) {
		return func(v float64) (step, error) {
			sh, err := th.move(s, k, v, whole)
			if err != nil {
				return step{}, err
			}
			return sh.answer(), nil
		}
	}
	if err := s.arm(th.port); err != nil {
		return ending{}, err
	}
	return s.search(search{
		from: s.a.CellMiddle, to: th.to, coarse: coarseVolts, resolution: math.Max(th.resolution, s.a.Steps.Volts),
		expect: th.expect, width: hintVolts, try: ask(false), sure: ask(true),
		name: fmt.Sprintf("%s %d", th.word, k),
		start: func(note func(float64) error) error {
			if err := s.arm(th.port); err != nil {
				return err
			}
			return note(s.a.CellMiddle)
		},
	})
}

// tripped puts the board past detect, tripped, its probe still attached.
func (th threshold) tripped(s *stand, k int, detect float64) error {
	_, err := th.trip(s, k, detect)
	return err
}

// trip is tripped with what the trip looked like; a board that is only rewound
// to where it had tripped shows nothing.
func (th threshold) trip(s *stand, k int, detect float64) (seen *shot, err error) {
	err = s.from(fmt.Sprintf("tripped %s %d", th.word, k), func() error {
		sh, err := th.move(s, k, detect+th.beyond, false)
		if err == nil && sh.end.on() {
			err = &notReadyError{text: fmt.Sprintf("%s of cell %d does not trip at %.3f V, although it was found at %.3f V", th.word, k, detect+th.beyond, detect)}
		}
		seen = &sh
		return err
	})
	return seen, err
}

// timed is the delay of a step well past detect.
func (th threshold) timed(s *stand, l *logbook, k int, detect float64) error {
	sh, err := th.trip(s, k, detect)
	if err != nil {
		return err
	}
	if !sh.opened() {
		l.none(protection.Delay, protection.Undefined, "the current never fell below half: "+sh.answer().note)
		return nil
	}
	lo, hi := around(sh.record, sh.first)
	r := l.value(protection.Delay, sh.first, lo, hi)
	r.Stimulus = fmt.Sprintf("cell %d stepped from %.3f V to %.3f V", k, s.a.CellMiddle, detect+th.beyond)
	r.OpenMeans = timedOpen
	return nil
}

// releases searches for the voltage at which the tripped direction comes back
// under one column of the release matrix.
func (th threshold) releases(s *stand, k int, detect float64, c column) (ending, error) {
	try := func(v float64) (step, error) {
		if err := th.tripped(s, k, detect); err != nil {
			return step{}, err
		}
		if err := s.cell(k, v); err != nil {
			return step{}, err
		}
		if err := c.do(s); err != nil {
			return step{}, err
		}
		if err := s.dwell(th.release); err != nil {
			return step{}, err
		}
		d, err := s.probe(th.port)
		if err != nil || !d.on() {
			return step{}, err
		}
		return step{answer: acted}, nil
	}
	e, err := s.search(search{
		from: detect + th.beyond/2, to: th.back, coarse: coarseVolts, resolution: math.Max(backResolution, s.a.Steps.Volts),
		expect: th.expectBack, width: hintVolts, try: try,
		name: fmt.Sprintf("%s %d release %s", th.word, k, c.name),
		start: func(note func(float64) error) error {
			if err := th.tripped(s, k, detect); err != nil {
				return err
			}
			return note(detect + th.beyond)
		},
	})
	if e.outcome == protection.NoneFound {
		e.outcome = protection.NeverReleases
	}
	return e, err
}

// after lists the quantities the job of one cell owes an answer for.
func (th threshold) after() []protection.Quantity {
	qs := []protection.Quantity{protection.Detect, protection.Delay, protection.ReleaseAt, protection.ReleaseDelay}
	if th.word == protection.Overdischarge {
		qs = append(qs, protection.PowerDown)
	}
	return qs
}

// study is the whole job of one cell.
func (th threshold) study(s *stand, l *logbook, k int) error {
	e, err := th.detect(s, k)
	if err != nil {
		return err
	}
	l.ending(protection.Detect, e)
	if !e.found() {
		if e.outcome == protection.NoneFound || e.outcome == protection.NotReached {
			l.absent(th.after(), e, "V", "there was no trip to time or to release")
		}
		return nil
	}
	if s.asks(protection.Delay) {
		if err := th.timed(s, l, k, e.value()); err != nil {
			return err
		}
	}
	if th.word == protection.Overdischarge && s.asks(protection.PowerDown) {
		if err := th.powerDown(s, l, k, e.value()); err != nil {
			return err
		}
	}
	if s.asks(protection.ReleaseAt, protection.ReleaseDelay) {
		return th.comeBack(s, l, k, e.value())
	}
	return nil
}

func sign(x float64) float64 { return math.Copysign(1, x) }
