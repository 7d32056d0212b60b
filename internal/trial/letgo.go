package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// letGo finds out what makes a board come on again after an overcurrent: its
// load or charger removed, or a charger attached and removed; and the load that
// still holds it.
func (s *stand) letGo(l *logbook, p port, tripped func() error, how string) error {
	removed := columnN
	removed.name, removed.says = "L0", "load removed"
	ways := []column{removed, columnC0}
	if p == chargePort {
		removed.name, removed.says = "C0", "charger removed"
		ways = []column{removed, columnL0}
	}
	held := 0.0
	for _, c := range ways {
		if c.charges && !s.a.Charge || c.loads && !s.a.Discharge {
			continue
		}
		e, err := s.timeUntilOn("let go "+c.name, p, func() error {
			if err := tripped(); err != nil {
				return err
			}
			return c.do(s)
		})
		if err != nil {
			return err
		}
		r := l.ending(protection.ReleaseDelay, e)
		r.State, r.Step = "after "+string(l.base.Trial), "column "+c.name
		r.Stimulus = how + ", then " + c.says
		r.OpenMeans = "released: on again when probed after that time"
		if e.found() {
			held = e.high()
			break
		}
	}
	if p == chargePort || !s.asks(protection.ResidualLoad) {
		return nil
	}
	return s.residual(l, tripped, how, held)
}

// The range a residual load is searched in, Ω, and how finely.
const (
	residualFrom     = 1e9
	residualTo       = 1e3
	residualRelative = 0.2
)

// residual finds the largest load that still holds the board off after the
// load that tripped it. released is how long it takes with nothing attached;
// 0: it never does.
func (s *stand) residual(l *logbook, tripped func() error, how string, released float64) error {
	if released == 0 {
		l.none(protection.ResidualLoad, protection.Undefined, "nothing attached holds it as well: it does not release").State = "after " + string(l.base.Trial)
		return nil
	}
	wait := math.Min(5*released+0.1, releaseWatch)
	e, err := s.search(search{
		name: "residual load", from: residualFrom, to: residualTo, ratio: 10, relative: residualRelative,
		try: func(r float64) (step, error) {
			if err := tripped(); err != nil {
				return step{}, err
			}
			if err := s.load(rig.Load{Kind: rig.Resistance, Value: r}); err != nil {
				return step{}, err
			}
			if err := s.dwell(wait); err != nil {
				return step{}, err
			}
			d, err := s.probe(dischargePort)
			if err != nil || d.on() {
				return step{}, err
			}
			return step{answer: acted}, nil
		},
	})
	if err != nil {
		return err
	}
	r := l.ending(protection.ResidualLoad, e)
	r.State = "after " + string(l.base.Trial)
	r.Stimulus = fmt.Sprintf("%s, then that load for %.3g s in its place", how, wait)
	r.OpenMeans = openMeans(dischargePort)
	if e.outcome == protection.NoneFound {
		r.Note = "no residual load down to there holds it"
	}
	return nil
}
