package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Path measures what the current's path through the board drops, both ways, at
// several currents and cell voltages.
type Path struct{}

// Word names the trial.
func (Path) Word() protection.Trial { return protection.Path }

// Jobs has one job a direction.
func (Path) Jobs(a rig.Abilities) []Job {
	var jobs []Job
	for _, p := range []port{dischargePort, chargePort} {
		jobs = append(jobs, work{
			base: Result{
				Trial: protection.Path, Tap: -1, State: p.state(), Port: p.String(),
				Stimulus:  "constant current for " + fmt.Sprintf("%.3g ms", 1e3*orElse(a.Settle, edgeSettle)),
				OpenMeans: "less than nine tenths of the current flow", Cautions: []string{cautionFault, cautionHot},
				Conditions: []Condition{ohmsCondition(a)},
			},
			name: "path, " + p.state(), absent: missingPort(a, p),
			after: []protection.Quantity{protection.Resistance, protection.BankResistance, protection.GateVoltage},
			run:   func(s *stand, l *logbook) error { return measurePath(s, l, p) },
		}.job())
	}
	return jobs
}

// pathAmps are the currents of the path trial: 1 A, 10 A, the rating.
func pathAmps(a rig.Abilities, p port) []float64 {
	amps := []float64{1}
	if a.RatedAmps == 0 || a.RatedAmps > 10 {
		amps = append(amps, 10)
	}
	if a.RatedAmps > 1 {
		amps = append(amps, a.RatedAmps)
	}
	limit := a.LoadLimit
	if p == chargePort {
		limit = a.ChargeLimit
	}
	for n := len(amps); limit > 0 && n > 1 && amps[n-1] > limit; n-- {
		amps = amps[:n-1]
	}
	return amps
}

func measurePath(s *stand, l *logbook, p port) error {
	for v := levelMiddle; v <= levelLow; v++ {
		volts, err := v.volts(s, p)
		if err != nil {
			return err
		}
		for _, amps := range pathAmps(s.a, p) {
			if err := s.ready(volts, p); err != nil {
				return err
			}
			if err := s.pathPoint(l, p, volts, amps); err != nil {
				return err
			}
		}
	}
	return nil
}

// pathPoint drives amps and reads the drops.
func (s *stand) pathPoint(l *logbook, p port, volts, amps float64) error {
	was := l.base
	defer func() { l.base = was }()
	l.base.Step = fmt.Sprintf("%.3g A, cells %.3f V", amps, volts)
	l.with(cellCondition(volts), Condition{"current", amps, "A"})
	c := edge{port: p}.cause(s, amps)
	s.remember(c)
	if err := s.drive(c); err != nil {
		return err
	}
	if err := s.dwell(s.settle()); err != nil {
		return err
	}
	flows, err := s.read(p.amps())
	if err != nil {
		return err
	}
	if math.Abs(flows) < delivered*amps {
		l.none(protection.Resistance, protection.NotReached, fmt.Sprintf("of %.3g A only %.3g A flow after %.3g ms: the board cuts it", amps, flows, 1e3*s.settle()))
		return nil
	}
	drop, err := s.read(p.drop())
	if err != nil {
		return err
	}
	l.reading(protection.Resistance, math.Abs(drop/flows))
	return s.banks(l, flows)
}

// drive sets what a cause sets.
func (s *stand) drive(c rig.Cause) error {
	if c.Charger != nil {
		return s.charger(*c.Charger)
	}
	return s.load(*c.Load)
}

// banks adds each bank's share of the drop and its gate drive.
func (s *stand) banks(l *logbook, amps float64) error {
	for _, b := range s.a.Banks {
		v, err := s.read(rig.Point{Kind: rig.BankVolts, Part: b})
		if err != nil {
			return err
		}
		g, err := s.read(rig.Point{Kind: rig.GateVolts, Part: b})
		if err != nil {
			return err
		}
		l.ofBank(protection.BankResistance, math.Abs(v/amps), b)
		l.ofBank(protection.GateVoltage, g, b)
	}
	return nil
}

// ofBank adds a figure of one bank; Stage holds which.
func (l *logbook) ofBank(q protection.Quantity, v float64, bank string) {
	r := l.reading(q, v)
	r.Stage = bank
	r.Note = join(r.Note, "the "+bank+" bank")
}
