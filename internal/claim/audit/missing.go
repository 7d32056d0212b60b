package audit

import (
	"math"
	"strings"

	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/protection"
)

// expected is one row that a table of a board should have, by any of several
// quantities. A protection stated as none has all its rows.
type expected struct {
	of protection.Trial
	by []protection.Quantity
}

var wanted = []expected{
	{protection.Overcharge, []protection.Quantity{protection.Detect}},
	{protection.Overcharge, []protection.Quantity{protection.Delay}},
	{protection.Overdischarge, []protection.Quantity{protection.Detect}},
	{protection.Overdischarge, []protection.Quantity{protection.Delay}},
	{protection.DischargeOvercurrent, []protection.Quantity{protection.Detect, protection.Current}},
	{protection.DischargeOvercurrent, []protection.Quantity{protection.SensedVoltage}},
	{protection.DischargeOvercurrent, []protection.Quantity{protection.Delay}},
	{protection.ChargeOvercurrent, []protection.Quantity{protection.Detect, protection.SensedVoltage, protection.Current}},
	{protection.LoadShort, []protection.Quantity{protection.Delay, protection.TimeToOff}},
	{protection.Balance, []protection.Quantity{protection.Start}},
	{protection.Balance, []protection.Quantity{protection.Current}},
	{protection.Temperature, []protection.Quantity{protection.CutTemperature, protection.CutResistance}},
	{protection.Path, []protection.Quantity{protection.Resistance}},
	{protection.SupplyCurrent, []protection.Quantity{protection.Current, protection.CellCurrent}},
	{protection.Continuous, []protection.Quantity{protection.Current}},
	{protection.Continuous, []protection.Quantity{protection.ChargeVoltage}},
}

// rowsMissing is the rule RowsMissing.
func rowsMissing(t *table) {
	var missing []string
	for _, w := range wanted {
		if !t.says(w) {
			missing = append(missing, protection.Name(w.of, w.by[0]))
		}
	}
	t.missing(RowsMissing, "the table does not say: ", missing, "ask for them, or state none where the board does not do it")
}

func (t *table) says(w expected) bool {
	for _, c := range t.sheet.Claims {
		if c.Kind != claim.Stated || c.Protection != w.of {
			continue
		}
		if c.None {
			return true
		}
		for _, q := range w.by {
			if c.Quantity == q {
				return true
			}
		}
	}
	return false
}

// missing adds a note about what is not there, if anything is.
func (t *table) missing(code, text string, what []string, do string) {
	if len(what) > 0 {
		t.list.Add(finding.Finding{
			Code: code, Level: finding.Note, Place: t.sheet.Place, Text: text + strings.Join(what, ", "), Do: do,
		})
	}
}

// releaseMissing is the rule ReleaseMissing: how does each protection that the
// board has come back.
func releaseMissing(t *table) {
	var missing []string
	for _, p := range claim.Released {
		_, word := t.sheet.About.Release[p]
		volts := len(t.of(p, protection.ReleaseAt)) > 0
		if !word && !volts && t.has(p) {
			missing = append(missing, p.Label())
		}
	}
	t.missing(ReleaseMissing, "nothing says how these come back: ", missing,
		"try each: load away, charger on, charger away; state what works under release")
}

// has reports whether any figure is stated of a protection.
func (t *table) has(p protection.Trial) bool {
	for _, c := range t.sheet.Claims {
		if c.Kind == claim.Stated && c.Protection == p && !c.None {
			return true
		}
	}
	return false
}

// temperatureMissing is the rule TemperatureMissing: a current without an
// ambient, thresholds without any temperature at all.
func temperatureMissing(t *table) {
	named := false
	for _, c := range t.sheet.Claims {
		named = named || !math.IsNaN(c.At) && c.Kind == claim.Stated
	}
	for _, f := range t.of(protection.Continuous, protection.Current) {
		if !f.named {
			t.list.Add(finding.Finding{
				Code: TemperatureMissing, Level: finding.Note, Place: f.place,
				Text: sprintf("%s is stated without an ambient temperature", f.name), Do: "ask for it; a current means nothing without it",
			})
		}
	}
	if !named {
		t.missing(TemperatureMissing, "no figure names the temperature it holds at", []string{""}, "ask for it; 25 °C is assumed")
	}
}

// limited lists the figures that are of use with limits only.
var limited = map[row]bool{
	{protection.Overcharge, protection.Detect}:                  true,
	{protection.Overcharge, protection.Delay}:                   true,
	{protection.Overcharge, protection.ReleaseAt}:               true,
	{protection.Overdischarge, protection.Detect}:               true,
	{protection.Overdischarge, protection.Delay}:                true,
	{protection.Overdischarge, protection.ReleaseAt}:            true,
	{protection.DischargeOvercurrent, protection.Detect}:        true,
	{protection.DischargeOvercurrent, protection.SensedVoltage}: true,
	{protection.DischargeOvercurrent, protection.Delay}:         true,
	{protection.LoadShort, protection.Delay}:                    true,
	{protection.Balance, protection.Start}:                      true,
	{protection.Path, protection.Resistance}:                    true,
	{protection.SupplyCurrent, protection.Current}:              true,
}

// limitsMissing is the rule LimitsMissing: a bare figure meets nothing.
func limitsMissing(t *table) {
	for _, c := range t.sheet.Claims {
		f := ofClaim(c)
		if c.Kind != claim.Stated || c.None || f.limited() || !limited[row{c.Protection, c.Quantity}] {
			continue
		}
		t.add(report{
			code: LimitsMissing, level: finding.Note, at: f, by: []number{f.nominal()},
			text: sprintf("%s of %s is stated without limits: no board can meet or fail it", f.name, f.nominal().text),
			do:   "ask for minimum and maximum",
		})
	}
}

// samplesMissing is the rule SamplesMissing.
func samplesMissing(t *table) {
	if t.sheet.About.Samples.N == 0 {
		t.missing(SamplesMissing, "nothing says how many boards the figures were taken from", []string{""},
			"ask; state it under samples")
	}
}

// cellLimitsMissing is the rule CellLimitsMissing.
func cellLimitsMissing(t *table) {
	c := t.sheet.About.Cell
	var missing []string
	if !c.Highest.Given() && len(t.required(protection.Overcharge, protection.Detect)) == 0 {
		missing = append(missing, "highest voltage")
	}
	if !c.Lowest.Given() && len(t.required(protection.Overdischarge, protection.Detect)) == 0 {
		missing = append(missing, "lowest voltage")
	}
	t.missing(CellLimitsMissing, "the limits of the cells themselves are not given: ", missing,
		"take them from the data of the very cells and state them under cell; they stand above every usual band")
}
