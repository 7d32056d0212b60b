// Package conductor tells the resistance, the heating and the current of what
// carries a pack's current besides its parts: wire, strip, and copper on a board.
//
// # What is known and what is assumed
//
// Resistance follows from geometry and resistivity, and is as good as these.
// How warm a conductor gets hangs on how it gives its heat away, which no
// geometry tells: bare pieces take a stated coefficient of cooling, tracks one
// of two published fits, which differ by a factor of two in area and of which
// neither is claimed.
//
// Lengths are in m, areas in m², temperatures in K.
package conductor

import "math"

// zeroCelsius is 0 °C in K.
const zeroCelsius = 273.15

// Reference is the temperature at which resistivities are stated, 20 °C.
const Reference = zeroCelsius + 20

// Material is a metal.
type Material struct {
	Name        string
	Resistivity float64 // Ω·m at 20 °C
	// Least and Most bound what is sold under that name.
	Least, Most float64
	Tempco      float64 // 1/K at 20 °C
}

// The metals of packs. Annealed copper is the IACS of IEC 60028 (from memory):
// 1/58 Ω·mm²/m, 0.00393 /K. Nickel runs from the pure metal (CRC Handbook, from
// memory) to sheet of commercial purity, steel from iron to low-carbon steel
// (both from memory); their temperature coefficients are from memory too.
var (
	Copper = Material{"copper", 1e-6 / 58, 1e-6 / 58, 1e-6 / 58, 0.00393}
	Nickel = Material{"nickel", 8.2e-8, 6.93e-8, 9.6e-8, 0.0055}
	Steel  = Material{"steel", 1.43e-7, 9.61e-8, 1.7e-7, 0.005}
)

// At returns the resistivity at a temperature, kept above a tenth of that at
// 20 °C so that far outside the coefficient's range it stays a resistivity.
func (m Material) At(kelvin float64) float64 {
	return m.Resistivity * math.Max(0.1, 1+m.Tempco*(kelvin-Reference))
}

// Piece is a length of conductor, equal all along.
type Piece struct {
	Material Material
	Area     float64 // m², of the cross section
	Length   float64 // m
	Surface  float64 // m² a metre of length that gives heat away
}

// Ohms is the resistance at a temperature.
func (p Piece) Ohms(kelvin float64) float64 {
	return p.Material.At(kelvin) * p.Length / p.Area
}

// KelvinPerWatt is the resistance of its whole surface against the air, with a
// coefficient of cooling in W/(m²·K).
func (p Piece) KelvinPerWatt(cooling float64) float64 {
	return 1 / (cooling * p.Surface * p.Length)
}

// Rise is how much warmer than its surroundings a piece settles that carries a
// current: the loss grows with the temperature, R(T) = R(Ta)·(1 + a·rise), so
//
//	rise = g0/(1 − a·g0),  g0 = I²·R(Ta)·Rth
//
// and there is no end to it where a·g0 ≥ 1: ok is then false.
func (p Piece) Rise(amps, ambient, cooling float64) (rise float64, ok bool) {
	ohms := p.Ohms(ambient)
	a := p.Material.Tempco * p.Material.Resistivity / p.Material.At(ambient)
	g := amps * amps * ohms * p.KelvinPerWatt(cooling)
	if a*g >= 1 {
		return math.Inf(1), false
	}
	return g / (1 - a*g), true
}

// Amps is the current at which a piece settles at a temperature.
func (p Piece) Amps(limit, ambient, cooling float64) float64 {
	if limit <= ambient {
		return 0
	}
	return math.Sqrt((limit - ambient) / (p.Ohms(limit) * p.KelvinPerWatt(cooling)))
}
