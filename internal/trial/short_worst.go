package trial

import (
	"fmt"
	"math"
	"slices"

	"cupel/internal/protection"
)

// overOnset leaves out what is hardly an overcurrent: the board need not cut it.
func overOnset(all []short, onset float64) []short {
	var over []short
	for _, sh := range all {
		if sh.peak >= aboveOnset*onset {
			over = append(over, sh)
		}
	}
	if over == nil {
		return all
	}
	return over
}

// worst adds, over the whole sweep, the worst of each figure and where it was.
// It gives the resistances of all these.
func (l *logbook) worst(all []short) (rs []float64) {
	most := func(of func(short) float64) short {
		at := all[0]
		for _, sh := range all[1:] {
			if of(sh) > of(at) || math.IsNaN(of(at)) {
				at = sh
			}
		}
		return at
	}
	at := func(r *Result, sh short) {
		r.Conditions = append(r.Conditions, sh.condition())
		if !slices.Contains(rs, sh.ohms) {
			rs = append(rs, sh.ohms)
		}
	}

	sh := most(func(sh short) float64 { return sh.peak })
	at(l.reading(protection.PeakCurrent, sh.peak), sh)
	sh = most(short.timeOff)
	at(l.off(sh), sh)
	at(l.word(protection.Stage, sh.stage), sh)
	if r := l.shortDelay(all); !slices.Contains(rs, r) {
		rs = append(rs, r)
	}
	for _, bank := range []string{"discharge", "charge"} {
		if _, has := all[0].joules[bank]; !has {
			continue
		}
		sh = most(func(sh short) float64 { return sh.joules[bank] })
		r := l.energy(sh.joules[bank])
		r.Port = bank
		at(r, sh)
		sh = most(func(sh short) float64 { return sh.volts[bank] })
		v := sh.volts[bank]
		r = l.value(protection.PeakVoltage, v, v-peakResolution, v+peakResolution)
		r.Port = bank
		at(r, sh)
	}
	if sh = most(func(sh short) float64 { return -sh.supply }); !math.IsNaN(sh.supply) {
		r := l.reading(protection.SupplyMinimum, sh.supply)
		r.Note = join(r.Note, "the supply of "+sh.starved)
		at(r, sh)
	}
	l.noBanks(all[0])
	l.reclose(all)
	return rs
}

// peakResolution is how well the peak over a bank can be told, V: a scope that
// shows 40 V shows no less, and the error that a run may leave at a node during
// a short is as large. A bank that is on under less tells nothing of itself.
const peakResolution = 1e-3

// energyResolution is the energy that warms no FET, J; what is left below is of
// a bank that no current crosses.
const energyResolution = 1e-6

// energy adds an energy; below the resolution it is told as that.
func (l *logbook) energy(joules float64) *Result {
	if math.Abs(joules) < energyResolution {
		return l.value(protection.Energy, joules, joules-energyResolution, joules+energyResolution)
	}
	return l.reading(protection.Energy, joules)
}

// noBanks says what the rig could not see.
func (l *logbook) noBanks(sh short) {
	if len(sh.joules) == 0 {
		const why = "this rig does not see the banks"
		l.none(protection.Energy, protection.NotApplicable, why)
		l.none(protection.PeakVoltage, protection.NotApplicable, why)
	}
	if math.IsNaN(sh.supply) {
		l.none(protection.SupplyMinimum, protection.NotApplicable, "this rig does not see the protectors' supplies")
	}
}

// timeOff orders shorts by how long they last; one that is not cut lasts
// longest.
func (sh short) timeOff() float64 {
	if !sh.opened() {
		return math.Inf(1)
	}
	return sh.first
}

// reclose says whether a board that cut came on again into the same short.
func (l *logbook) reclose(all []short) {
	for _, sh := range all {
		if sh.closings > 0 {
			r := l.reading(protection.Reclose, sh.last)
			r.Word = "recloses"
			r.Note = join(r.Note, fmt.Sprintf("%d times within %.3g ms, short still there", sh.closings, shortSeconds*1e3))
			r.Conditions = append(r.Conditions, sh.condition())
			return
		}
	}
	r := l.add(protection.Reclose, protection.NoneFound)
	r.Word, r.SearchedTo, r.SearchedUnit = "stays off", shortSeconds, "s"
}

// aboveOnset is how far above the expected overcurrent a load counts as one
// that has to be cut.
const aboveOnset = 1.1

// deadZone adds the range of currents that are above overcurrent and yet not
// cut within the short stage's time, or not at all. The sweep runs from the
// hardest short down.
func (l *logbook) deadZone(all []short, onset float64) {
	var slow []short
	next := 0.0 // the smallest current above the zone that is cut in time
	uncut := 0
	for _, sh := range all {
		switch {
		case sh.peak < aboveOnset*onset:
		case !sh.fast:
			slow = append(slow, sh)
			if !sh.opened() {
				uncut++
			}
		case len(slow) == 0:
			next = sh.peak
		}
	}
	if len(slow) == 0 {
		l.noDeadZone(protection.DeadZoneFrom, all)
		l.noDeadZone(protection.DeadZoneTo, all)
		return
	}
	note := "not cut within the short stage's time, but by a slower stage"
	if uncut > 0 {
		note = fmt.Sprintf("not cut within the short stage's time; %d of the %d steps in it are not cut at all", uncut, len(slow))
	}
	from, to := ends(slow)
	l.zoneEnd(protection.DeadZoneFrom, from, math.Min(onset, from.peak), from.peak, note)
	l.zoneEnd(protection.DeadZoneTo, to, to.peak, math.Max(to.peak, next), note)
}

// ends are the steps with the least and the most current.
func ends(all []short) (least, most short) {
	least, most = all[0], all[0]
	for _, sh := range all {
		if sh.peak < least.peak {
			least = sh
		}
		if sh.peak > most.peak {
			most = sh
		}
	}
	return least, most
}

// zoneEnd adds one end of the dead zone.
func (l *logbook) zoneEnd(q protection.Quantity, sh short, low, high float64, note string) {
	r := l.value(q, sh.peak, low, high)
	r.Conditions = append(r.Conditions, sh.condition())
	r.Note = join(r.Note, note)
}

func (l *logbook) noDeadZone(q protection.Quantity, all []short) {
	r := l.add(q, protection.NoneFound)
	r.SearchedTo, r.SearchedUnit = all[0].peak, "A"
	r.Note = join(r.Note, "every step above overcurrent was cut within the short stage's time")
}

// draw adds the waveforms of the hardest short and, half full, a typical one.
func (l *logbook) draw(all []short, v level, volts float64) {
	hardest, typical := 0, 0
	for i, sh := range all {
		if sh.joules["discharge"] > all[hardest].joules["discharge"] {
			hardest = i
		}
		if math.Abs(math.Log(sh.ohms/typicalOhms)) < math.Abs(math.Log(all[typical].ohms/typicalOhms)) {
			typical = i
		}
	}
	l.figure("hardest load short", all[hardest], volts)
	if v == levelMiddle && typical != hardest {
		l.figure("load short", all[typical], volts)
	}
}

func (l *logbook) figure(what string, sh short, volts float64) {
	l.figures = append(l.figures, Figure{
		Name:   fmt.Sprintf("load-short %s at %.3f V", ohms(sh.ohms), volts),
		Title:  fmt.Sprintf("%s: %s, cells %.3f V", what, ohms(sh.ohms), volts),
		Record: sh.record,
	})
}
