package trial

import (
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

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

// shortRecord is what is recorded of a short beside current and drop.
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
	sh, err := s.capture(dischargePort, rig.Capture{Cause: rig.Cause{Load: &load}, Points: s.shortRecord(), Seconds: shortSeconds}, 0)
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
	byFuse    = "fuse"
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
	if sh.parted() != "" {
		return byFuse
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
