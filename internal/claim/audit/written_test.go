package audit

import (
	"math"
	"testing"

	"cupel/internal/claim"
	"cupel/internal/claim/claimfile"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/quantity"

	"pgregory.net/rapid"
)

// Figures are printed as their writer wrote them, and what follows from them in
// the same unit, with the sum.
func TestWritten(t *testing.T) {
	for _, c := range []struct {
		text              string
		dim               quantity.Dimension
		low, typ, high    string
		lowFrom, highFrom string
	}{
		{"4.20/4.25/4.30 V", quantity.Voltage, "4.20 V", "4.25 V", "4.30 V", "", ""},
		{"4.17/4.12/4.23V", quantity.Voltage, "4.17 V", "4.12 V", "4.23V", "", ""},
		{"0.100 V", quantity.Voltage, "0.100 V", "0.100 V", "0.100 V", "", ""},
		{"25mV", quantity.Voltage, "25mV", "25mV", "25mV", "", ""},
		{"max 10 mΩ", quantity.Resistance, "", "10 mΩ", "10 mΩ", "", ""},
		{"min 2.4 typ 2.5 V", quantity.Voltage, "2.4 V", "2.5 V", "2.5 V", "", ""},
		{"10–300 ms", quantity.Time, "10 ms", "155 ms", "300 ms", "", ""},
		{"100 mV ±25 mV", quantity.Voltage, "75 mV", "100 mV", "125 mV", "100 mV − 25 mV = 75 mV", "100 mV + 25 mV = 125 mV"},
		{"80 ±10 A", quantity.Current, "70 A", "80 A", "90 A", "80 A − 10 A = 70 A", "80 A + 10 A = 90 A"},
		{"5 mΩ ±1 %", quantity.Resistance, "4.95 mΩ", "5 mΩ", "5.05 mΩ", "5 mΩ − 1 % = 4.95 mΩ", "5 mΩ + 1 % = 5.05 mΩ"},
		{"4,25 V ± 0,05 V", quantity.Voltage, "4.20 V", "4,25 V", "4.30 V", "4,25 V − 0,05 V = 4.20 V", "4,25 V + 0,05 V = 4.30 V"},
		{"0R005", quantity.Resistance, "0R005", "0R005", "0R005", "", ""},
		{"100 mA·h", quantity.Charge, "100 mA·h", "100 mA·h", "100 mA·h", "", ""},
		{"6 months", quantity.Time, "6 months", "6 months", "6 months", "", ""},
	} {
		q, err := quantity.ParseStated(c.text, c.dim)
		if err != nil {
			t.Fatal(err)
		}
		f := figure{name: "x", q: q}
		low, typ, high := f.low(), f.nominal(), f.high()
		if low.text != c.low || typ.text != c.typ || high.text != c.high {
			t.Errorf("%s: %q %q %q, want %q %q %q", c.text, low.text, typ.text, high.text, c.low, c.typ, c.high)
		}
		if low.from != c.lowFrom || high.from != c.highFrom {
			t.Errorf("%s: %q %q, want %q %q", c.text, low.from, high.from, c.lowFrom, c.highFrom)
		}
	}
}

// A table that is computed from one resistance is never accused of what that
// resistance explains, however its figures spread.
func TestTrueTablesPass(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		ohms := rapid.Float64Range(0.2e-3, 50e-3).Draw(r, "ohms")
		volts := rapid.Float64Range(0.02, 1).Draw(r, "volts")
		spread := rapid.Float64Range(0, 0.25).Draw(r, "spread")
		bleed := rapid.Float64Range(5, 500).Draw(r, "bleed")
		stated := func(d quantity.Dimension, v, by float64) quantity.Quantity {
			return quantity.Quantity{Dim: d, Min: v * (1 - by), Typ: v, Max: v * (1 + by)}
		}
		place := finding.Place{File: "claims.yaml", Line: 1, Column: 1}
		is := func(p protection.Trial, q protection.Quantity, v quantity.Quantity) claim.Claim {
			return claim.Claim{Protection: p, Quantity: q, Value: v, At: math.NaN(), Kind: claim.Stated, Place: place}
		}
		s := &claim.Sheet{Claims: []claim.Claim{
			is(protection.DischargeOvercurrent, protection.SensedVoltage, stated(quantity.Voltage, volts, spread)),
			is(protection.DischargeOvercurrent, protection.Detect, stated(quantity.Current, volts/ohms, spread)),
			is(protection.Balance, protection.Start, stated(quantity.Voltage, 4.18, 0)),
			is(protection.Balance, protection.Current, stated(quantity.Current, 4.18/bleed, spread)),
		}}
		s.About.Sensed = claim.Fact{Value: quantity.Exact(quantity.Resistance, ohms), Place: place}
		s.About.BleedResistor = claim.Fact{Value: quantity.Exact(quantity.Resistance, bleed), Place: place}
		for _, f := range Check(s, Facts{}) {
			switch f.Code {
			case TripBySense, SpreadsOfTrip, BleedCurrent:
				r.Fatalf("%s: %s [%s]", f.Code, f.Text, f.Arithmetic)
			}
		}
	})
}

// Trip corners of two FETs in series. 150 mV ±20 % and 2 × 8.5 mΩ, −15/+20 %, at 0.9 to 1.3 times by temperature: 4.5249
// to 13.8408 A (own sum of the check values; common practice, no source).
func TestTripCorners(t *testing.T) {
	text := func(trip string) string {
		return "cupel: 1\nfigures:\n" +
			"  - {protection: discharge-overcurrent, quantity: sensed_voltage, stated: 150 mV ±20 %}\n" +
			"  - {protection: discharge-overcurrent, quantity: detect, stated: " + trip + "}\n" +
			"about: {sensed: 13.005/17/26.52 mΩ}\n"
	}
	for trip, want := range map[string]bool{
		"2–4.52 A": true, "2–4.53 A": false, "13.84–30 A": false, "13.85–30 A": true,
		"8.8235 A": false, // cold, without spread
	} {
		found := false
		for _, f := range check(t, text(trip), 0) {
			found = found || f.Code == TripBySense
		}
		if found != want {
			t.Errorf("%s: found %v, want %v", trip, found, want)
		}
	}
}

// Nothing crashes the audit, and every finding is whole.
func FuzzCheck(f *testing.F) {
	f.Add(sound(f), 5)
	f.Add("cupel: 1\nfigures:\n  - {protection: overcharge, stated: 4,25 V ± 0,05 V}\n", 0)
	f.Fuzz(func(t *testing.T, text string, cells int) {
		var list finding.List
		s := claimfile.Read("claims.yaml", []byte(text), max(0, min(cells, 32)), &list)
		for _, x := range Check(s, Facts{Cells: max(0, min(cells, 32))}) {
			whole(t, x)
		}
	})
}
