package audit

import (
	"math"

	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// continuous is the steady current the board is stated or required to carry.
func (t *table) continuous() []figure {
	return append(t.of(protection.Continuous, protection.Current), t.required(protection.Continuous, protection.Current)...)
}

// The trip current stands between these times the continuous current (common
// practice, no source): below, a start of the load trips it; above, nothing
// protects what is sized for the rating.
const (
	nearest  = 1.2
	farthest = 3.0
)

// tripAgainstContinuous is the rule TripAgainstRating.
func tripAgainstContinuous(t *table) {
	trip, ok := first(t.staged(protection.Detect, "1"))
	if !ok {
		return
	}
	for _, i := range t.continuous() {
		rated, low := i.nominal(), trip.low()
		switch {
		case low.stated() && low.v < nearest*rated.v:
			t.nearTrip(trip, low, rated)
		case trip.nominal().v > farthest*rated.v:
			t.farTrip(trip, rated)
		}
	}
}

func (t *table) nearTrip(trip figure, low, rated number) {
	ratio := show(low.v/rated.v, quantity.None)
	t.add(report{
		code: TripAgainstRating, level: severity(trip.nominal().v <= rated.v), at: trip, by: []number{low, rated},
		text: sprintf("it may trip at %s already, %s times the %s it is to carry", low.text, ratio, rated.text),
		sum:  []string{sprintf("%s ÷ %s = %s, %g and more is usual", low.text, rated.text, ratio, nearest)},
		do:   "run it warm at the continuous current for 10 minutes: does it trip",
	})
}

func (t *table) farTrip(trip figure, rated number) {
	n := trip.nominal()
	ratio := show(n.v/rated.v, quantity.None)
	t.add(report{
		code: TripAgainstRating, level: finding.Warning, at: trip, by: []number{n, rated},
		text: sprintf("it trips at %s, %s times the %s it is to carry: between the two nothing protects it", n.text, ratio, rated.text),
		sum:  []string{sprintf("%s ÷ %s = %s, %g and less is usual", n.text, rated.text, ratio, farthest)},
		do:   "ask what wires, copper and cells stand between the two; fuse the pack below that",
	})
}

// tripsBelowRating is the rule SenseBelowRating: the sense voltage across the
// path, at its corner, must not be reached by the continuous current.
func tripsBelowRating(t *table) {
	volts, ok := first(t.staged(protection.SensedVoltage, "1"))
	r, _, known := t.sensed()
	if !known { // nothing but the path's maximum is stated, and no trip current to tell more
		if _, tripKnown := first(t.staged(protection.Detect, "1")); tripKnown {
			return
		}
		r, known = first(t.of(protection.Path, protection.Resistance))
	}
	if !ok || !known || !r.high().stated() {
		return
	}
	for _, i := range t.continuous() {
		rated, v := i.nominal(), volts.low()
		if v.stated() && v.v < rated.v*r.high().v*(1-1e-9) {
			t.senseBelow(volts, r, i)
		}
	}
}

func (t *table) senseBelow(volts, r, i figure) {
	v, ohms, rated := volts.low(), r.high(), i.nominal()
	amps, most := show(v.v/ohms.v, quantity.Current), v.v/rated.v
	do := sprintf("the sensed part must stay below %s ÷ %s = %s when hot", v.text, rated.text, show(most, quantity.Resistance))
	if n := t.sheet.About.FETs.N; n > 0 {
		do += sprintf("; with two banks of %d FETs, below %s × %d ÷ 2 = %s a FET", n,
			show(most, quantity.Resistance), n, show(most*float64(n)/2, quantity.Resistance))
	}
	t.add(report{
		code: SenseBelowRating, level: severity(volts.nominal().v < rated.v*r.nominal().v), at: i, by: []number{v, ohms, rated},
		text: sprintf("%s across %s is %s, less than the %s it is to carry", v.text, ohms.text, amps, rated.text),
		sum:  []string{sprintf("%s ÷ %s = %s", v.text, ohms.text, amps)},
		do:   do,
	})
}

// tripAboveCells is the rule AboveCells: cells and fuse must stand what the
// board lets through.
func tripAboveCells(t *table) {
	a := t.sheet.About
	trip, _ := first(t.staged(protection.Detect, "1"))
	rated, _ := first(t.continuous())
	chargeTrip, _ := first(t.of(protection.ChargeOvercurrent, protection.Detect))
	charge, _ := first(t.of(protection.Continuous, protection.ChargeCurrent))
	for _, c := range []struct {
		f     figure
		limit claim.Fact
		name  string
	}{
		{rated, a.Cell.Discharge, "the cells' discharge current"},
		{trip, a.Cell.Discharge, "the cells' discharge current"},
		{rated, a.Fuse, "the fuse"},
		{charge, a.Cell.Charge, "the cells' charge current"},
		{chargeTrip, a.Cell.Charge, "the cells' charge current"},
	} {
		if c.f.name != "" && c.limit.Given() {
			t.above(c.f, ofFact(c.name, c.limit))
		}
	}
}

// above reports a current that its limit does not allow. Between the limit and
// the trip nothing acts, so the trip is held against the limit too.
func (t *table) above(f, limit figure) {
	n, most := f.high(), limit.number(math.Max(limit.q.Nominal(), limit.q.Typ), "")
	if l := limit.high(); l.stated() {
		most = l
	}
	if !n.stated() {
		n = f.nominal()
	}
	if !(n.v > most.v) {
		return
	}
	t.add(report{
		code: AboveCells, level: severity(f.low().v > most.v), at: f, by: []number{n, most},
		text: sprintf("%s of up to %s passes %s of %s", f.name, n.text, limit.name, most.text),
		sum:  []string{sprintf("%s > %s", n.text, most.text)},
		do:   "take cells and wires that stand it, or fuse the pack at what they stand",
	})
}
