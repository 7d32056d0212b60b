package device

import (
	"math"

	"cupel/internal/circuit"
)

// base is what every element has.
type base struct {
	name  string
	nodes []circuit.Node
	rise  float64 // K above the board
}

// Name returns the name given.
func (b *base) Name() string { return b.name }

// Terminals returns the nodes in the order of the constructor's arguments.
func (b *base) Terminals() []circuit.Node { return b.nodes }

// SetRise sets how much hotter than the board the part is.
func (b *base) SetRise(kelvin float64) { b.rise = kelvin }

// Rise returns how much hotter than the board the part is.
func (b *base) Rise() float64 { return b.rise }

func (b *base) kelvin(s *circuit.System) float64 { return s.Kelvin + b.rise }

// nowhere is the voltage of a tangent that holds nowhere: it is far from every
// other, so the element is evaluated at its next load.
var nowhere = math.NaN()

// LeastOhms is the smallest resistance an element takes: less than any joint
// on a board, yet far enough from zero to keep the equations well scaled.
const LeastOhms = 1e-5

// siemens is the conductance of a resistance that may be 0 or infinite.
func siemens(ohms float64) float64 { return 1 / max(ohms, LeastOhms) }

// linearTempco is 1 + α·(T − T0), kept above a tenth so that a slope read off
// between 25 and 125 °C cannot turn a resistance negative far outside.
func linearTempco(alpha, kelvin, nominal float64) float64 {
	return max(0.1, 1+alpha*(kelvin-nominal))
}
