package audit

import (
	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// The limits of a cell where its maker's are not given (common practice, no
// source). LCO and NMC share theirs.
var usualLimits = map[string]struct{ lowest, highest float64 }{
	claim.NMC: {2.5, 4.30}, claim.LCO: {2.5, 4.30}, claim.LFP: {2.0, 3.75}, claim.LTO: {1.5, 2.90},
}

// limit is one end of what a cell stands, and who says so.
type limit struct {
	number
	by    string
	maker bool
}

// lowest is what no cell may fall below: by its maker, by the user, by usage.
func (t *table) lowest() (limit, bool) {
	if f := t.sheet.About.Cell.Lowest; f.Given() {
		return limit{ofFact("cell's lowest voltage", f).nominal(), "the maker of the cells", true}, true
	}
	for _, f := range t.required(protection.Overdischarge, protection.Detect) {
		if n := f.low(); n.stated() {
			return limit{n, "the requirement", true}, true
		}
	}
	kind, _ := t.kindOfCells()
	v, ok := usualLimits[kind]
	return usualLimit(v.lowest, kind), ok
}

// highest is what no cell may pass.
func (t *table) highest() (limit, bool) {
	if f := t.sheet.About.Cell.Highest; f.Given() {
		return limit{ofFact("cell's highest voltage", f).nominal(), "the maker of the cells", true}, true
	}
	for _, f := range t.required(protection.Overcharge, protection.Detect) {
		if n := f.high(); n.stated() {
			return limit{n, "the requirement", true}, true
		}
	}
	kind, _ := t.kindOfCells()
	v, ok := usualLimits[kind]
	return usualLimit(v.highest, kind), ok
}

func usualLimit(v float64, kind string) limit {
	return limit{
		number{v: v, text: show(v, quantity.Voltage), name: "usual limit of " + kind + " cells", dim: quantity.Voltage},
		"common practice for " + kind + " cells, without source,", false,
	}
}

// cellLowest is the rule BelowCell: overdischarge acts while the cell is well.
func cellLowest(t *table) {
	least, ok := t.lowest()
	if !ok {
		return
	}
	for _, uv := range t.of(protection.Overdischarge, protection.Detect) {
		if n := uv.low(); n.stated() && n.v < least.v {
			t.beyondCell(BelowCell, uv, n, least, "<", uv.nominal().v < least.v)
		}
	}
}

// cellHighest is the rule AboveCell.
func cellHighest(t *table) {
	most, ok := t.highest()
	if !ok {
		return
	}
	for _, ov := range t.of(protection.Overcharge, protection.Detect) {
		if n := ov.high(); n.stated() && n.v > most.v {
			t.beyondCell(AboveCell, ov, n, most, ">", ov.nominal().v > most.v)
		}
	}
}

func (t *table) beyondCell(code string, f figure, n number, l limit, sign string, typical bool) {
	level := severity(typical)
	if !l.maker {
		level = finding.Note
	}
	t.add(report{
		code: code, level: level, at: f, by: []number{n, l.number},
		text: sprintf("%s may act at %s only, where %s allows %s", f.name, n.text, l.by, l.text),
		sum:  []string{sprintf("%s %s %s", n.text, sign, l.text)},
		do:   "hold it against the data of the very cells; they stand above any table of a board",
	})
}
