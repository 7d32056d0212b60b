package marking

import (
	"strings"
	"testing"

	"cupel/internal/quantity"
)

func TestSettle(t *testing.T) {
	for _, c := range []struct{ code, measured, want string }{
		{"100", "10.1 Ω", "agrees with 10 Ω (3 digits) alone"},
		{"100", "10 pF", "agrees with 10 pF (3 digits in pF) alone"},
		{"22R", "1.66 Ω", "agrees with 1.65 Ω (EIA-96) alone"},
		{"22R", "22.3 Ω", "agrees with 22 Ω (letter for the point) alone"},
		{"1M0", "1.01 mΩ", "agrees with 1 mΩ (M for milli, on a metal strip) alone"},
		{"472", "3.31 kΩ", "agrees with no reading: misread, a part of another kind, faulty, or measured with other parts across it; 3.3 kΩ would be marked 332 or 3301"},
		{"104", "100 kΩ", "agrees with 100 kΩ (3 digits) alone"},
		{"4n7", "4.7 kΩ", "measured a resistance, and no reading is one"},
		{"000", "0.03 Ω", "agrees with 0 Ω (jumper) alone"},
		{"000", "10 Ω", "agrees with no reading"},
		{"01R", "1 Ω", "agrees with 1 Ω (letter for the point) and with 1 Ω (EIA-96)"},
	} {
		m, err := Read(c.code)
		if err != nil {
			t.Fatal(err)
		}
		q, err := quantity.ParseAny(c.measured)
		if err != nil {
			t.Fatal(err)
		}
		if got := m.Settle(q); !strings.Contains(got, c.want) {
			t.Errorf("%s measured as %s: %s", c.code, c.measured, got)
		}
	}
}

// TestCompare: what a meter may show of a part that is sound.
func TestCompare(t *testing.T) {
	for _, c := range []struct {
		code string
		s    System
		v    float64
		want bool
	}{
		{"472", ThreeDigits, 4935, true}, // 5 %
		{"472", ThreeDigits, 5100, false},
		{"4701", FourDigits, 4760, true},
		{"4701", FourDigits, 4935, false}, // 1 % and the meter's
		{"68X", EIA96, 50.3, true},
		{"R005", LetterForPoint, 0.005, true},
		{"R005", LetterForPoint, 0.1, false}, // two wires and a hand-held meter show their leads
	} {
		m, err := Read(c.code)
		if err != nil {
			t.Fatal(err)
		}
		r, _ := find(m, c.s)
		if f := r.Compare(quantity.Exact(quantity.Resistance, c.v)); f.Agrees != c.want || !f.Comparable {
			t.Errorf("%s measured as %g: %+v", c.code, c.v, f)
		}
	}
}
