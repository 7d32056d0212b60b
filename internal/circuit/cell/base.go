package cell

import (
	"math"

	"cupel/internal/circuit"
)

// element is what every element here has.
type element struct {
	name        string
	plus, minus circuit.Node
	port        circuit.Port
}

// Name returns the name given.
func (e *element) Name() string { return e.name }

// Terminals returns plus and minus.
func (e *element) Terminals() []circuit.Node { return []circuit.Node{e.plus, e.minus} }

func (e *element) bind(b *circuit.Binder) { e.port = b.Port(e.plus, e.minus) }

// Volts returns the voltage from plus to minus.
func (e *element) Volts(x []float64) float64 { return e.port.Volts(x) }

// LeastOhms is the smallest resistance an element takes.
const LeastOhms = 1e-5

func atLeast(ohms float64) float64 { return max(ohms, LeastOhms) }

func or(v, d float64) float64 {
	if v == 0 {
		return d
	}
	return v
}

// softplus returns ln(1 + e^x) and its slope, without overflow.
func softplus(x float64) (y, slope float64) {
	e := math.Exp(-math.Abs(x))
	if x > 0 {
		return x + math.Log1p(e), 1 / (1 + e)
	}
	return math.Log1p(e), e / (1 + e)
}
