package trial

import (
	"fmt"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Overcharge raises one cell at a time until the charge direction opens.
type Overcharge struct{}

// Word names the trial.
func (Overcharge) Word() protection.Trial { return protection.Overcharge }

// beyondFull is how far above full a cell is taken where the rig names no
// limit: past every threshold in use, below what a 5 V part stands. Common
// practice, no source.
const beyondFull = 0.6

// overchargeThreshold is how overcharge is searched for on a rig.
func overchargeThreshold(a rig.Abilities) threshold {
	s := stand{a: a}
	return threshold{
		word: protection.Overcharge, port: chargePort,
		to: orElse(a.CellLimit, a.CellFull+beyondFull), resolution: 2e-3, expect: a.Hints.Overcharge,
		beyond: 0.05, delay: s.wait(a.Times.Overcharge, fallbackOvercharge),
		release: s.waitRelease(), back: a.CellMiddle - 0.5, expectBack: a.Hints.OverchargeRelease,
		columns: []column{columnN, columnL1, columnC1},
	}
}

// Jobs has one job a cell.
func (o Overcharge) Jobs(a rig.Abilities) []Job {
	th := overchargeThreshold(a)
	return th.jobs(a, fmt.Sprintf("up to %.3f V, others %.3f V, 5 mA charger attached, %.3g s a step", th.to, a.CellMiddle, th.delay))
}

// jobs makes one job a cell.
func (th threshold) jobs(a rig.Abilities, stimulus string) []Job {
	var jobs []Job
	for k := 1; k <= a.Cells; k++ {
		base := Result{
			Trial: th.word, Cell: k, Tap: -1, State: "idle", Port: th.port.String(),
			Stimulus: fmt.Sprintf("cell %d in steps %s", k, stimulus), OpenMeans: openMeans(th.port),
			Cautions:   []string{cautionCells, cautionFault},
			Conditions: []Condition{cellCondition(a.CellMiddle), ohmsCondition(a)},
		}
		if a.Ladder {
			base.Note = "the cells are a ladder: moving one moves its neighbours"
		}
		if th.port == chargePort {
			base.Cautions = append(base.Cautions, cautionCharger)
		}
		jobs = append(jobs, work{
			base: base, name: fmt.Sprintf("%s of cell %d", th.word, k), after: th.after(), absent: missingPort(a, th.port),
			run: func(s *stand, l *logbook) error { return th.study(s, l, k) },
		}.job())
	}
	return jobs
}
