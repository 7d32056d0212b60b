package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// ChargeOvercurrent charges with growing currents until the charge direction
// opens.
type ChargeOvercurrent struct{}

// Word names the trial.
func (ChargeOvercurrent) Word() protection.Trial { return protection.ChargeOvercurrent }

// chargeReach is how far above the rating a charge current is taken, and
// chargeUnknown how far where nothing is rated, A.
const (
	chargeReach   = 3.0
	chargeUnknown = 30.0
)

// chargeRating is the current that three times of is searched, and where it
// comes from.
func chargeRating(a rig.Abilities) (float64, string) {
	switch {
	case a.RatedAmps > 0:
		return a.RatedAmps, "the rated current"
	case a.Hints.ChargeAmps > 0:
		return a.Hints.ChargeAmps, "what the sheets expect"
	case len(a.Hints.LoadAmps) > 0:
		return a.Hints.LoadAmps[0], "the discharge overcurrent the sheets expect"
	}
	return chargeUnknown / chargeReach, "10 A, as nothing is rated"
}

// Jobs has one job.
func (ChargeOvercurrent) Jobs(a rig.Abilities) []Job {
	rating, of := chargeRating(a)
	return []Job{work{
		base: Result{
			Trial: protection.ChargeOvercurrent, Tap: -1, State: "charging", Stage: "1", Port: "charge",
			Stimulus:  fmt.Sprintf("constant-current charger switched on, up to %.4g A: 3 × %s", chargeReach*rating, of),
			OpenMeans: timedOpen, Cautions: []string{cautionCharger, cautionFault, cautionHot},
			Conditions: []Condition{cellCondition(a.CellMiddle), ohmsCondition(a)},
		},
		name:   "charge overcurrent",
		after:  []protection.Quantity{protection.Current, protection.Delay, protection.SensedVoltage, protection.ReleaseDelay},
		absent: missingPort(a, chargePort),
		run:    chargeOvercurrent,
	}.job()}
}

func chargeOvercurrent(s *stand, l *logbook) error {
	e := edge{port: chargePort, cells: s.a.CellMiddle, dwell: s.wait(s.a.Times.ChargeOvercurrent, fallbackOvercurrent)}
	if err := e.rest(s); err != nil {
		return err
	}
	found, err := e.onset(s, chargeSearch(s))
	if err != nil {
		return err
	}
	current := l.ending(protection.Current, found)
	if !found.found() {
		l.absent([]protection.Quantity{protection.Delay, protection.SensedVoltage, protection.ReleaseDelay}, found, "A", "there was no trip to time or to release")
		return nil
	}
	at, err := e.see(s, found.high())
	if err != nil {
		return err
	}
	current.Conditions = append(current.Conditions, Condition{"highest cell at the trip", at.highest, "V"})
	l.reading(protection.SensedVoltage, at.sensed)
	return chargeDelay(s, l, e, found)
}

func chargeSearch(s *stand) search {
	rating, _ := chargeRating(s.a)
	sr := search{
		to: chargeReach * rating, coarse: math.Min(coarseAmps, coarsePart*rating), expect: s.a.Hints.ChargeAmps,
		width: hintWidth * s.a.Hints.ChargeAmps, relative: math.Max(ampsRelative, s.a.Steps.Relative),
	}
	if r := s.a.ChargeLimit; r > 0 && r < sr.to {
		sr.to, sr.limited = r, true
	}
	sr.from = sr.coarse / 10
	return sr
}

// chargeDelay times the trip and its release.
func chargeDelay(s *stand, l *logbook, e edge, found ending) error {
	c, err := e.strike(s, overDetect*found.value())
	if err != nil {
		return err
	}
	overcurrent{edge: e}.delay(l, c, "")
	if !c.opened() {
		return nil
	}
	tripped := func() error {
		return s.from("tripped charge", func() error {
			_, err := e.strike(s, c.asked)
			return err
		})
	}
	return s.letGo(l, chargePort, tripped, fmt.Sprintf("tripped at %.4g A", c.asked))
}
