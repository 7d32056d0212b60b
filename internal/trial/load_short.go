package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// LoadShort switches resistances from a bolted short up to where overcurrent
// begins across the load port, and looks how the board takes each.
type LoadShort struct{}

// Word names the trial.
func (LoadShort) Word() protection.Trial { return protection.LoadShort }

// The sweep, as the protection trials define it.
const (
	shortPoints  = 12
	shortLeast   = 1e-3 // Ω
	shortSeconds = 30e-3
	loopOhms     = 10e-3
	loopHenry    = 1e-6
	energyEnds   = 0.05 // of the peak current
	typicalOhms  = 10e-3
)

// Jobs has one job a cell voltage.
func (LoadShort) Jobs(a rig.Abilities) []Job {
	var jobs []Job
	for v := levelMiddle; v <= levelLow; v++ {
		absent := missingPort(a, dischargePort)
		if absent == "" && !a.Short {
			absent = "this rig offers no hard shorts"
		}
		jobs = append(jobs, work{
			base: Result{
				Trial: protection.LoadShort, Tap: -1, State: "discharging", Port: "discharge",
				Stimulus:  fmt.Sprintf("resistance from 1 mΩ switched across the load port within 1 µs through a loop of %.3g mΩ and %.3g µH, for %.3g ms", loopOhms*1e3, loopHenry*1e6, shortSeconds*1e3),
				OpenMeans: timedOpen, Cautions: []string{cautionShort, cautionFault, cautionScope},
				Conditions: []Condition{ohmsCondition(a)},
			},
			name: fmt.Sprintf("load short, cells %s", v),
			after: []protection.Quantity{
				protection.PeakCurrent, protection.Stage, protection.TimeToOff, protection.Delay, protection.Energy,
				protection.PeakVoltage, protection.SupplyMinimum, protection.DeadZoneFrom, protection.DeadZoneTo, protection.Reclose,
			},
			absent: absent,
			run:    func(s *stand, l *logbook) error { return sweepShorts(s, l, v) },
		}.job())
	}
	return jobs
}

// sweepShorts is the job at one cell voltage.
func sweepShorts(s *stand, l *logbook, v level) error {
	volts, err := v.volts(s, dischargePort)
	if err != nil {
		return err
	}
	l.with(cellCondition(volts))
	onset, of := shortOnset(s.a)
	var all []short
	rs := shortOhms(s.a, volts, onset)
	if s.guide != nil {
		rs = s.guide.shorts
	}
	for _, r := range rs {
		if err := s.ready(volts, dischargePort); err != nil {
			return err
		}
		sh, err := s.short(r)
		if err != nil {
			return err
		}
		l.short(sh)
		all = append(all, sh)
	}
	l.base.Note = "sweep ends at " + of
	worst := l.worst(overOnset(all, onset))
	if s.guide != nil {
		return nil // what is left of the sweep says nothing of a dead zone
	}
	if s.learning != nil {
		s.learning.shorts = worst
	}
	l.deadZone(all, onset)
	l.draw(all, v, volts)
	return nil
}

// shortOnset is the current below which a load is no short: where the first
// stage is expected.
func shortOnset(a rig.Abilities) (float64, string) {
	switch {
	case len(a.Hints.LoadAmps) > 0:
		return a.Hints.LoadAmps[0], fmt.Sprintf("%.3g A, the overcurrent the sheets expect", a.Hints.LoadAmps[0])
	case a.RatedAmps > 0:
		return 2 * a.RatedAmps, fmt.Sprintf("%.3g A, twice the rating", 2*a.RatedAmps)
	}
	return 20, "20 A, as nothing is rated"
}

// shortOhms are the resistances of the sweep. The last lets about the onset
// current flow.
func shortOhms(a rig.Abilities, volts, onset float64) []float64 {
	n := float64(a.Cells)
	most := n*volts/onset - n*a.CellOhms - loopOhms
	most = math.Max(most, 10*shortLeast)
	rs := make([]float64, shortPoints)
	for i := range rs {
		rs[i] = shortLeast * math.Pow(most/shortLeast, float64(i)/float64(shortPoints-1))
	}
	return rs
}
