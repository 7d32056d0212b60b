package quantity

import (
	"math"
	"testing"
)

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		v      float64
		dim    Dimension
		digits int
		want   string
	}{
		{4.25, Voltage, 3, "4.25 V"},
		{0.012, Resistance, 2, "12 mΩ"},
		{1, Time, 2, "1.0 s"},
		{0, Voltage, 3, "0.00 V"},
		{-0.0123, Voltage, 3, "−12.3 mV"},
		// rounding may lift a number over the next prefix
		{999.6, Resistance, 3, "1.00 kΩ"},
		{0.9999, Current, 2, "1.0 A"},
		{0.0009996, Current, 3, "1.00 mA"},
		// M only where it is read back as mega
		{5e6, Resistance, 2, "5.0 MΩ"},
		{5e6, Voltage, 2, "5000 kV"},
		{1e12, Frequency, 3, "1000 GHz"},
		{1e-17, Time, 2, "0.010 fs"},
		{90, Time, 2, "90 s"},
		{7199, Time, 4, "7199 s"},
		{10800, Time, 2, "3.0 h"},
		{298.15, Temperature, 2, "25 °C"},
		{298.15, Temperature, 3, "25.0 °C"},
		{253.15, Temperature, 3, "−20.0 °C"},
		{273.149, Temperature, 3, "0.0 °C"},
		{10, TemperatureDifference, 2, "10 K"},
		{9000, Charge, 2, "2.5 A·h"},
		{1800, Charge, 3, "500 mA·h"},
		{12e-9, Charge, 2, "12 nC"},
		{0.33, Ratio, 2, "33 %"},
		{1e-4, Ratio, 2, "100 ppm"},
		{50e-6, TempcoRelative, 2, "50 ppm/K"},
		{0.004, TempcoRelative, 2, "0.40 %/K"},
		{-0.002, TempcoVoltage, 2, "−2.0 mV/K"},
		{0.5, ThermalResistance, 2, "0.50 K/W"},
		{2.5e-6, Area, 2, "2.5 mm²"},
		{35e-6, Length, 2, "35 µm"},
		{123456, None, 3, "123000"},
		{math.NaN(), Voltage, 3, "–"},
		{math.Inf(1), Voltage, 3, "∞"},
		{math.Inf(-1), Voltage, 3, "−∞"},
	} {
		if got := Format(c.v, c.dim, c.digits); got != c.want {
			t.Errorf("Format(%v, %v, %d) = %q, want %q", c.v, c.dim, c.digits, got, c.want)
		}
	}
}

func TestString(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  Dimension
		want string
	}{
		{"4k7", Resistance, "4.7 kΩ"},
		{"0.1 µF ±10%", Capacitance, "100 nF ±10 %"},
		{"1 µF +22/-82 %", Capacitance, "0.18/1/1.22 µF"},
		{"4200/4250/4300 mV", Voltage, "4.2/4.25/4.3 V"},
		{"10..300 ms", Time, "10–300 ms"},
		{"-20…60 °C", Temperature, "−20 to 60 °C"},
		{"4.0 mΩ max 5.2 mΩ", Resistance, "typ 4 mΩ max 5.2 mΩ"},
		{"min 1 V typ 2 V", Voltage, "min 1 V typ 2 V"},
		{"0 V", Voltage, "0 V"},
		{"-10/0/10 mV", Voltage, "−10/0/10 mV"},
		{"0.00005 /K", TempcoRelative, "50 ppm/K"},
	} {
		q, err := Parse(c.text, c.dim)
		if err != nil || q.String() != c.want {
			t.Errorf("%q prints as %q, want %q (%v)", c.text, q, c.want, err)
		}
	}
	if got := Exact(Voltage, 4.25).String(); got != "4.25/4.25/4.25 V" {
		t.Errorf("Exact prints as %q", got)
	}
	if got := Absent(Voltage).String(); got != "not given" {
		t.Errorf("Absent prints as %q", got)
	}
}

func TestLimits(t *testing.T) {
	q, _ := Parse("4.0 mΩ max 5.2 mΩ", Resistance)
	if q.Low() != 0.004 || q.High() != 0.0052 {
		t.Errorf("limits of %v: %v, %v", q, q.Low(), q.High())
	}
	if _, _, ok := q.Tolerance(); ok {
		t.Errorf("%v has no lower limit, yet a tolerance", q)
	}
	q, _ = Parse("60 A ±10 A", Current)
	if down, up, ok := q.Tolerance(); down != 10 || up != 10 || !ok {
		t.Errorf("tolerance of %v: %v %v %v", q, down, up, ok)
	}
	if !q.Within(50) || q.Within(49.9) || q.Within(70.1) || !q.Within(60) {
		t.Errorf("limits of %v are not kept", q)
	}
	q, _ = Parse("min 20 A", Current)
	if !q.Within(1e9) || q.Within(19) || q.High() != 20 {
		t.Errorf("%v: a limit that was not given is none", q)
	}
}

func TestEveryDimensionHasItsWords(t *testing.T) {
	for d := range table {
		d := Dimension(d)
		if d.Name() == "" || d.Unit() == "" {
			t.Errorf("dimension %d has no name or no unit", d)
		}
		if _, err := Parse(d.row().example, d); err != nil {
			t.Errorf("the example of %v: %v", d, err)
		}
	}
	if Dimension(-1).Name() != "number" || Dimension(99).Unit() != "1" {
		t.Error("an unknown dimension is not a plain number")
	}
}
