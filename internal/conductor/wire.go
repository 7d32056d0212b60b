package conductor

import "math"

// Gauge is an American wire gauge; 0 is 1/0, −1 is 2/0, −3 is 4/0.
type Gauge int

// The gauges that ASTM B258 spans.
const (
	ThickestGauge Gauge = -3
	ThinnestGauge Gauge = 40
)

// Diameter is that of a solid wire of the gauge, 36 AWG being 0.005 in and 4/0
// 0.460 in with 39 equal ratios between them (ASTM B258, from memory).
func (g Gauge) Diameter() float64 {
	return 0.127e-3 * math.Pow(92, (36-float64(g))/39)
}

// Area is the cross section of the gauge.
func (g Gauge) Area() float64 { return circle(g.Diameter()) }

func circle(d float64) float64 { return math.Pi * d * d / 4 }

// Insulation of pack wire is about so thick: common practice, no source.
const Insulation = 0.5e-3 // m

// Wire is a copper wire of that cross section, with insulation around it, lying
// free. A stranded one of the same copper has the same resistance but for its
// lay, 2 % at most.
func Wire(area, length float64) Piece {
	d := math.Sqrt(4 * area / math.Pi)
	return Piece{Copper, area, length, math.Pi * (d + 2*Insulation)}
}

// Strip is a flat strip, bare on all sides.
func Strip(m Material, width, thickness, length float64) Piece {
	return Piece{m, width * thickness, length, 2 * (width + thickness)}
}

// PlatedSteel is a steel strip with nickel of a thickness on each face; thickness
// is that of the whole. Layers side by side share the current, so the piece has
// one resistivity between theirs. By the magnet it cannot be told from nickel.
func PlatedSteel(width, thickness, plating, length float64) Piece {
	share := 2 * plating / thickness
	mix := func(a, b float64) float64 { return 1 / ((1-share)/a + share/b) }
	m := Material{
		Name:        "plated steel",
		Resistivity: mix(Steel.Resistivity, Nickel.Least),
		Least:       mix(Steel.Least, Nickel.Least),
		Most:        mix(Steel.Most, Nickel.Most),
		Tempco:      Steel.Tempco,
	}
	return Strip(m, width, thickness, length)
}

// FusingAmps is the current that melts a copper conductor in a time, by
// Onderdonk's formula (from memory):
//
//	I = A·√(log10(ΔT/(234 + Ta) + 1)/(33·t)),  A in circular mil, Ta in °C
//
// It lets no heat escape, so it holds for a few seconds at most; and a conductor
// is ruined well before it melts.
func FusingAmps(area, ambient, seconds float64) float64 {
	d := math.Sqrt(4*area/math.Pi) / mil
	t := ambient - zeroCelsius
	return d * d * math.Sqrt(math.Log10((meltCelsius-t)/(234+t)+1)/(33*seconds))
}

const (
	mil         = 25.4e-6 // m
	meltCelsius = 1083    // °C, of copper
)
