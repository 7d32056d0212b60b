package device

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestResistorTemperature holds R(T) = R25·(1 + α(T − 25 °C)) and its ends.
func TestResistorTemperature(t *testing.T) {
	r := NewResistor("r", 1, 0, ResistorParams{Ohms: 1e3, Tempco: 100e-6})
	within(t, "at 85 °C", 1/r.Siemens(room+60), 1006, 1e-9)
	r.SetOhms(math.Inf(1))
	within(t, "absent", r.Siemens(room), 0, 0)
	r.SetOhms(0)
	within(t, "a joint", r.Siemens(room), 1/LeastOhms, 1e-6)
	r = NewResistor("r", 1, 0, ResistorParams{Ohms: 1, Tempco: -0.1})
	within(t, "never negative", 1/r.Siemens(400), 0.1, 1e-12)
}

// TestCeramicShape holds the loss of a class II capacitor at its rated voltage,
// its capacitance as the slope of its charge, and that bias only takes.
func TestCeramicShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := CeramicParams{
			Farads: 1e-6, Loss: rapid.Float64Range(0.01, 0.9).Draw(t, "loss"), Rated: rapid.Float64Range(4, 100).Draw(t, "rated"),
		}
		c := NewCeramic("c", 1, 0, p)
		_, at := c.Charge(p.Rated)
		if math.Abs(at/(p.Farads*(1-p.Loss))-1) > 1e-9 {
			t.Fatalf("%g F at rated voltage, want %g", at, p.Farads*(1-p.Loss))
		}
		v := rapid.Float64Range(-2*p.Rated, 2*p.Rated).Draw(t, "v")
		q0, _ := c.Charge(v - 1e-4)
		q1, _ := c.Charge(v + 1e-4)
		_, farads := c.Charge(v)
		if math.Abs((q1-q0)/2e-4/farads-1) > 1e-6 || farads > p.Farads || farads <= 0 {
			t.Fatalf("%g F at %g V", farads, v)
		}
	})
	c := NewCeramic("c", 1, 0, CeramicParams{Farads: 1e-6})
	q, farads := c.Charge(37)
	within(t, "without loss, charge", q, 37e-6, 1e-18)
	within(t, "without loss, capacitance", farads, 1e-6, 1e-18)
}

// TestThermistorBeta holds the equation of B against values worked by hand:
// 10 kΩ with B 3950 K and 3435 K.
func TestThermistorBeta(t *testing.T) {
	for _, c := range []struct{ beta, celsius, kilohms float64 }{
		{3950, -20, 105.385},
		{3950, 0, 33.6206},
		{3950, 10, 20.1746},
		{3950, 60, 2.4862},
		{3950, 85, 1.0867},
		{3435, 0, 28.7043},
		{3435, 10, 18.4104},
		{3435, 45, 4.8469},
		{3435, 60, 2.9809},
		{3435, 85, 1.4514},
	} {
		p := ThermistorParams{Ohms: 10e3, Beta: c.beta}
		within(t, "kΩ", p.OhmsAt(273.15+c.celsius)/1e3, c.kilohms, 6e-5*math.Max(1, c.kilohms/10))
	}
}

// published is the resistance–temperature table of a 10 kΩ thermistor of
// B25/85 3435 K, a maker's published table; common practice, no source.
var published = []Spot{
	{273.15 - 40, 195.652e3},
	{273.15 - 20, 68.2367e3},
	{273.15, 27.2186e3},
	{273.15 + 25, 10e3},
	{273.15 + 45, 4.9169e3},
	{273.15 + 60, 3.0143e3},
	{273.15 + 85, 1.4521e3},
	{273.15 + 125, 531.1},
}

// TestThermistorTable holds that a table gives its own lines back, and lines
// of the same table that it was not given to half a per cent: straight in ln R
// over 1/T.
func TestThermistorTable(t *testing.T) {
	p := ThermistorParams{Table: published}
	for _, s := range published {
		within(t, "own line", p.OhmsAt(s.Kelvin)/s.Ohms, 1, 1e-12)
	}
	for _, c := range []struct{ celsius, kilohms float64 }{
		{-10, 42.5062}, {5, 22.0211}, {10, 17.9255}, {20, 12.0805}, {30, 8.3145}, {40, 5.8336}, {50, 4.1609}, {70, 2.2275}, {100, 0.9738},
	} {
		within(t, "line between", p.OhmsAt(273.15+c.celsius)/1e3/c.kilohms, 1, 5e-3)
	}
	if cold := p.OhmsAt(273.15 - 50); cold < 195.652e3 {
		t.Errorf("%g Ω below the table's cold end", cold)
	}
	// One B is not good enough in the cold: 2.4 K at −20 °C.
	beta := ThermistorParams{Ohms: 10e3, Beta: 3435}
	if r := beta.OhmsAt(273.15 - 20); math.Abs(r/68.2367e3-1) < 0.05 {
		t.Errorf("B alone gives %g Ω at −20 °C: the table would not be needed", r)
	}
}

// TestThermistorReplaced holds what a box in its place does.
func TestThermistorReplaced(t *testing.T) {
	th := NewThermistor("th", 1, 0, ThermistorParams{Ohms: 10e3, Beta: 3435})
	th.SetOhms(math.Inf(1))
	within(t, "open", th.Siemens(room), 0, 0)
	th.SetOhms(0)
	within(t, "shorted", th.Siemens(room), 1/LeastOhms, 1e-6)
	th.SetOhms(math.NaN())
	th.SetRise(35)
	within(t, "its own, 35 K warmer", 1/th.Siemens(room)/2.9809e3, 1, 2e-5)
}

// TestSinkEnds holds that a sink draws its current from a few tenths of a volt
// on and none below 0 V.
func TestSinkEnds(t *testing.T) {
	k := NewSink("k", 1, 0, SinkParams{Amps: 20})
	for _, c := range []struct{ v, amps float64 }{{-5, 0}, {0, 0}, {0.3, 19.9995}, {80, 20}} {
		i, _ := k.bias(c.v)
		within(t, "current", i, c.amps, 5e-4)
	}
}

// TestSwitch holds its positions, and that moving it is reported once.
func TestSwitch(t *testing.T) {
	w := NewSwitch("w", 1, 0, SwitchParams{OnOhms: 2e3})
	within(t, "off", w.Siemens(), 0, 0)
	if !w.Set(true) || w.Set(true) {
		t.Error("a move is reported when it moves, and only then")
	}
	within(t, "on", w.Siemens(), 5e-4, 1e-18)
}
