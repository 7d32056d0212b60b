package audit

import (
	"math"
	"strings"

	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// order is the rule LimitsOutOfOrder: min ≤ typ ≤ max.
func order(t *table) {
	for _, c := range t.sheet.Claims {
		if !c.None {
			t.order(ofClaim(c))
		}
	}
	a := t.sheet.About
	for _, f := range []figure{
		ofFact("sensed resistance", a.Sensed), ofFact("fuse", a.Fuse), ofFact("bleed resistor", a.BleedResistor),
		ofFact("bleed resistor's rating", a.BleedRating), ofFact("storage", a.Storage), ofFact("reserve", a.Reserve),
		ofFact("charger's drop", a.ChargeDrop),
		ofFact("cell's highest voltage", a.Cell.Highest), ofFact("cell's lowest voltage", a.Cell.Lowest),
		ofFact("cells' discharge current", a.Cell.Discharge), ofFact("cells' charge current", a.Cell.Charge),
	} {
		if f.place.File != "" {
			t.order(f)
		}
	}
}

func (t *table) order(f figure) {
	least, typical, most := f.number(f.q.Min, "minimum"), f.number(f.q.Typ, "typical"), f.number(f.q.Max, "maximum")
	for _, p := range []struct {
		a, b  number
		words string
	}{{least, typical, "the typical figure"}, {typical, most, "the maximum"}, {least, most, "the maximum"}} {
		if !(p.a.v > p.b.v) {
			continue
		}
		t.add(report{
			code: LimitsOutOfOrder, level: finding.Error, at: f, by: []number{p.a, p.b},
			text: sprintf("%s: %s of %s lies below %s", f.name, p.words, p.b.text, p.a.text),
			sum:  []string{sprintf("%s < %s", p.b.text, p.a.text)},
			do:   "ask which of the figures is misprinted; until then take none of them as a limit",
		})
		return
	}
}

// row names a figure of the table.
type row struct {
	of protection.Trial
	q  protection.Quantity
}

// usualSpread is the widest half of the limits that tables state (common
// practice, no source): in the figure's unit, or as a part of the figure.
var usualSpread = map[row]struct {
	half     float64
	relative bool
}{
	{protection.Overcharge, protection.Detect}:       {half: 0.05},
	{protection.Overcharge, protection.ReleaseAt}:    {half: 0.1},
	{protection.Overdischarge, protection.Detect}:    {half: 0.1},
	{protection.Overdischarge, protection.ReleaseAt}: {half: 0.15},
	{protection.Balance, protection.Start}:           {half: 0.05},
	{protection.Balance, protection.Stop}:            {half: 0.05},

	{protection.DischargeOvercurrent, protection.SensedVoltage}: {half: 0.25, relative: true},
	{protection.DischargeOvercurrent, protection.Detect}:        {half: 0.25, relative: true},
	{protection.ChargeOvercurrent, protection.SensedVoltage}:    {half: 0.25, relative: true},
	{protection.ChargeOvercurrent, protection.Detect}:           {half: 0.3, relative: true},
}

// absurd is how many times the widest usual spread a spread is taken for a slip
// (own choice: a decimal slipped is ten times).
const absurd = 3

// spread is the rule SpreadAbsurd: a tolerance that says nothing any more.
func spread(t *table) {
	for _, c := range t.sheet.Claims {
		f := ofClaim(c)
		usual, known := usualSpread[row{c.Protection, c.Quantity}]
		if !known || c.Kind != claim.Stated || !f.both() || f.crossed() {
			continue
		}
		most := usual.half
		if usual.relative {
			most *= math.Abs(f.q.Nominal())
		}
		if f.half() > absurd*most {
			t.spread(f, most)
		}
	}
}

func (t *table) spread(f figure, usual float64) {
	low, high := f.low(), f.high()
	half := f.number(f.half(), "")
	half.from, half.name = "", f.name+", tolerance"
	if _, part, ok := tolerance(f.q.Text); ok && !strings.HasSuffix(part, "%") {
		half.text = part
	}
	limit := show(usual, f.q.Dim)
	r := report{
		code: SpreadAbsurd, level: finding.Error, at: f, by: []number{low, high, half},
		text: sprintf("%s: from %s to %s, the board may do anything between", f.name, low.text, high.text),
		sum:  []string{sprintf("(%s − %s) ÷ 2 = %s, %s and less is usual", high.text, low.text, half.text, limit)},
		do:   "ask for the tolerance, or measure some boards",
	}
	if right, ok := shifted(f.q, usual); ok {
		r.right = right
		r.do = "ask whether a decimal slipped; else measure some boards"
	}
	t.add(r)
}

// shifted is the figure with a tenth of its tolerance, where that is usual.
func shifted(q quantity.Quantity, usual float64) (string, bool) {
	value, part, ok := tolerance(q.Text)
	if !ok || strings.HasSuffix(part, "%") {
		return "", false
	}
	number := digits(part)
	tenth, err := quantity.Parse(number, quantity.None)
	if err != nil {
		return "", false
	}
	text := value + " ±" + show(tenth.Typ/10, quantity.None) + strings.TrimPrefix(part, number)
	right, err := quantity.ParseStated(text, q.Dim)
	return text, err == nil && (right.Max-right.Min)/2 <= usual
}
