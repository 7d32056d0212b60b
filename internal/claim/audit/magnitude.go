package audit

import (
	"math"

	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/protection"
)

// usual is what figures of boards for 2 to 24 cells lie between, in SI units,
// wide enough for every such board (common practice, no source). A figure
// beyond it has the wrong prefix or speaks of something else.
var usual = map[row]struct{ from, to float64 }{
	{protection.Overcharge, protection.Detect}:       {2.5, 4.7},
	{protection.Overcharge, protection.ReleaseAt}:    {2.4, 4.6},
	{protection.Overcharge, protection.Delay}:        {5e-3, 60},
	{protection.Overdischarge, protection.Detect}:    {1, 3.7},
	{protection.Overdischarge, protection.ReleaseAt}: {1.2, 3.9},
	{protection.Overdischarge, protection.Delay}:     {1e-3, 30},

	{protection.DischargeOvercurrent, protection.SensedVoltage}: {5e-3, 1.5},
	{protection.DischargeOvercurrent, protection.Detect}:        {0.1, 2000},
	{protection.DischargeOvercurrent, protection.Delay}:         {100e-6, 10},
	{protection.ChargeOvercurrent, protection.SensedVoltage}:    {5e-3, 1.5},
	{protection.ChargeOvercurrent, protection.Detect}:           {0.05, 1000},
	{protection.ChargeOvercurrent, protection.Delay}:            {100e-6, 10},
	{protection.LoadShort, protection.Delay}:                    {1e-6, 20e-3},

	{protection.Balance, protection.Start}:         {2.2, 4.6},
	{protection.Balance, protection.Stop}:          {2.1, 4.6},
	{protection.Balance, protection.Current}:       {500e-6, 10},
	{protection.Path, protection.Resistance}:       {100e-6, 0.5},
	{protection.SupplyCurrent, protection.Current}: {5e-9, 5e-3},
}

// magnitude is the rule MagnitudeOff: a figure thousands of times off, or one
// of the pack where a cell is spoken of.
func magnitude(t *table) {
	for _, c := range t.sheet.Claims {
		band, known := usual[row{c.Protection, c.Quantity}]
		f := ofClaim(c)
		v := f.q.Nominal()
		if !known || c.Kind != claim.Stated || c.None || math.IsNaN(v) || v >= band.from && v <= band.to {
			continue
		}
		r := report{
			code: MagnitudeOff, level: finding.Error, at: f, by: []number{f.nominal()},
			text: sprintf("%s: %s is outside what any such board has", f.name, f.nominal().text),
			sum:  []string{sprintf("%s against %s to %s", f.nominal().text, show(band.from, f.q.Dim), show(band.to, f.q.Dim))},
			do:   "look at the print again; ask for the unit",
		}
		t.explain(&r, f, v, band.from, band.to)
		t.add(r)
	}
}

// explain looks for what may have been meant.
func (t *table) explain(r *report, f figure, v, from, to float64) {
	for _, k := range []float64{1e-3, 1e3, 1e-6, 1e6} {
		if v*k >= from && v*k <= to {
			r.do = sprintf("look at the prefix: %s would be usual", show(v*k, f.q.Dim))
			return
		}
	}
	if n := t.cells(); n > 1 && v/float64(n) >= from && v/float64(n) <= to && f.q.Dim.Unit() == "V" {
		r.sum = append(r.sum, sprintf("%s ÷ %d = %s", f.nominal().text, n, show(v/float64(n), f.q.Dim)))
		r.do = "it may speak of the whole pack; write what one cell gets"
	}
}

// cellCount is the rule CellsDiffer.
func cellCount(t *table) {
	c := t.sheet.About.Cells
	if c.N == 0 || t.facts.Cells == 0 || c.N == t.facts.Cells {
		return
	}
	t.list.Add(finding.Finding{
		Code: CellsDiffer, Level: finding.Error, Place: c.Place,
		Text: sprintf("the table is of %d cells, the board has %d", c.N, t.facts.Cells),
		Do:   "find out whether the table is of this board at all",
		Figures: []finding.Figure{
			{Name: "cells of the table", Value: float64(c.N)}, {Name: "cells of the board", Value: float64(t.facts.Cells)},
		},
		Arithmetic: sprintf("%d ≠ %d", c.N, t.facts.Cells),
	})
}
