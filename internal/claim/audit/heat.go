package audit

import (
	"math"

	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// Assumptions of the estimate of a board's heat, printed with it.
const (
	transfer   = 10.0   // W/m²K, still air, from each of both sides (common practice, no source)
	fair       = 373.15 // K, 100 °C: a fair limit of a board (common practice, no source)
	solder     = 490.15 // K, 217 °C: the usual solder melts (from memory: SnAgCu)
	room       = 298.15 // K, where no ambient is stated
	zeroDegree = 273.15 // K
)

// heat is the rule TooHot: I²R spread over both sides of the board. It is an
// estimate; copper, air and neighbours may halve or double it.
func heat(t *table) {
	size := t.sheet.About.Size
	r, ok := first(t.of(protection.Path, protection.Resistance))
	if !ok || !size.Given() {
		return
	}
	ohms := r.high()
	if !math.IsNaN(r.q.Typ) {
		ohms = r.number(r.q.Typ, "")
	}
	if !ohms.stated() {
		return
	}
	area := 2 * size.Length * size.Width
	for _, i := range t.continuous() {
		amps := i.nominal()
		watts := amps.v * amps.v * ohms.v
		ambient := room
		if i.named {
			ambient = i.at
		}
		if rise := watts / (transfer * area); ambient+rise > fair {
			t.tooHot(i, amps, ohms, watts, area, rise, ambient)
		}
	}
}

func (t *table) tooHot(i figure, amps, ohms number, watts, area, rise, ambient float64) {
	size, power := t.sheet.About.Size, show(watts, quantity.Power)
	up := show(round(rise, 2), quantity.TemperatureDifference) // an estimate bears no more digits
	best := show(round(math.Sqrt((fair-ambient)*transfer*area/ohms.v), 2), quantity.Current)
	t.add(report{
		code: TooHot, level: severity(ambient+rise > solder), at: i, by: []number{amps, ohms},
		text: sprintf("%s through %s burns %s: a board of %s gets about %s warmer than the air (an estimate)",
			amps.text, ohms.text, power, size.Text, up),
		sum: []string{
			sprintf("(%s)² × %s = %s", amps.text, ohms.text, power),
			sprintf("%s ÷ (%g W/m²K × %.3g m²) = %s, both sides in still air assumed", power, transfer, area, up),
		},
		do: sprintf("run it at %s until it is settled and look for the hottest spot; by this estimate %s keeps it at %g °C in air of %s",
			amps.text, best, fair-zeroDegree, show(ambient, quantity.Temperature)),
	})
}

// storage is the rule DrainsInStorage: t = Q ÷ I.
func storage(t *table) {
	a := t.sheet.About
	if !a.Storage.Given() {
		return
	}
	want := ofFact("storage", a.Storage).number(a.Storage.Value.Nominal(), "")
	reserve, assumed := ofFact("reserve", a.Reserve), ""
	if !a.Reserve.Given() {
		q, _ := quantity.Parse(assumedReserve, quantity.Charge)
		reserve, assumed = figure{name: "reserve, assumed", q: q}, " (a reserve of "+assumedReserve+" is assumed)"
	}
	for _, f := range t.of(protection.SupplyCurrent, protection.Current) {
		drain, charge := f.high(), reserve.low()
		if !charge.stated() {
			charge = reserve.nominal()
		}
		days := charge.v / drain.v
		if t.resting(f) && days < want.v*(1-1e-9) {
			t.drains(f, drain, charge, want, days, assumed)
		}
	}
}

// assumedReserve is what a cell may lose where nothing is stated (own choice,
// 4 % of a 2.5 A·h cell).
const assumedReserve = "100 mA·h"

// resting reports whether a supply current is that of the board on the shelf.
func (t *table) resting(f figure) bool {
	for _, c := range t.sheet.Claims {
		if c.Place == f.place {
			return c.State == "" || c.State == "idle"
		}
	}
	return false
}

func (t *table) drains(f figure, drain, charge, want number, seconds float64, assumed string) {
	lasts := span(seconds)
	t.add(report{
		code: DrainsInStorage, level: severity(!math.IsNaN(f.low().v) && charge.v/f.low().v < want.v), at: f,
		by:   []number{drain, charge, want},
		text: sprintf("%s empties %s in %s, but %s of storage is stated%s", drain.text, charge.text, lasts, want.text, assumed),
		sum:  []string{sprintf("%s ÷ %s = %s", charge.text, drain.text, lasts)},
		do:   "measure the current in each tap, resting; store the pack with the board unplugged if it is so",
	})
}

const day = 86400.0 // s

// span prints a long time in days, a short one in hours.
func span(seconds float64) string {
	if seconds < 2*day {
		return show(seconds, quantity.Time)
	}
	return sprintf("%g d", round(seconds/day, 3))
}
