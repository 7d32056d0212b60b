package device

import (
	"math"
	"testing"
)

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g ± %.1g", what, got, want, tolerance)
	}
}

// TestThermalVolts holds kT/q with the constants of the SI of 2019.
func TestThermalVolts(t *testing.T) {
	for _, c := range []struct{ kelvin, volts, digit float64 }{
		{298.15, 0.0256926, 5e-8}, {300.15, 0.02586493, 5e-9}, {300, 0.0258520, 5e-8}, {358.15, 0.0308630, 5e-8},
	} {
		within(t, "kT/q", ThermalVolts(c.kelvin), c.volts, c.digit)
	}
}

// shockley is the junction of the worked numbers: 10 fA, 27 °C.
var shockley = DiodeParams{Sat: 1e-14, Nominal: SpiceKelvin}

// TestShockley holds Shockley's equation, worked by hand with the constants of
// 2019.
func TestShockley(t *testing.T) {
	d := NewDiode("d", 1, 0, shockley)
	m := d.Params().At(SpiceKelvin)
	i, _ := m.Current(0.6)
	within(t, "current at 0.6 V", i, 1.187187e-4, 1e-10)
	within(t, "voltage at 1 mA", m.Forward.Volts(1e-3), 0.655118, 1e-6)
	within(t, "a decade", m.Forward.Volts(1e-3)-m.Forward.Volts(1e-4), 59.5562e-3, 1e-7)
}

// TestSaturationOverTemperature holds the law of SPICE for Is(T), Eg 1.11 eV,
// XTI 3, worked by hand.
func TestSaturationOverTemperature(t *testing.T) {
	p := NewDiode("d", 1, 0, shockley).Params()
	cold, warm, hot := p.At(300.15), p.At(310.15), p.At(358.15)
	within(t, "Is at 37 °C over that at 27 °C", warm.Forward.sat/cold.Forward.sat, 4.40181, 1e-4)
	within(t, "Is at 85 °C over that at 27 °C", hot.Forward.sat/cold.Forward.sat, 1771.97, 0.1)
	slope := (warm.Forward.Volts(1e-3) - cold.Forward.Volts(1e-3)) / 10
	within(t, "slope at 1 mA", slope, -1.7783e-3, 1e-7)
}

// TestLeakageDoubles holds that a leakage doubles over each rise given.
func TestLeakageDoubles(t *testing.T) {
	for _, double := range []float64{0, 8} {
		step := or(double, 10)
		a := leakageAt(1e-6, 0, double, 298.15, 298.15)
		b := leakageAt(1e-6, 0, double, 298.15+3*step, 298.15)
		within(t, "ratio over three rises", b.amps/a.amps, 8, 1e-9)
	}
	i, _ := leakage{1e-6, 0.5}.at(-20)
	within(t, "at its rated voltage", i, -1e-6, 1e-12)
}

// TestDepletion holds the capacitance of a graded junction: C0 at 0 V,
// C0/√(1 + v/Vj) reversed, and no step where it goes over to the tangent.
func TestDepletion(t *testing.T) {
	d := depletion{100e-12, 0.75, 0.5}
	_, c := d.at(0)
	within(t, "at 0 V", c, 100e-12, 1e-18)
	_, c = d.at(-2.25)
	within(t, "at −2.25 V", c, 50e-12, 1e-18)
	q0, c0 := d.at(0.375 - 1e-9)
	q1, c1 := d.at(0.375 + 1e-9)
	within(t, "charge across the edge", q1-q0, 2e-9*c0, 1e-24)
	within(t, "capacitance across the edge", c1, c0, 1e-18)
}
