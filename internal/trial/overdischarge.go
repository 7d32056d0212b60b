package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Overdischarge lowers one cell at a time until the discharge direction opens.
type Overdischarge struct{}

// Word names the trial.
func (Overdischarge) Word() protection.Trial { return protection.Overdischarge }

// cellFloor is how far down a cell is taken where the rig names no limit:
// below every threshold in use, above the supply minimum of most protectors.
// Common practice, no source.
const cellFloor = 1.5

// overdischargeThreshold is how overdischarge is searched for on a rig.
func overdischargeThreshold(a rig.Abilities) threshold {
	s := stand{a: a}
	return threshold{
		word: protection.Overdischarge, port: dischargePort,
		to: orElse(a.CellFloor, cellFloor), resolution: 5e-3, expect: a.Hints.Overdischarge,
		beyond: -0.1, delay: s.wait(a.Times.Overdischarge, fallbackOverdischarge),
		release: s.waitRelease(), back: a.CellFull, expectBack: a.Hints.OverdischargeRelease,
		columns: []column{columnN, columnC1, columnC0},
	}
}

// Jobs has one job a cell.
func (o Overdischarge) Jobs(a rig.Abilities) []Job {
	th := overdischargeThreshold(a)
	return th.jobs(a, fmt.Sprintf("down to %.3f V, others %.3f V, 5 mA load attached, %.3g s a step", th.to, a.CellMiddle, th.delay))
}

// asleepBelow is the fraction of its current before the trip below which a
// cell's electronics count as powered down; our own rule.
const asleepBelow = 0.25

// powerDown compares what the tripped cell gives before and after the trip,
// load still attached.
func (th threshold) powerDown(s *stand, l *logbook, k int, detect float64) error {
	if err := s.rest(s.a.CellMiddle); err != nil {
		return err
	}
	point := rig.Point{Kind: rig.CellAmps, N: k}
	awake, err := s.read(point)
	if err != nil {
		return err
	}
	if err := th.tripped(s, k, detect); err != nil {
		return err
	}
	if err := s.dwell(longWait); err != nil {
		return err
	}
	after, err := s.read(point)
	if err != nil {
		return err
	}
	r := l.reading(protection.PowerDown, after)
	r.Word = "stays awake"
	if math.Abs(after) < asleepBelow*math.Abs(awake) {
		r.Word = "powers down"
	}
	r.State = "after overdischarge"
	r.Stimulus = fmt.Sprintf("cell %d tripped at %.3f V, load still attached, 60 s", k, detect+th.beyond)
	r.OpenMeans = ""
	r.Note = fmt.Sprintf("the cell's current; at rest it was %.3g µA", awake*1e6)
	return nil
}
