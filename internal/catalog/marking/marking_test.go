package marking

import (
	"math"
	"strings"
	"testing"

	"cupel/internal/quantity"
	"pgregory.net/rapid"
)

// published holds marks with the values that public texts give them.
var published = []struct {
	code   string
	system System
	want   string
}{
	// EIA-96: a public multiplier table and chip-resistor data sheets.
	{"01Z", EIA96, "0.1 Ω"},
	{"01Y", EIA96, "1 Ω"},
	{"01X", EIA96, "10 Ω"},
	{"12X", EIA96, "13 Ω"},
	{"68X", EIA96, "49.9 Ω"},
	{"66X", EIA96, "47.5 Ω"},
	{"01A", EIA96, "100 Ω"},
	{"30A", EIA96, "200 Ω"},
	{"01B", EIA96, "1 kΩ"},
	{"11B", EIA96, "1.27 kΩ"},
	{"18B", EIA96, "1.5 kΩ"},
	{"01C", EIA96, "10 kΩ"},
	{"18C", EIA96, "15 kΩ"},
	{"24C", EIA96, "17.4 kΩ"}, // not 17.8, which is 25
	{"25C", EIA96, "17.8 kΩ"},
	{"01D", EIA96, "100 kΩ"},
	{"01E", EIA96, "1 MΩ"},
	{"96F", EIA96, "97.6 MΩ"},
	{"22S", EIA96, "16.5 Ω"},
	{"22H", EIA96, "1.65 kΩ"},
	// Three digits: public data sheets of chip resistors.
	{"103", ThreeDigits, "10 kΩ"},
	{"472", ThreeDigits, "4.7 kΩ"},
	{"681", ThreeDigits, "680 Ω"},
	{"220", ThreeDigits, "22 Ω"},
	{"153", ThreeDigits, "15 kΩ"},
	{"221", ThreeDigits, "220 Ω"},
	{"100", ThreeDigits, "10 Ω"},
	{"6R8", LetterForPoint, "6.8 Ω"},
	// Four digits: the same.
	{"1001", FourDigits, "1 kΩ"},
	{"1000", FourDigits, "100 Ω"},
	{"4702", FourDigits, "47 kΩ"},
	{"1271", FourDigits, "1.27 kΩ"},
	{"12R0", LetterForPoint, "12 Ω"},
	// Current sensing and links.
	{"R005", LetterForPoint, "5 mΩ"},
	{"R010", LetterForPoint, "10 mΩ"},
	{"0R005", LetterForPoint, "5 mΩ"},
	{"0", Jumper, "0 Ω"},
	{"000", Jumper, "0 Ω"},
	{"0000", Jumper, "0 Ω"},
	{"0R00", Jumper, "0 Ω"},
	// A letter in place of the point: IEC 60062, from memory.
	{"4K7", LetterForPoint, "4.7 kΩ"},
	{"R47", LetterForPoint, "470 mΩ"},
	{"5L0", LetterForPoint, "5 mΩ"},
	{"1M0", LetterForPoint, "1 MΩ"},
	{"10K", LetterForPoint, "10 kΩ"},
	{"4n7", LetterForPoint, "4.7 nF"},
	{"p33", LetterForPoint, "0.33 pF"},
	{"2µ2", LetterForPoint, "2.2 µF"},
	{"2u2", LetterForPoint, "2.2 µF"},
	// Capacitors: from memory, common practice.
	{"104", Picofarads, "100 nF"},
	{"475", Picofarads, "4.7 µF"},
	{"220", Picofarads, "22 pF"},
	{"229", Picofarads, "2.2 pF"},
	{"228", Picofarads, "0.22 pF"},
	{"104K", Picofarads, "100 nF"},
	// EIA-198: public lists, and their example S3.
	{"S3", EIA198, "4.7 nF"},
	{"A2", EIA198, "100 pF"},
	{"J5", EIA198, "220 nF"},
	{"A9", EIA198, "0.1 pF"},
	{"a4", EIA198, "25 nF"},
}

func TestPublishedMarks(t *testing.T) {
	for _, c := range published {
		m, err := Read(c.code)
		if err != nil {
			t.Error(err)
			continue
		}
		r, ok := find(m, c.system)
		if !ok {
			t.Errorf("%s has no reading by %s: %v", c.code, c.system, m.Readings)
			continue
		}
		want, err := quantity.ParseAny(c.want)
		if err != nil {
			t.Fatal(err)
		}
		if r.Value.Dim != want.Dim || r.Value.Typ != want.Typ {
			t.Errorf("%s by %s is %v, want %s", c.code, c.system, r.Value, c.want)
		}
	}
}

func find(m Mark, s System) (Reading, bool) {
	for _, r := range m.Readings {
		if r.System == s {
			return r, true
		}
	}
	return Reading{}, false
}

// TestAmbiguousMarks: all readings, the likeliest first, and what decides.
func TestAmbiguousMarks(t *testing.T) {
	for _, c := range []struct{ code, want string }{
		{"100", "10 Ω 10 pF"},
		{"1000", "100 Ω"},
		{"22R", "22 Ω 22 pF 1.65 Ω ±1 %"},
		{"1M0", "1 MΩ 1 mΩ"},
		{"5m0", "5 mΩ 5 mF"},
		{"100K", "100 kΩ 10 Ω ±10 % 10 pF ±10 %"},
		{"116", "11 MΩ 11 µF 910 Ω"},
		{"R5", "500 mΩ 0.50 pF 430 nF"},
		{"24C", "17.4 kΩ ±1 %"},
		{"4K7J", "4.7 kΩ ±5 %"},
		{"4R7", "4.7 Ω 4.7 pF"},
		{"2P2B", "2.1/2.2/2.3 pF"},
	} {
		m, err := Read(c.code)
		if err != nil {
			t.Error(err)
			continue
		}
		var got []string
		for _, r := range m.Readings {
			got = append(got, r.String())
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s reads as %s, want %s", c.code, s, c.want)
		}
		if (m.Decide != "") != (len(m.Readings) > 1) {
			t.Errorf("%s has %d readings and is decided by %q", c.code, len(m.Readings), m.Decide)
		}
	}
}

func TestNoMark(t *testing.T) {
	for code, want := range map[string]string{
		"":        "has to be measured",
		"00A":     "numbered 01 to 96",
		"97A":     "numbered 01 to 96",
		"10Q1":    "neither digits",
		"10T":     "letters Z Y R X S A B H C D E F",
		"AX":      "no digit",
		"047":     "no value begins with 0",
		"12":      "a digit or a letter is missing",
		"12345":   "three or four digits",
		"4k7Ω 5%": "longer than a mark",
		"R":       "no digit",
	} {
		m, err := Read(code)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v %v, want an error with %q", code, m.Readings, err, want)
		}
	}
	// 10G has no letter of EIA-96, but is 10 GΩ with a letter for the point.
	if m, err := Read("10G"); err != nil || len(m.Readings) != 1 || m.Readings[0].System == EIA96 {
		t.Errorf("10G: %v %v", m, err)
	}
}

func TestTolerances(t *testing.T) {
	for _, c := range []struct {
		code      string
		s         System
		low, high float64
	}{
		{"104K", Picofarads, 90e-9, 110e-9},
		{"104Z", Picofarads, 80e-9, 180e-9},
		{"103J", ThreeDigits, 9.5e3, 10.5e3},
		{"2P2B", LetterForPoint, 2.1e-12, 2.3e-12}, // under 10 pF the letter is picofarads
		{"01C", EIA96, 9.9e3, 10.1e3},
	} {
		m, err := Read(c.code)
		if err != nil {
			t.Fatal(err)
		}
		r, _ := find(m, c.s)
		if !near(r.Value.Min, c.low) || !near(r.Value.Max, c.high) {
			t.Errorf("%s: %g to %g, want %g to %g", c.code, r.Value.Min, r.Value.Max, c.low, c.high)
		}
	}
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Abs(b) }

// TestCodesReadBack: every mark that a value may bear reads as that value.
func TestCodesReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom([]string{"E24", "E96"}).Draw(t, "series")
		d := rapid.SampledFrom([]quantity.Dimension{quantity.Resistance, quantity.Capacitance}).Draw(t, "kind")
		n := rapid.SampledFrom(series[name]).Draw(t, "figures")
		exp := rapid.IntRange(-4, 5).Draw(t, "exponent")
		if d == quantity.Capacitance {
			exp -= 12
		}
		v := round(float64(n) * math.Pow10(exp))
		for _, code := range Codes(d, v) {
			m, err := Read(code)
			if err != nil {
				t.Fatalf("%g is marked %s: %v", v, code, err)
			}
			if !holds(m, d, v) {
				t.Fatalf("%g is marked %s, which reads as %v", v, code, m.Readings)
			}
		}
	})
}

func holds(m Mark, d quantity.Dimension, v float64) bool {
	for _, r := range m.Readings {
		if r.Value.Dim == d && near(r.Value.Typ, v) {
			return true
		}
	}
	return false
}

// TestEveryEIA96 goes through the whole code: each number is a value of E96 and
// a resistor that bears a code agrees with a meter that shows its value.
func TestEveryEIA96(t *testing.T) {
	seen := 0
	for letter := range eia96Exponents {
		for i, f := range series["E96"] {
			code := string(rune('0'+(i+1)/10)) + string(rune('0'+(i+1)%10)) + string(letter)
			m, err := Read(code)
			if err != nil {
				t.Fatal(err)
			}
			r, ok := find(m, EIA96)
			if !ok || !InSeries("E96", r.Value.Typ) {
				t.Errorf("%s is %v", code, m.Readings)
			}
			if got, _ := figures(r.Value.Typ); got != f {
				t.Errorf("%s has the figures %d, want %d", code, got, f)
			}
			if !r.Compare(quantity.Exact(quantity.Resistance, r.Value.Typ)).Agrees {
				t.Errorf("%s does not agree with itself", code)
			}
			seen++
		}
	}
	if seen != 96*12 {
		t.Errorf("%d codes", seen)
	}
}

// FuzzRead: whatever is typed has finite readings, or an error that says why.
func FuzzRead(f *testing.F) {
	for _, c := range published {
		f.Add(c.code)
	}
	f.Add("µ")
	f.Add("\xff1")
	f.Add("1\u0660")
	f.Fuzz(func(t *testing.T, code string) {
		m, err := Read(code)
		if (err == nil) != (len(m.Readings) > 0) {
			t.Fatalf("%q: %v %v", code, m.Readings, err)
		}
		for _, r := range m.Readings {
			q := r.Value
			if math.IsNaN(q.Typ) || math.IsInf(q.Typ, 0) || q.Typ < 0 || q.Min > q.Typ || q.Max < q.Typ {
				t.Fatalf("%q reads as %v", code, q)
			}
			if back, err := quantity.Parse(q.String(), q.Dim); err != nil || !near(back.Typ, q.Typ) && q.Typ != 0 {
				t.Fatalf("%q prints as %v and reads back as %v, %v", code, q, back, err)
			}
		}
	})
}
