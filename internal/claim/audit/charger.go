package audit

import (
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// charger is the stated voltage of the charger.
func (t *table) charger() (figure, bool) {
	return first(t.of(protection.Continuous, protection.ChargeVoltage))
}

// chargerAboveOvercharge is the rule ChargerAboveOvercharge: the charger, not
// the board, ends the charge.
func chargerAboveOvercharge(t *table) {
	charger, ok := t.charger()
	n := float64(t.cells())
	if !ok || n == 0 {
		return
	}
	for _, ov := range t.of(protection.Overcharge, protection.Detect) {
		least, v := ov.low(), charger.high()
		if typ := charger.nominal(); typ.v > n*least.v*(1+1e-9) {
			v = typ
		}
		if least.stated() && v.v > n*least.v*(1+1e-9) {
			t.chargerAbove(charger, v, least, charger.nominal().v > n*least.v*(1+1e-9))
			return
		}
	}
}

func (t *table) chargerAbove(charger figure, v, least number, typical bool) {
	n := t.cells()
	each := show(v.v/float64(n), quantity.Voltage)
	t.add(report{
		code: ChargerAboveOvercharge, level: severity(typical), at: charger, by: []number{v, least},
		text: sprintf("a charger of %s gives each of %d cells %s, but overcharge may act at %s: the cut-off ends the charge, not the charger",
			v.text, n, each, least.text),
		sum: []string{sprintf("%s ÷ %d = %s > %s", v.text, n, each, least.text)},
		do:  sprintf("ask for the charger's end voltage; no more than %d × %s = %s", n, least.text, show(least.v*float64(n), quantity.Voltage)),
	})
}

// fullVoltage is what a full cell is charged to (common practice, no source).
var fullVoltage = map[string]struct{ low, high float64 }{
	"NMC": {4.10, 4.20}, "LCO": {4.10, 4.20}, "LFP": {3.50, 3.65}, "LTO": {2.60, 2.80},
}

// charging is how far a charger's end voltage may be from that, as a part:
// ±0.5 % is what common chargers keep (common practice, no source).
const charging = 0.005

// chargerAgainstFull is the rule ChargerAgainstFull: N full cells.
func chargerAgainstFull(t *table) {
	charger, ok := t.charger()
	n := float64(t.cells())
	kind, _ := t.kindOfCells()
	band, known := fullVoltage[kind]
	if !ok || n == 0 || !known || t.told(ChargerAboveOvercharge) {
		return
	}
	v := charger.nominal()
	each := v.v / n
	what, limit, level := "more than a full "+kind+" cell stands for long", band.high, finding.Warning
	if h := t.sheet.About.Cell.Highest; h.Given() {
		what, limit = "more than its maker allows", h.Value.Nominal()
	}
	if each < band.low*(1-charging) {
		what, limit, level = "and no "+kind+" cell is ever full", band.low, finding.Note
	} else if each <= limit*(1+charging) {
		return
	}
	t.add(report{
		code: ChargerAgainstFull, level: level, at: charger, by: []number{v},
		text: sprintf("a charger of %s gives each of %g cells %s, %s", v.text, n, show(each, quantity.Voltage), what),
		sum:  []string{sprintf("%s ÷ %g = %s against %s", v.text, n, show(each, quantity.Voltage), show(limit, quantity.Voltage))},
		do:   "ask for the charger's end voltage and the cells' data",
	})
}

// told reports whether a finding of that code is there already.
func (t *table) told(code string) bool {
	for _, f := range *t.list {
		if f.Code == code {
			return true
		}
	}
	return false
}

// balanceOutOfReach is the rule BalanceOutOfReach: all cells must come to where
// they are balanced.
func balanceOutOfReach(t *table) {
	charger, ok := t.charger()
	n := float64(t.cells())
	start, balanced := first(t.of(protection.Balance, protection.Start))
	if !ok || !balanced || n == 0 {
		return
	}
	v, b := charger.nominal(), start.nominal()
	by, sum := []number{b, v}, sprintf("%g × %s", n, b.text)
	lost := 0.0
	if d := t.sheet.About.ChargeDrop; d.Given() {
		drop := ofFact("charger's drop", d).nominal()
		lost = drop.v
		by, sum = append(by, drop), sum+" + "+drop.text
	}
	need := n*b.v + lost
	if need <= v.v*(1+1e-9) {
		return
	}
	t.add(report{
		code: BalanceOutOfReach, level: finding.Error, at: charger, by: by,
		text: sprintf("balancing all cells asks for %s, the charger gives %s: it never ends", show(need, quantity.Voltage), v.text),
		sum:  []string{sum + sprintf(" = %s > %s", show(need, quantity.Voltage), v.text)},
		do:   "ask for the charger's end voltage at the board's pads; balancing works for single high cells only",
	})
}

// balanceAboveOvercharge is the rule BalanceAboveOvercharge, at the corners.
func balanceAboveOvercharge(t *table) {
	for _, bal := range t.of(protection.Balance, protection.Start) {
		for _, ov := range t.of(protection.Overcharge, protection.Detect) {
			b, least := bal.high(), ov.low()
			if !alike(bal, ov) || !(b.v >= least.v) {
				continue
			}
			t.add(report{
				code:  BalanceAboveOvercharge,
				level: severity(bal.nominal().v >= least.v || b.v >= ov.nominal().v), at: bal, by: []number{b, least},
				text: sprintf("balancing may start at %s, but overcharge may act at %s: such a cell is cut off before it is balanced",
					b.text, least.text),
				sum: []string{sprintf("%s ≥ %s", b.text, least.text)},
				do:  "raise each cell slowly with the charger on: does it bleed before the charge is cut",
			})
		}
	}
}

// bleedSpread is how far a stated bleed current without limits may be from
// V ÷ R, as a part (own choice).
const bleedSpread = 0.2

// bleedCurrent is the rule BleedCurrent: I = V ÷ R.
func bleedCurrent(t *table) {
	a := t.sheet.About
	v, ok := t.bleedVoltage()
	i, stated := first(t.of(protection.Balance, protection.Current))
	if !ok || !stated || !a.BleedResistor.Given() {
		return
	}
	r := ofFact("bleed resistor", a.BleedResistor)
	low, high := i.low().v, i.high().v
	if bare(i.q) {
		low, high = i.q.Nominal()*(1-bleedSpread), i.q.Nominal()*(1+bleedSpread)
	}
	least, most := v.low().v/r.high().v, v.high().v/r.low().v
	if !(high < least || low > most) {
		return
	}
	volts, ohms, amps := v.nominal(), r.nominal(), i.nominal()
	is := show(volts.v/ohms.v, quantity.Current)
	t.add(report{
		code: BleedCurrent, level: finding.Error, at: i, by: []number{volts, ohms, amps},
		text: sprintf("%s across %s is %s, but %s is stated", volts.text, ohms.text, is, amps.text),
		sum:  []string{sprintf("%s ÷ %s = %s", volts.text, ohms.text, is)},
		do:   "measure the bleed resistor with the board unplugged, and the current of one tap while it balances",
	})
}

// bleedVoltage is the cell voltage that bleeding begins at.
func (t *table) bleedVoltage() (figure, bool) {
	if f, ok := first(t.of(protection.Balance, protection.Start)); ok {
		return f, true
	}
	return first(t.of(protection.Overcharge, protection.Detect))
}

// derated is the part of a resistor's rating that leaves it cool enough to last
// on a board (common practice, no source: 50 to 60 %).
const derated = 0.6

// bleedPower is the rule BleedPower: P = V² ÷ R, with the highest voltage a
// cell can have while it bleeds.
func bleedPower(t *table) {
	a := t.sheet.About
	v, ok := first(t.of(protection.Overcharge, protection.Detect))
	if !ok {
		v, ok = t.bleedVoltage()
	}
	if !ok || !a.BleedResistor.Given() || !a.BleedRating.Given() {
		return
	}
	volts := v.high()
	r, rating := ofFact("bleed resistor", a.BleedResistor).low(), ofFact("bleed resistor's rating", a.BleedRating).nominal()
	watts := volts.v * volts.v / r.v
	if !(watts > derated*rating.v*(1+1e-9)) {
		return
	}
	is, share := show(watts, quantity.Power), show(round(watts/rating.v, 3), quantity.Ratio)
	t.add(report{
		code: BleedPower, level: severity(watts > rating.v*(1+1e-9)), at: ofFact("", a.BleedResistor), by: []number{volts, r, rating},
		text: sprintf("%s across %s burns %s, %s of its %s; %g %% and less is usual", volts.text, r.text, is, share, rating.text, 100*derated),
		sum:  []string{sprintf("(%s)² ÷ %s = %s", volts.text, r.text, is)},
		do:   sprintf("look at the resistor's size and count; %s and more would do", show(volts.v*volts.v/(derated*rating.v), quantity.Resistance)),
	})
}
