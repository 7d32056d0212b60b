package trial

import (
	"fmt"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// DischargeOvercurrent draws growing currents until the discharge direction
// opens, and looks for faster stages above.
type DischargeOvercurrent struct{}

// Word names the trial.
func (DischargeOvercurrent) Word() protection.Trial { return protection.DischargeOvercurrent }

// level is a cell voltage trials are repeated at.
type level int

const (
	levelMiddle level = iota
	levelFull
	levelLow
)

func (v level) String() string {
	return [...]string{"half full", "full", "just above overdischarge"}[v]
}

// volts is the level on a stand: the low one has to be looked for.
func (v level) volts(s *stand, p port) (float64, error) {
	switch v {
	case levelFull:
		return s.a.CellFull, nil
	case levelLow:
		return s.low(p)
	}
	return s.a.CellMiddle, nil
}

// Jobs has one job a cell voltage: half full, full, just above overdischarge.
func (DischargeOvercurrent) Jobs(a rig.Abilities) []Job {
	var jobs []Job
	for v := levelMiddle; v <= levelLow; v++ {
		after := []protection.Quantity{protection.Current, protection.Delay, protection.SensedVoltage}
		if v == levelMiddle {
			after = append(after, protection.ReleaseDelay, protection.ResidualLoad)
		}
		jobs = append(jobs, work{
			base: Result{
				Trial: protection.DischargeOvercurrent, Tap: -1, State: "discharging", Stage: "1", Port: "discharge",
				Stimulus:  "constant-current load switched on within 10 µs, held for the dwell, then 0",
				OpenMeans: timedOpen, Cautions: []string{cautionFault, cautionHot, cautionScope},
				Conditions: []Condition{ohmsCondition(a)},
			},
			name:  fmt.Sprintf("discharge overcurrent, cells %s", v),
			after: after, absent: missingPort(a, dischargePort),
			run: func(s *stand, l *logbook) error { return overcurrent{level: v}.study(s, l) },
		}.job())
	}
	return jobs
}
