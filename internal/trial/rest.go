package trial

import (
	"fmt"
	"math"

	"cupel/internal/trial/rig"
)

// rest is the reset: every cell at volts, ports empty, twice the longest
// release delay, and the wake step if a direction is not on. What it saw of
// the directions is in set.seen.
func (s *stand) rest(volts float64) error {
	return s.from(restName(volts), func() error {
		if s.origin != nil {
			s.back(*s.origin)
		}
		for k := range s.set.cells {
			if err := s.cell(k+1, volts); err != nil {
				return err
			}
		}
		if err := s.quiet(); err != nil {
			return err
		}
		ok, err := s.look()
		if err != nil || ok {
			return err
		}
		return s.wake()
	})
}

func restName(volts float64) string { return fmt.Sprintf("rest %.6f", volts) }

// quiet empties the ports and waits for releases.
func (s *stand) quiet() error {
	if err := s.empty(); err != nil {
		return err
	}
	return s.dwell(math.Max(2*orElse(s.a.Times.Release, fallbackRelease), slowestGate))
}

// look probes every direction there is, and leaves the ports empty.
func (s *stand) look() (bool, error) {
	all := true
	s.set.seen = map[port]direction{}
	for _, p := range s.ports() {
		d, err := s.probe(p)
		if err != nil {
			return false, err
		}
		s.set.seen[p] = d
		all = all && d.on()
	}
	if err := s.empty(); err != nil {
		return false, err
	}
	return all, s.dwell(s.settle())
}

// wake applies the wake step and looks again.
func (s *stand) wake() error {
	if !s.a.Charge {
		return nil
	}
	if err := s.charger(rig.Charger{Volts: s.pack() + wakeVolts, Amps: wakeAmps}); err != nil {
		return err
	}
	if err := s.dwell(wakeSeconds); err != nil {
		return err
	}
	if err := s.quiet(); err != nil {
		return err
	}
	s.woke = true
	_, err := s.look()
	return err
}

// ready rests the board and insists that a direction is on: a search that
// finds the path open before its stimulus means nothing.
func (s *stand) ready(volts float64, p port) error {
	if err := s.rest(volts); err != nil {
		return err
	}
	if d := s.set.seen[p]; !d.on() {
		tried := ""
		if s.woke {
			tried, s.woke = ", and a charger does not wake it", false
		}
		return &notReadyError{text: fmt.Sprintf("the %s direction is %s at rest with every cell at %.3f V, before any stimulus%s", p, d, volts, tried)}
	}
	return nil
}

// notReadyError says that the board was not in the state a trial starts from.
type notReadyError struct {
	text string
	// searched is set when that is because nothing up to there trips it.
	searched float64
	unit     string
}

func (e *notReadyError) Error() string { return e.text }

// ports lists the directions the board has a place for.
func (s *stand) ports() []port {
	var ps []port
	if s.a.Discharge {
		ps = append(ps, dischargePort)
	}
	if s.a.Charge {
		ps = append(ps, chargePort)
	}
	return ps
}

// low is a cell voltage a little above overdischarge at which the board still
// rests with p on: V_uv + 0.1 V where the sheets expect V_uv, and upwards from
// there until it holds.
func (s *stand) low(p port) (float64, error) {
	guess := s.a.Hints.Overdischarge
	if guess == 0 {
		guess = 0.75 * s.a.CellMiddle // 2.8 V of 3.7, 2.5 V of 3.3; common practice, no source
	}
	for v := guess + 0.1; v < s.a.CellMiddle; v += 0.1 {
		if err := s.rest(v); err != nil {
			return 0, err
		}
		if err := s.dwell(s.wait(s.a.Times.Overdischarge, fallbackOverdischarge)); err != nil {
			return 0, err
		}
		d, err := s.probe(p)
		if err != nil {
			return 0, err
		}
		if d.on() {
			return v, s.rest(v)
		}
	}
	return s.a.CellMiddle, s.rest(s.a.CellMiddle)
}
