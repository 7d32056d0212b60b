package conductor

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// near compares to the last digit printed in the source of the value.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance {
		t.Errorf("%s = %.7g, want %.7g ± %g", what, got, want, tolerance)
	}
}

// ASTM B258 (from memory) for the diameters, 100 % IACS for the resistances: in
// handbooks of wire both tables are printed like this.
func TestGauge(t *testing.T) {
	for _, c := range []struct {
		gauge        Gauge
		mm, ohmPerKm float64
	}{
		{10, 2.5882, 3.277},
		{12, 2.0525, 5.211},
		{14, 1.6277, 8.286},
		{16, 1.2908, 13.174},
		{18, 1.0237, 20.948},
		{20, 0.8118, 33.309},
		{22, 0.6438, 52.963},
		{24, 0.5106, 84.215},
		{26, 0.4049, 133.907},
		{28, 0.3211, 212.921},
		{30, 0.2546, 338.557},
		{36, 0.127, math.NaN()},
		{-3, 11.684, math.NaN()}, // 0.005 in and 0.460 in
	} {
		near(t, "diameter in mm", c.gauge.Diameter()*1e3, c.mm, 6e-5)
		if !math.IsNaN(c.ohmPerKm) {
			near(t, "resistance of a km", Wire(c.gauge.Area(), 1000).Ohms(Reference), c.ohmPerKm, 6e-4)
		}
	}
	near(t, "area of 18 AWG", Gauge(18).Area()*1e6, 0.8230, 6e-5)
	near(t, "area of 26 AWG", Gauge(26).Area()*1e6, 0.1288, 6e-5)
}

// 0.3 m of 18 AWG, there and back, cold and warm.
func TestLoopOfWire(t *testing.T) {
	w := Wire(Gauge(18).Area(), 0.3)
	near(t, "mΩ at 20 °C", w.Ohms(Reference)*1e3, 6.284471, 1e-5)
	near(t, "mΩ at 60 °C", w.Ohms(Reference+40)*1e3, 7.272390, 1e-5)
	near(t, "mV at 10 A, 60 °C", w.Ohms(Reference+40)*10*1e3, 72.7239, 1e-3)
}

// A strip of 8 × 0.15 mm, 20 mm long: nickel between the pure metal (CRC
// Handbook, from memory) and sheet, iron to low-carbon steel, the same plated
// with 3 µm a face, copper.
func TestStrip(t *testing.T) {
	of := func(rho float64) float64 {
		return Strip(Material{Resistivity: rho}, 8e-3, 0.15e-3, 20e-3).Ohms(Reference) * 1e3
	}
	near(t, "nickel, least", of(Nickel.Least), 1.1550, 1e-4)
	near(t, "nickel, most", of(Nickel.Most), 1.6000, 1e-4)
	near(t, "iron", of(Steel.Least), 1.6017, 1e-4)
	near(t, "low-carbon steel", of(Steel.Resistivity), 2.3833, 1e-4)
	near(t, "copper", of(Copper.Resistivity), 0.2874, 1e-4)
	near(t, "plated steel", PlatedSteel(8e-3, 0.15e-3, 3e-6, 20e-3).Ohms(Reference)*1e3, 2.2861, 1e-4)
}

func TestSheetOfCopper(t *testing.T) {
	near(t, "one square of 34.8 µm, mΩ", Track(1e-3, 34.8e-6, 1e-3).Ohms(Reference)*1e3, 0.4954, 1e-4)
	near(t, "one square of an ounce, mΩ", Track(1e-3, Ounce, 1e-3).Ohms(Reference)*1e3, 0.4926, 1e-4)
	near(t, "50 × 10 mm, mΩ", Track(10e-3, Ounce, 50e-3).Ohms(Reference)*1e3, 2.4631, 1e-4)
}

// The table of the usual fit to the chart of IPC-2221, 1 oz counted as 1.378 mil.
func TestChart(t *testing.T) {
	for _, c := range []struct{ mm, outer10, outer20, inner10, inner20 float64 }{
		{1, 2.3916, 3.2445, 1.1958, 1.6222},
		{2.54, 4.7011, 6.3775, 2.3505, 3.1887},
		{5, 7.6815, 10.4207, 3.8407, 5.2104},
		{10, 12.6967, 17.2245, 6.3484, 8.6122},
	} {
		area := c.mm * 1e-3 * 1.378 * mil
		near(t, "outer, 10 K", Outer.Amps(10, area), c.outer10, 1e-4)
		near(t, "outer, 20 K", Outer.Amps(20, area), c.outer20, 1e-4)
		near(t, "inner, 10 K", Inner.Amps(10, area), c.inner10, 1e-4)
		near(t, "inner, 20 K", Inner.Amps(20, area), c.inner20, 1e-4)
	}
	near(t, "mil² for 5 A", Outer.Area(5, 20)/squareMil, 98.511, 1e-3)
	near(t, "mil² for 10 A", Outer.Area(10, 20)/squareMil, 256.270, 1e-3)
	near(t, "mil² for 20 A", Outer.Area(20, 20)/squareMil, 666.670, 1e-3)
	near(t, "mil² for 10 A inside", Inner.Area(10, 20)/squareMil, 666.670, 1e-3)
	near(t, "rise of 10 A in 10 mm", Outer.Rise(10, 10e-3*1.378*mil), 5.812, 1e-3)
	near(t, "mil² for 10 A by the newer fit", NewerArea(10, 20)/squareMil, 513.094, 1e-3)
	if OnChart(36, 5e-3, 20) || OnChart(10, 11e-3, 20) || OnChart(10, 5e-3, 5) || !OnChart(10, 5e-3, 20) {
		t.Error("the chart's range is not kept")
	}
}

// Rise and current, area and rise undo each other.
func TestFitsGoRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amps := rapid.Float64Range(1.5, 60).Draw(t, "amps")
		rise := rapid.Float64Range(2, 90).Draw(t, "rise")
		layer := rapid.SampledFrom([]Layer{Outer, Inner}).Draw(t, "layer")
		area := layer.Area(amps, rise)
		if got := layer.Rise(amps, area); math.Abs(got-rise) > 1e-6*rise {
			t.Errorf("rise %g, want %g", got, rise)
		}
		if got := NewerRise(amps, NewerArea(amps, rise)); math.Abs(got-rise) > 1e-6*rise {
			t.Errorf("newer rise %g, want %g", got, rise)
		}
		if got := layer.Amps(rise, area); math.Abs(got-amps) > 1e-9*amps {
			t.Errorf("current %g, want %g", got, amps)
		}
	})
	if !math.IsInf(NewerRise(100, 1e-9), 1) {
		t.Error("a hair carries 100 A")
	}
}

// Onderdonk (from memory): 24 AWG, 404.01 circular mil, 1 s from 25 °C.
func TestFusing(t *testing.T) {
	near(t, "24 AWG", FusingAmps(circle(20.1*mil), zeroCelsius+25, 1), 59.11, 0.01)
}

// The current that settles at a temperature settles there.
func TestRiseOfAPiece(t *testing.T) {
	w := Wire(Gauge(18).Area(), 0.3)
	const ambient, cooling = zeroCelsius + 40, 12
	limit := ambient + 45
	rise, ok := w.Rise(w.Amps(limit, ambient, cooling), ambient, cooling)
	if !ok {
		t.Fatal("no equilibrium")
	}
	near(t, "rise", rise, 45, 1e-9)
	if _, ok := w.Rise(1000, ambient, cooling); ok {
		t.Error("a wire that runs away settles")
	}
	if got := w.Amps(ambient-1, ambient, cooling); got != 0 {
		t.Errorf("a limit below the surroundings leaves %g A", got)
	}
}
