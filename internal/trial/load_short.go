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
				protection.PeakCurrent, protection.Stage, protection.TimeToOff, protection.Energy,
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
	for _, r := range shortOhms(s.a, volts, onset) {
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
	l.worst(all)
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

// short is one resistance of the sweep and what it did.
type short struct {
	shot
	ohms    float64
	stage   string
	fast    bool               // cut within the short stage's time
	joules  map[string]float64 // per bank, until the current has gone
	volts   map[string]float64 // highest per bank
	supply  float64            // lowest of all protectors; NaN if not known
	starved string             // whose it was
}

// shortPoint is a point of a short's capture beside current and drop.
func (s *stand) shortRecord() []rig.Point {
	var ps []rig.Point
	for _, part := range s.a.Supplies {
		ps = append(ps, rig.Point{Kind: rig.SupplyVolts, Part: part})
	}
	for _, bank := range s.a.Banks {
		ps = append(ps, rig.Point{Kind: rig.BankVolts, Part: bank}, rig.Point{Kind: rig.BankJoules, Part: bank}, rig.Point{Kind: rig.GateVolts, Part: bank})
	}
	if s.a.Middle != "" {
		ps = append(ps, rig.Point{Kind: rig.MiddleDrop, Part: s.a.Middle})
	}
	return ps
}

// short closes one and reads the record.
func (s *stand) short(r float64) (short, error) {
	load := rig.Load{Kind: rig.Short, Value: r, Lead: rig.Lead{Ohms: loopOhms, Henry: loopHenry}}
	sh, err := s.capture(dischargePort, rig.Capture{Cause: rig.Cause{Load: &load}, Points: s.shortRecord(), Seconds: shortSeconds}, true)
	if err != nil {
		return short{}, err
	}
	out := short{shot: sh, ohms: r, supply: math.NaN(), joules: map[string]float64{}, volts: map[string]float64{}}
	gone := sh.gone()
	for i, p := range sh.record.Points {
		v := sh.record.Values[i]
		switch p.Kind {
		case rig.SupplyVolts:
			if m := lowest(v); !(m >= out.supply) {
				out.supply, out.starved = m, p.Part
			}
		case rig.BankVolts:
			out.volts[p.Part] = highest(v)
		case rig.BankJoules:
			out.joules[p.Part] = v[gone]
		}
	}
	out.fast = sh.opened() && sh.first <= shortTime(s.a)
	out.stage = out.name(s.a)
	return out, nil
}

// shortTime is within what a short stage has cut: half again its longest
// delay.
func shortTime(a rig.Abilities) float64 { return orElse(1.5*a.Times.Short, fastest) }

// gone is the index of the sample at which the current has fallen to
// energyEnds of its peak for the first time, or the last.
func (sh shot) gone() int {
	peak := 0.0
	for j, v := range sh.record.Values[0] {
		v = math.Abs(v)
		peak = math.Max(peak, v)
		if sh.opened() && sh.record.Times[j] >= sh.first && v < energyEnds*peak {
			return j
		}
	}
	return len(sh.record.Times) - 1
}

func lowest(v []float64) float64 {
	m := math.Inf(1)
	for _, x := range v {
		m = math.Min(m, x)
	}
	return m
}

func highest(v []float64) float64 {
	m := math.Inf(-1)
	for _, x := range v {
		m = math.Max(m, x)
	}
	return m
}

// The words for what cut a short.
const (
	byShort   = "SC"
	byCurrent = "OC"
	byStarved = "starved"
	byNothing = "none"
)

// starvedBelow is a supply no protector works at, V; typical of the class, no
// source. It counts only where the rig does not say which flag was set.
const starvedBelow = 1.0

// name says which stage cut: by the flags if the rig tells them, by time and
// supply otherwise.
func (sh short) name(a rig.Abilities) string {
	if !sh.opened() {
		return byNothing
	}
	if w := sh.flag(a.Sense); w != "" {
		return w
	}
	switch {
	case sh.supply < starvedBelow:
		return byStarved
	case sh.fast:
		return byShort
	}
	return byCurrent
}

// flag is the stage by the events before the cut: the last current flag of the
// part that judges the current, unless it browned out after that.
func (sh short) flag(part string) string {
	word := ""
	for _, e := range sh.record.Events {
		if e.Time > sh.first || part != "" && e.Part != part {
			continue
		}
		switch e.What {
		case rig.Sets + "SC":
			word = byShort
		case rig.Sets + "OC", rig.Sets + "OC1", rig.Sets + "OC2":
			if word != byShort {
				word = byCurrent
			}
		case rig.Sets + "BO":
			word = byStarved
		}
	}
	return word
}

// short adds the results of one resistance.
func (l *logbook) short(sh short) {
	was := l.base
	defer func() { l.base = was }()
	l.base.Step = ohms(sh.ohms)
	l.with(sh.condition())
	l.reading(protection.PeakCurrent, sh.peak)
	l.word(protection.Stage, sh.stage)
	l.off(sh)
	if e, ok := sh.joules["discharge"]; ok {
		l.reading(protection.Energy, e)
	}
}

func (sh short) condition() Condition { return Condition{"short's resistance", sh.ohms, "Ω"} }

// off adds the time to off.
func (l *logbook) off(sh short) *Result {
	if !sh.opened() {
		r := l.none(protection.TimeToOff, protection.NotCut, "")
		r.SearchedTo, r.SearchedUnit = shortSeconds, "s"
		return r
	}
	lo, hi := around(sh.record, sh.first)
	return l.value(protection.TimeToOff, sh.first, lo, hi)
}
