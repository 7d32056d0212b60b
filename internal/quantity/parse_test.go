package quantity

import (
	"math"
	"strings"
	"testing"
)

var none = math.NaN()

// readings are texts as people write them, with the numbers they mean in SI
// units: {minimum, typical, maximum}.
var readings = []struct {
	text string
	dim  Dimension
	want [3]float64
}{
	// a letter in the place of the decimal point
	{"4k7", Resistance, [3]float64{none, 4700, none}},
	{"4K7", Resistance, [3]float64{none, 4700, none}},
	{"4M7", Resistance, [3]float64{none, 4.7e6, none}},
	{"R47", Resistance, [3]float64{none, 0.47, none}},
	{"0R005", Resistance, [3]float64{none, 0.005, none}},
	{"4k7Ω", Resistance, [3]float64{none, 4700, none}},
	{"4k7 ohm", Resistance, [3]float64{none, 4700, none}},
	{"0u1", Capacitance, [3]float64{none, 1e-7, none}},
	{"4n7F", Capacitance, [3]float64{none, 4.7e-9, none}},
	{"3V3", Voltage, [3]float64{none, 3.3, none}},
	// a prefix alone, and no unit at all
	{"4,7k", Resistance, [3]float64{none, 4700, none}},
	{"5m", Resistance, [3]float64{none, 0.005, none}},
	{"10M", Resistance, [3]float64{none, 1e7, none}},
	{"330", Resistance, [3]float64{none, 330, none}},
	{"100n", Capacitance, [3]float64{none, 1e-7, none}},
	{"10u", Inductance, [3]float64{none, 1e-5, none}},
	{"7", None, [3]float64{none, 7, none}},
	{"0.33", Ratio, [3]float64{none, 0.33, none}},
	// units and prefixes
	{"5mΩ", Resistance, [3]float64{none, 0.005, none}},
	{"5 mohm", Resistance, [3]float64{none, 0.005, none}},
	{"5 mOhm", Resistance, [3]float64{none, 0.005, none}},
	{"5 Mohm", Resistance, [3]float64{none, 5e6, none}},
	{"5 \u2126", Resistance, [3]float64{none, 5, none}},
	{"5 R", Resistance, [3]float64{none, 5, none}},
	{"2 KOHM", Resistance, [3]float64{none, 2000, none}},
	{"4.25V", Voltage, [3]float64{none, 4.25, none}},
	{"25mV", Voltage, [3]float64{none, 0.025, none}},
	{"4,25 V", Voltage, [3]float64{none, 4.25, none}},
	{"0,005 V", Voltage, [3]float64{none, 0.005, none}},
	{"+5 V", Voltage, [3]float64{none, 5, none}},
	{".5 V", Voltage, [3]float64{none, 0.5, none}},
	{"1 µF", Capacitance, [3]float64{none, 1e-6, none}},
	{"1 μF", Capacitance, [3]float64{none, 1e-6, none}},
	{"1uF", Capacitance, [3]float64{none, 1e-6, none}},
	{"1e-6 F", Capacitance, [3]float64{none, 1e-6, none}},
	{"1\u00a0V", Voltage, [3]float64{none, 1, none}},
	{"1\u202fV", Voltage, [3]float64{none, 1, none}},
	{"33 % ", Ratio, [3]float64{none, 0.33, none}},
	{"100 ppm", Ratio, [3]float64{none, 1e-4, none}},
	{"50 ppm/K", TempcoRelative, [3]float64{none, 5e-5, none}},
	{"0.4 %/°C", TempcoRelative, [3]float64{none, 0.004, none}},
	{"-2 mV/K", TempcoVoltage, [3]float64{none, -0.002, none}},
	{"40 K/W", ThermalResistance, [3]float64{none, 40, none}},
	{"40 °C/W", ThermalResistance, [3]float64{none, 40, none}},
	{"2.5 Ah", Charge, [3]float64{none, 9000, none}},
	{"10 A·h", Charge, [3]float64{none, 36000, none}},
	{"850 mAh", Charge, [3]float64{none, 3060, none}},
	{"12 nC", Charge, [3]float64{none, 12e-9, none}},
	{"10 W·h", Energy, [3]float64{none, 36000, none}},
	{"5 min", Time, [3]float64{none, 300, none}},
	{"2 h", Time, [3]float64{none, 7200, none}},
	{"1 MHz", Frequency, [3]float64{none, 1e6, none}},
	{"35 µm", Length, [3]float64{none, 35e-6, none}},
	{"3 cm", Length, [3]float64{none, 0.03, none}},
	{"2.5 mm2", Area, [3]float64{none, 2.5e-6, none}},
	{"2.5 mm²", Area, [3]float64{none, 2.5e-6, none}},
	// temperatures: kelvin inside; a leading minus is no range
	{"25 °C", Temperature, [3]float64{none, 298.15, none}},
	{"-20 °C", Temperature, [3]float64{none, 253.15, none}},
	{"−20 °C", Temperature, [3]float64{none, 253.15, none}},
	{"–20°C", Temperature, [3]float64{none, 253.15, none}},
	{"300 K", Temperature, [3]float64{none, 300, none}},
	{"10 K", TemperatureDifference, [3]float64{none, 10, none}},
	{"-20/25/60 °C", Temperature, [3]float64{253.15, 298.15, 333.15}},
	{"-20 to -5 °C", Temperature, [3]float64{253.15, none, 268.15}},
	{"−20–60 °C", Temperature, [3]float64{253.15, none, 333.15}},
	{"25 ±5 °C", Temperature, [3]float64{293.15, 298.15, 303.15}},
	{"25 °C ±5 K", Temperature, [3]float64{293.15, 298.15, 303.15}},
	// tolerances
	{"100 nF ±10 %", Capacitance, [3]float64{90e-9, 100e-9, 110e-9}},
	{"100nF±10%", Capacitance, [3]float64{90e-9, 100e-9, 110e-9}},
	{"100 nF +/-10%", Capacitance, [3]float64{90e-9, 100e-9, 110e-9}},
	{"4.25±0.025 V", Voltage, [3]float64{4.225, 4.25, 4.275}},
	{"4.25 V ±25mV", Voltage, [3]float64{4.225, 4.25, 4.275}},
	{"60 A ±10 A", Current, [3]float64{50, 60, 70}},
	{"330 ±5 %", Resistance, [3]float64{313.5, 330, 346.5}},
	{"1 µF +22/−82 %", Capacitance, [3]float64{0.18e-6, 1e-6, 1.22e-6}},
	{"1 µF -20/+80 %", Capacitance, [3]float64{0.8e-6, 1e-6, 1.8e-6}},
	{"4.25 V +50 mV −25 mV", Voltage, [3]float64{4.225, 4.25, 4.3}},
	{"-2 mV/K ±10 %", TempcoVoltage, [3]float64{-0.0022, -0.002, -0.0018}},
	// three numbers, ranges
	{"4.20/4.25/4.30 V", Voltage, [3]float64{4.2, 4.25, 4.3}},
	{"4.20 / 4.25 / 4.30 V", Voltage, [3]float64{4.2, 4.25, 4.3}},
	{"4200/4250/4300 mV", Voltage, [3]float64{4.2, 4.25, 4.3}},
	{"0.5–1.5 s", Time, [3]float64{0.5, none, 1.5}},
	{"0.5-1.5 s", Time, [3]float64{0.5, none, 1.5}},
	{"0.5 - 1.5 s", Time, [3]float64{0.5, none, 1.5}},
	{"0.5 to 1.5 s", Time, [3]float64{0.5, none, 1.5}},
	{"0.5…1.5 s", Time, [3]float64{0.5, none, 1.5}},
	{"10–300 ms", Time, [3]float64{0.01, none, 0.3}},
	{"500 ms–1.5 s", Time, [3]float64{0.5, none, 1.5}},
	{"1–4k7", Resistance, [3]float64{1000, none, 4700}},
	// words
	{"1.8 mΩ max 2.4 mΩ", Resistance, [3]float64{none, 0.0018, 0.0024}},
	{"typ 4.0 mΩ max 5.2 mΩ", Resistance, [3]float64{none, 0.004, 0.0052}},
	{"typ 4.0 max 5.2 mΩ", Resistance, [3]float64{none, 0.004, 0.0052}},
	{"4.0 mΩ typ, 5.2 mΩ max", Resistance, [3]float64{none, 0.004, 0.0052}},
	{"min 4.20, typ. 4.25, max 4.30 V", Voltage, [3]float64{4.2, 4.25, 4.3}},
	{"min 20 A", Current, [3]float64{20, none, none}},
	{"20 A min", Current, [3]float64{20, none, none}},
	{"max 10 mΩ", Resistance, [3]float64{none, none, 0.01}},
	{"≤ 10 mΩ", Resistance, [3]float64{none, none, 0.01}},
	{"up to 10 mΩ", Resistance, [3]float64{none, none, 0.01}},
	{"0.5–1.5 s typ 1 s", Time, [3]float64{0.5, 1, 1.5}},
	{"min 5 min", Time, [3]float64{300, none, none}},
}

func TestParse(t *testing.T) {
	for _, c := range readings {
		q, err := Parse(c.text, c.dim)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		want := Quantity{Dim: c.dim, Min: c.want[0], Typ: c.want[1], Max: c.want[2]}
		if !q.Equal(want) {
			t.Errorf("Parse(%q) = %v %v %v, want %v", c.text, q.Min, q.Typ, q.Max, c.want)
		}
		if q.Text != strings.TrimSpace(c.text) {
			t.Errorf("Parse(%q) keeps the text %q", c.text, q.Text)
		}
		back, err := Parse(q.String(), c.dim)
		if err != nil || !back.Equal(q) {
			t.Errorf("Parse(%q) prints as %q, which reads as %v (%v)", c.text, q, back, err)
		}
	}
}

// refusals are texts that must not be guessed at.
var refusals = []struct {
	text    string
	dim     Dimension
	reason  Reason
	at      string // what stands at the offset
	message string // part of it
	suggest string
}{
	// prefixes that may mean two things
	{"5M", Capacitance, Ambiguous, "M", "mF or MF", ""},
	{"10M", Voltage, Ambiguous, "M", "mV or MV", ""},
	{"5 MV", Voltage, Ambiguous, "MV", "mV or MV", ""},
	{"4M7", Capacitance, Ambiguous, "M7", "mF or MF", ""},
	{"1MOHM", Resistance, Ambiguous, "MOHM", "mΩ or MΩ", ""},
	{"5m", Time, Ambiguous, "m", "ms or min", ""},
	{"5m", Capacitance, Ambiguous, "m", "mF or µF", ""},
	{"1,000 Ω", Resistance, Ambiguous, ",000 Ω", "1.000 or 1000", ""},
	{"33 % ±5 %", Ratio, Ambiguous, "±5 %", "of the value", ""},
	// units
	{"25", Voltage, MissingUnit, "", "unit is missing", "25 V"},
	{"25", Temperature, MissingUnit, "", "unit is missing", "25 °C"},
	{"25m", Voltage, MissingUnit, "m", "unit is missing", "25 mV"},
	{"4k7", Voltage, MissingUnit, "k7", "unit is missing", "4.7 kV"},
	{"100", Capacitance, MissingUnit, "", "unit is missing", "100 F"},
	{"0.5–1.5", Time, MissingUnit, "", "unit is missing", "0.5–1.5 s"},
	{"4.20/4.25/4.30", Voltage, MissingUnit, "", "unit is missing", "4.20/4.25/4.30 V"},
	{"4.25 V ±0.025", Voltage, MissingUnit, "", "unit is missing", "4.25 V ±0.025 V"},
	{"1.8 mΩ max 2.4", Resistance, MissingUnit, "", "unit is missing", "1.8 mΩ max 2.4 mΩ"},
	{"5 A", Voltage, WrongUnit, "A", "unit of current, expected voltage in V", ""},
	{"5 V", None, WrongUnit, "V", "without unit", ""},
	{"25 °C ±10 %", Temperature, WrongUnit, "±10 %", "in % of a temperature", ""},
	{"10ma", Current, WrongUnit, "ma", `unknown unit "ma"`, "10mA"},
	{"4.25 volts DC", Voltage, LeftoverText, "DC", "nothing belongs", "4.25 volts"},
	{"4.25 foo", Voltage, WrongUnit, "foo", `unknown unit "foo"`, ""},
	{"10 kk", Resistance, WrongUnit, "kk", "unknown unit", ""},
	{"4k7k", Resistance, Syntax, "k", "has its unit", ""},
	// order and range
	{"4.12/4.17/4.05 V", Voltage, WrongOrder, "4.05 V", "max is below typ", ""},
	{"4.17/4.12/4.23 V", Voltage, WrongOrder, "4.12/4.23 V", "typ is below min", ""},
	{"1.5–0.5 s", Time, WrongOrder, "0.5 s", "max is below min", ""},
	{"-300 °C", Temperature, OutOfRange, "-300 °C", "absolute zero", ""},
	{"-5 Ω", Resistance, OutOfRange, "-5 Ω", "resistance below zero", ""},
	{"1 µF ±150 %", Capacitance, OutOfRange, "150 %", "below zero", ""},
	{"1e999 V", Voltage, OutOfRange, "1e999 V", "too large", ""},
	// no quantity
	{"", Voltage, Syntax, "", "number was expected", ""},
	{"x", Voltage, Syntax, "x", "number was expected", ""},
	{"V5", Voltage, Syntax, "V5", "number was expected", ""},
	{"max", Voltage, Syntax, "", "number was expected", ""},
	{"- 20 °C", Temperature, Syntax, "- 20 °C", "number was expected", ""},
	{"4.2/4.3 V", Voltage, Syntax, "", "three are needed", "4.2–4.3 V"},
	{"±20 V", Voltage, Syntax, "20 V", "without the value before it", ""},
	{"60 A +10 A", Current, LeftoverText, "+10 A", "one side", ""},
	{"1.000,5 V", Voltage, Syntax, ",5 V", "second decimal point", ""},
	{"5 V max 6 V max 7 V", Voltage, Syntax, "max 7 V", "twice", ""},
	{strings.Repeat("9", 50) + " V", Voltage, Syntax, strings.Repeat("9", 50) + " V", "too long", ""},
}

func TestParseRefuses(t *testing.T) {
	for _, c := range refusals {
		q, err := Parse(c.text, c.dim)
		e, ok := err.(*Error)
		if !ok {
			t.Errorf("Parse(%q) as %v = %v, want an error", c.text, c.dim, q)
			continue
		}
		if e.Reason != c.reason || c.text[e.Offset:] != c.at || !strings.Contains(e.Message, c.message) || e.Suggestion != c.suggest {
			t.Errorf("Parse(%q): reason %d at %q, suggestion %q: %v", c.text, e.Reason, c.text[e.Offset:], e.Suggestion, e)
		}
		if e.Do == "" || e.Text != c.text {
			t.Errorf("Parse(%q): the error says nothing to do, or forgot the text: %+v", c.text, e)
		}
		if q.Given() {
			t.Errorf("Parse(%q) gives %v besides the error", c.text, q)
		}
	}
}

func TestSuggestionsAreAccepted(t *testing.T) {
	for _, c := range refusals {
		_, err := Parse(c.text, c.dim)
		e, ok := err.(*Error)
		if !ok || e.Suggestion == "" {
			continue
		}
		if _, err := Parse(e.Suggestion, c.dim); err != nil {
			t.Errorf("after %q the suggestion %q is refused: %v", c.text, e.Suggestion, err)
		}
	}
}

func TestParseStatedKeepsTheOrder(t *testing.T) {
	q, err := ParseStated("4.17/4.12/4.23 V", Voltage)
	if err != nil || q.Min != 4.17 || q.Typ != 4.12 || q.Max != 4.23 {
		t.Errorf("got %v %v", q, err)
	}
	if q.String() != "4.17/4.12/4.23 V" {
		t.Errorf("prints as %q", q)
	}
}

func TestParsePrefix(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
		want string
		rest string
	}{
		{"1 µF ±10 % 16 V X7R", Capacitance, "1 µF ±10 %", "16 V X7R"},
		{"43 Ω ±5 % 1 W", Resistance, "43 Ω ±5 %", "1 W"},
		{"5 mΩ ±1 % 2 W", Resistance, "5 mΩ ±1 %", "2 W"},
		{"10k X7R", Resistance, "10 kΩ", "X7R"},
		{"100 X7R", Resistance, "100 Ω", "X7R"},
		{"4.25 V", Voltage, "4.25 V", ""},
		{"4.0 mΩ max at 25 °C", Resistance, "max 4 mΩ", "at 25 °C"},
		{"16 V X7R", Voltage, "16 V", "X7R"},
	} {
		q, rest, err := ParsePrefix(c.text, c.dim)
		if err != nil || q.String() != c.want || rest != c.rest {
			t.Errorf("ParsePrefix(%q) = %q, %q, %v", c.text, q, rest, err)
		}
		if q.Text+" "+rest != c.text && q.Text != c.text {
			t.Errorf("ParsePrefix(%q) keeps the text %q", c.text, q.Text)
		}
	}
	for _, text := range []string{"100 X7R", "16 V X7R", "X7R", ""} {
		if q, _, err := ParsePrefix(text, Capacitance); err == nil {
			t.Errorf("ParsePrefix(%q) as a capacitance = %v", text, q)
		}
	}
}

func TestParseAny(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
	}{
		{"4.25 V", Voltage},
		{"min 20 A", Current},
		{"R47", Resistance},
		{"5 min", Time},
		{"min 5 s", Time},
		{"25 °C", Temperature},
		{"10 K", TemperatureDifference},
		{"50 ppm/K", TempcoRelative},
		{"-2 mV/K", TempcoVoltage},
		{"0.5 to 1.5 ms", Time},
		{"10 A·h", Charge},
		{"33 %", Ratio},
		{"7", None},
	} {
		q, err := ParseAny(c.text)
		if err != nil || q.Dim != c.dim {
			t.Errorf("ParseAny(%q) = %v, a %v, %v", c.text, q, q.Dim, err)
		}
	}
	for _, text := range []string{"4k7", "5 xx", "", "5 MV"} {
		if q, err := ParseAny(text); err == nil {
			t.Errorf("ParseAny(%q) = %v", text, q)
		}
	}
}
