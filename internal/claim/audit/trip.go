package audit

import (
	"math"

	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// stageWords are the stages of an overcurrent, slow to fast.
var stageWords = []string{"1", "2", "short"}

// pair is the sense voltage and the trip current of one stage.
type pair struct{ volts, amps figure }

// trips lists the stages of which both are stated. What a short trips at may
// stand under load-short.
func (t *table) trips() []pair {
	var out []pair
	for _, w := range stageWords {
		v, volts := first(t.staged(protection.SensedVoltage, w))
		a, amps := first(t.staged(protection.Detect, w))
		if volts && amps {
			out = append(out, pair{v, a})
		}
	}
	return out
}

// staged lists the figures of one stage of the discharge overcurrent.
func (t *table) staged(q protection.Quantity, word string) []figure {
	fs := stage(t.of(protection.DischargeOvercurrent, q), word)
	if word == "1" && q == protection.Detect {
		fs = append(fs, stage(t.of(protection.DischargeOvercurrent, protection.Current), word)...)
	}
	if word == "short" {
		fs = append(fs, t.of(protection.LoadShort, q)...)
	}
	return fs
}

// sensed is the resistance whose drop trips: what is stated of it, or the
// path's where that is stated as a value and not as a mere maximum.
func (t *table) sensed() (f figure, part bool, ok bool) {
	if s := t.sheet.About.Sensed; s.Given() {
		return ofFact("sensed resistance", s), true, true
	}
	for _, f := range t.of(protection.Path, protection.Resistance) {
		if !math.IsNaN(f.q.Typ) || f.both() {
			return f, false, true
		}
	}
	return figure{}, false, false
}

// tripBySense is the rule TripBySense: I = V ÷ R at the corners.
func tripBySense(t *table) {
	r, part, ok := t.sensed()
	if !ok {
		t.tripAboveWholePath()
		return
	}
	for _, p := range t.trips() {
		least, most := p.volts.low().v/r.high().v, p.volts.high().v/r.low().v
		low, high := p.amps.low(), p.amps.high()
		switch {
		case high.v < least:
			t.tripBySense(p.volts.low(), r.high(), high, p, part, "at most")
		case low.v > most:
			t.tripBySense(p.volts.high(), r.low(), low, p, part, "at least")
		}
	}
}

// tripBySense reports a trip current that v across r does not give.
func (t *table) tripBySense(v, r, i number, p pair, part bool, word string) {
	amps := show(v.v/r.v, quantity.Current)
	do := "measure the resistance between B− and the sense input at a few amperes, and the trip current"
	if !part {
		do += "; if the sense input sees only a part of the path, state that part as sensed"
	}
	t.add(report{
		code: TripBySense, level: finding.Error, at: p.amps, by: []number{v, r, i},
		text: sprintf("%s across %s is %s, but %s %s is stated", v.text, r.text, amps, word, i.text),
		sum:  []string{sprintf("%s ÷ %s = %s", v.text, r.text, amps)},
		do:   do,
	})
}

// tripAboveWholePath takes a path that has only a maximum: what is sensed is
// at most all of it.
func (t *table) tripAboveWholePath() {
	r, ok := first(t.of(protection.Path, protection.Resistance))
	if !ok || !r.high().stated() {
		return
	}
	for _, p := range t.trips() {
		if v, most := p.volts.low(), p.amps.high(); most.v < v.v/r.high().v {
			t.tripBySense(v, r.high(), most, p, false, "at most")
		}
	}
}

// slack lets rounded figures pass: 1 %.
const slack = 1.01

// spreadsOfTrip is the rule SpreadsOfTrip: one resistance carries the spread of
// the sense voltage over to the current.
func spreadsOfTrip(t *table) {
	for _, p := range t.trips() {
		v, i := p.volts, p.amps
		if !v.both() || !i.both() || !(v.q.Min > 0 && i.q.Min > 0) || v.q.Max/v.q.Min <= slack*i.q.Max/i.q.Min {
			continue
		}
		ohms := v.q.Nominal() / i.q.Nominal()
		r := show(ohms, quantity.Resistance)
		low, high := show(v.q.Min/ohms, quantity.Current), show(v.q.Max/ohms, quantity.Current)
		t.add(report{
			code: SpreadsOfTrip, level: finding.Error, at: i,
			by: []number{v.low(), v.high(), i.low(), i.high()},
			text: sprintf("a sense voltage of %s to %s spreads the trip from %s to %s, but %s to %s is stated",
				v.low().text, v.high().text, low, high, i.low().text, i.high().text),
			sum: []string{
				sprintf("%s ÷ %s = %s", v.nominal().text, i.nominal().text, r),
				sprintf("%s ÷ %s = %s", v.low().text, r, low), sprintf("%s ÷ %s = %s", v.high().text, r, high),
			},
			do: "take the wider spread, which the sense voltage gives; ask which of the two was measured",
		})
	}
}

// loose is how many times the resistance that a trip implies a path's maximum
// may be: both banks, a shunt and copper are two to three times the part that
// is sensed, and hot another half (common practice, no source).
const loose = 5

// loosePath is the rule LoosePath: a maximum of the path far above what the
// trip implies.
func loosePath(t *table) {
	r, ok := first(t.of(protection.Path, protection.Resistance))
	trips := stagesOne(t.trips())
	if !ok || len(trips) == 0 || !math.IsNaN(r.q.Typ) || !r.high().stated() {
		return
	}
	v, i := trips[0].volts.high(), trips[0].amps.low()
	most := v.v / i.v
	if !(r.high().v > loose*most) {
		return
	}
	implied, trip := show(most, quantity.Resistance), show(v.v/r.high().v, quantity.Current)
	t.add(report{
		code: LoosePath, level: finding.Warning, at: r, by: []number{r.high(), v, i},
		text: sprintf("a path of up to %s is stated, but a trip at %s implies %s at most between B− and the sense input",
			r.high().text, i.text, implied),
		sum: []string{
			sprintf("%s ÷ %s = %s", v.text, i.text, implied),
			sprintf("with all of %s sensed it would trip at %s ÷ %s = %s", r.high().text, v.text, r.high().text, trip),
		},
		do: "do not reckon heat from that maximum; measure the path with four wires",
	})
}

func stagesOne(ps []pair) []pair {
	var out []pair
	for _, p := range ps {
		if p.amps.stage == "" || p.amps.stage == "1" {
			out = append(out, p)
		}
	}
	return out
}

// stages is the rule StagesOutOfOrder: each faster stage acts at more.
func stages(t *table) {
	for _, q := range []protection.Quantity{protection.Detect, protection.SensedVoltage} {
		var before figure
		for _, w := range stageWords {
			f, ok := first(t.staged(q, w))
			if !ok {
				continue
			}
			if before.name != "" && f.nominal().v <= before.nominal().v {
				t.add(report{
					code: StagesOutOfOrder, level: finding.Error, at: f, by: []number{before.nominal(), f.nominal()},
					text: sprintf("%s is %s, not above %s of the slower stage", f.name, f.nominal().text, before.nominal().text),
					sum:  []string{sprintf("%s ≤ %s", f.nominal().text, before.nominal().text)},
					do:   "ask which stage is which; the faster one can never act else",
				})
			}
			before = f
		}
	}
}
