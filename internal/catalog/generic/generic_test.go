package generic

import (
	"math"
	"regexp"
	"testing"

	"cupel/internal/catalog"
	"cupel/internal/catalog/sheetfile"
	"cupel/internal/finding"
	"cupel/internal/quantity"
)

func TestEverySheetReadsWithoutAFinding(t *testing.T) {
	names := Names()
	if len(names) < 70 {
		t.Errorf("%d sheets, want at least 70", len(names))
	}
	for _, name := range names {
		src, _ := Text(name)
		var list finding.List
		s := sheetfile.Read(name+".yaml", src, &list)
		for _, f := range list {
			t.Errorf("%s", f)
		}
		if s.Name != name {
			t.Errorf("%s: names itself %s", name, s.Name)
		}
	}
}

// inVolts finds the first figure that is three numbers and V.
var inVolts = regexp.MustCompile(`(?m)^  (\w+): \{?(?:value: )?([0-9.]+)/([0-9.]+)/([0-9.]+) V`)

// TestAFigureIsAsWritten reads one figure of each sheet's text by another way.
func TestAFigureIsAsWritten(t *testing.T) {
	checked := 0
	for _, name := range Names() {
		src, _ := Text(name)
		m := inVolts.FindStringSubmatch(string(src))
		if m == nil {
			continue
		}
		s, _ := Sheet(name)
		f := s.Figures[m[1]].Value
		for i, got := range []float64{f.Min, f.Typ, f.Max} {
			want, err := quantity.Parse(m[2+i]+" V", quantity.Voltage)
			if err != nil || got != want.Nominal() {
				t.Errorf("%s: %s[%d] = %g, text says %s V", name, m[1], i, got, m[2+i])
			}
		}
		checked++
	}
	if checked < 60 {
		t.Errorf("only %d sheets have a figure that this test can read", checked)
	}
}

func TestPackageCoversPins(t *testing.T) {
	for _, name := range Names() {
		s, _ := Sheet(name)
		for _, p := range s.Pins {
			if len(s.Package.Pads[p]) == 0 {
				t.Errorf("%s: pin %s lies on no pad", name, p)
			}
		}
	}
}

// The table of check values A9; the B value between two of its points is
// stated there as 3379.295 K and 3434.077 K.
func TestThermistorCurve(t *testing.T) {
	s, ok := Sheet("ntc-10k-b3435")
	if !ok || len(s.Curve.Points) != 18 || s.Curve.Source == "" {
		t.Fatalf("curve %v", s.Curve)
	}
	at := map[float64]float64{}
	for _, p := range s.Curve.Points {
		at[math.Round(p.Kelvin-273.15)] = p.Ohms
	}
	for upper, want := range map[float64]float64{50: 3379.295, 85: 3434.077} {
		got := math.Log(at[25]/at[upper]) / (1/298.15 - 1/(upper+273.15))
		if math.Abs(got-want) > 0.001 {
			t.Errorf("B25/%g = %g K, want %g K", upper, got, want)
		}
	}
}

// An upper part of a chain can see no charger: what stands there must let go
// by voltage.
func TestAutoPartsReleaseByVoltage(t *testing.T) {
	for _, name := range Names() {
		s, _ := Sheet(name)
		if s.Kind != catalog.CellProtector || !regexp.MustCompile(`-auto$`).MatchString(name) {
			continue
		}
		for rule, want := range map[string]string{"ov_release": "voltage", "uv_auto": "yes", "power_down": "no"} {
			if got, _ := s.Rule(rule); got != want {
				t.Errorf("%s: %s is %s, want %s", name, rule, got, want)
			}
		}
	}
}
