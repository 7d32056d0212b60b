package claimfile

import (
	"os"
	"strings"
	"testing"

	"cupel/internal/claim"
	"cupel/internal/finding"
	"cupel/internal/finding/shape/shapetest"
	"cupel/internal/protection"

	yaml "go.yaml.in/yaml/v4"
)

const withAbout = `cupel: 1
figures:
  - {protection: overcharge, stated: 4.25 V ±0.025 V}
about:
  cells: 5
  chemistry: NMC
  size: 60 × 41 mm
  sensed: 2.5 mΩ ±1 %
  fets: 4
  fuse: 30 A
  bleed_resistor: 43 Ω
  bleed_rating: 1 W
  storage: 6 months
  reserve: 100 mA·h
  charge_drop: 0.6 V
  samples: 3
  cell: {highest: 4.25 V, lowest: 2.5 V, discharge: 20 A, charge: 5 A}
  release: {overcharge: voltage, load-short: load removed}
`

func TestReadsAbout(t *testing.T) {
	var list finding.List
	a := Read("claims.yaml", []byte(withAbout), 5, &list).About
	if len(list) != 0 {
		t.Fatalf("%v", list)
	}
	if a.Cells.N != 5 || a.Chemistry.Text != claim.NMC || a.FETs.N != 4 || a.Samples.N != 3 {
		t.Errorf("%+v", a)
	}
	if a.Size.Length != 0.060 || a.Size.Width != 0.041 || a.Size.Text != "60 × 41 mm" {
		t.Errorf("%+v", a.Size)
	}
	for name, c := range map[string]struct {
		f    claim.Fact
		want float64
	}{
		"sensed": {a.Sensed, 2.5e-3}, "fuse": {a.Fuse, 30}, "bleed resistor": {a.BleedResistor, 43}, "rating": {a.BleedRating, 1},
		"storage": {a.Storage, 6 * 2629800}, "reserve": {a.Reserve, 360}, "drop": {a.ChargeDrop, 0.6},
		"highest": {a.Cell.Highest, 4.25}, "lowest": {a.Cell.Lowest, 2.5}, "discharge": {a.Cell.Discharge, 20}, "charge": {a.Cell.Charge, 5},
	} {
		if !c.f.Given() || c.f.Value.Nominal() != c.want || c.f.Place.Line == 0 {
			t.Errorf("%s: %+v, want %g", name, c.f, c.want)
		}
	}
	if a.Release[protection.LoadShort].Text != "load removed" || a.Release[protection.Overcharge].Text != "voltage" || len(a.Release) != 2 {
		t.Errorf("%+v", a.Release)
	}
	var v any
	if err := yaml.Unmarshal([]byte(withAbout), &v); err != nil {
		t.Fatal(err)
	}
	if bad := shapetest.Check(Schema(), v); len(bad) != 0 {
		t.Errorf("%q", bad)
	}
}

// What is not stated is not given.
func TestAboutAbsent(t *testing.T) {
	var list finding.List
	a := Read("claims.yaml", []byte("cupel: 1\nfigures: []\n"), 5, &list).About
	if len(list) != 0 || a.Sensed.Given() || a.Size.Given() || a.Cells.N != 0 || a.Release != nil || a.Cell.Highest.Given() {
		t.Errorf("%v %+v", list, a)
	}
}

func TestSizes(t *testing.T) {
	for text, want := range map[string]float64{
		"60 x 41 mm": 0.060 * 0.041, "6 cm × 41 mm": 0.06 * 0.041, "60mm*41mm": 0.060 * 0.041, "60,5 × 41 mm": 0.0605 * 0.041,
		"60 mm": 0, "60 × 41": 0, "60 × 41 × 3 mm": 0, "60 × 41 V": 0, "0 × 41 mm": 0, "big": 0,
	} {
		var list finding.List
		s := Read("claims.yaml", []byte("cupel: 1\nfigures: []\nabout: {size: '"+text+"'}\n"), 5, &list).About.Size
		if d := s.Length*s.Width - want; d > 1e-12 || d < -1e-12 || (len(list) == 0) != (want > 0) {
			t.Errorf("%s: %+v, %v", text, s, list)
		}
		for _, f := range list {
			if f.Code != NotTwoSides || f.Do == "" {
				t.Errorf("%s: %+v", text, f)
			}
		}
	}
}

// The page on the format names every key.
func TestPageNamesEveryKey(t *testing.T) {
	page, err := os.ReadFile("../../../docs/dossier-format.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range append(append(aboutFields.Names(), cellFields.Names()...), releaseFields.Names()...) {
		if !strings.Contains(string(page), "`"+key+"`") {
			t.Errorf("the page does not name %s", key)
		}
	}
}
