package device

import (
	"math"
	"sort"

	"cupel/internal/circuit"
)

// Spot is one line of a resistance–temperature table.
type Spot struct{ Kelvin, Ohms float64 }

// ThermistorParams is an NTC: by its table where it has one, else by one
// resistance and B.
type ThermistorParams struct {
	Ohms    float64 // at Nominal
	Nominal float64 // K; 0: 25 °C
	Beta    float64 // K
	Table   []Spot  // at least two, by rising temperature
}

// Thermistor is a resistance that follows its temperature, the board's plus
// its rise:
//
//	R = R0·exp(B·(1/T − 1/T0))
//
// With a table ln R is interpolated over 1/T, which is that equation between
// two lines of it, and goes on beyond its ends.
type Thermistor struct {
	base
	p     ThermistorParams
	fixed float64 // NaN, or the resistance put in its place
	port  circuit.Port
	g     float64
}

// NewThermistor returns a thermistor between a and b.
func NewThermistor(name string, a, b circuit.Node, p ThermistorParams) *Thermistor {
	p.Nominal = or(p.Nominal, room)
	return &Thermistor{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p, fixed: math.NaN()}
}

// Params returns what it was made from.
func (t *Thermistor) Params() ThermistorParams { return t.p }

// SetOhms puts a resistance in its place: 0 is shorted, +Inf open, NaN gives
// the thermistor back.
func (t *Thermistor) SetOhms(ohms float64) { t.fixed = ohms }

// OhmsAt returns its resistance at a temperature of its own.
func (p ThermistorParams) OhmsAt(kelvin float64) float64 {
	if len(p.Table) < 2 {
		return p.Ohms * math.Exp(p.Beta*(1/kelvin-1/or(p.Nominal, room)))
	}
	i := sort.Search(len(p.Table), func(i int) bool { return p.Table[i].Kelvin >= kelvin })
	i = min(max(i, 1), len(p.Table)-1)
	lo, hi := p.Table[i-1], p.Table[i]
	u := (1/kelvin - 1/lo.Kelvin) / (1/hi.Kelvin - 1/lo.Kelvin)
	return lo.Ohms * math.Pow(hi.Ohms/lo.Ohms, u)
}

// Siemens returns its conductance, or that put in its place, at a board
// temperature.
func (t *Thermistor) Siemens(kelvin float64) float64 {
	if !math.IsNaN(t.fixed) {
		return siemens(t.fixed)
	}
	return siemens(t.p.OhmsAt(kelvin + t.rise))
}

func (t *Thermistor) Bind(b *circuit.Binder) { t.port = b.Port(t.nodes[0], t.nodes[1]) }

func (t *Thermistor) LoadMatrix(s *circuit.System) {
	t.g = t.Siemens(s.Kelvin)
	t.port.Conductance(s, t.g)
}

func (t *Thermistor) LoadSource(*circuit.System) {}
func (t *Thermistor) Store(*circuit.System)      {}
func (t *Thermistor) Static()                    {}

// Current returns the current from a to b.
func (t *Thermistor) Current(x []float64) float64 { return t.g * t.port.Volts(x) }

// Power returns the loss.
func (t *Thermistor) Power(x []float64) float64 { return t.Current(x) * t.port.Volts(x) }

func (t *Thermistor) Hold(m []float64) []float64   { return append(m, t.fixed) }
func (t *Thermistor) Recall(m []float64) []float64 { t.fixed = m[0]; return m[1:] }
