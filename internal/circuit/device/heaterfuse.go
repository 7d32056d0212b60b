package device

import (
	"math"

	"cupel/internal/circuit"
)

// HeaterParams describes the heater inside a fuse by one point: at Watts alone,
// from cold, the fuse parts after Seconds.
type HeaterParams struct {
	Ohms    float64
	Watts   float64
	Seconds float64
}

// heater melts a fuse from a pin of its own. It stands between that pin and the
// middle of the element, so that both halves part and the heater loses its
// current with them.
type heater struct {
	p           HeaterParams
	left, right circuit.Port
	port        circuit.Port
	weight      float64 // A² that heat the element as much as a watt of the heater
	g           float64
}

// NewHeaterFuse returns a fuse between a and b that a current through its pin h
// can part; m is the middle of its element. Its heat obeys
//
//	dh/dt = i² + w·P − h/τ
//
// with i the larger current of the two halves, P the loss of the heater and w
// so that P = Watts alone parts it after Seconds.
func NewHeaterFuse(name string, a, b, m, h circuit.Node, p FuseParams, q HeaterParams) *Fuse {
	f := NewFuse(name, a, b, p)
	f.nodes = []circuit.Node{a, b, m, h}
	f.heater = &heater{p: q}
	if q.Watts > 0 && q.Seconds > 0 && !math.IsInf(f.limit, 1) {
		f.heater.weight = f.limit / (q.Watts * f.tau * -math.Expm1(-q.Seconds/f.tau))
	}
	return f
}

// Heater returns what its heater was made from, and whether it has one.
func (f *Fuse) Heater() (HeaterParams, bool) {
	if f.heater == nil {
		return HeaterParams{}, false
	}
	return f.heater.p, true
}

// HeaterSiemens is the conductance of the heater; none once it has parted.
func (f *Fuse) HeaterSiemens() float64 {
	if f.blown {
		return 0
	}
	return siemens(f.heater.p.Ohms)
}

func (h *heater) bind(f *Fuse, b *circuit.Binder) {
	h.left, h.right = b.Port(f.nodes[0], f.nodes[2]), b.Port(f.nodes[2], f.nodes[1])
	h.port = b.Port(f.nodes[2], f.nodes[3])
}

func (h *heater) loadMatrix(f *Fuse, s *circuit.System) {
	h.left.Conductance(s, 2*f.g)
	h.right.Conductance(s, 2*f.g)
	h.g = f.HeaterSiemens()
	h.port.Conductance(s, h.g)
}

// heat is i² + w·P.
func (h *heater) heat(f *Fuse, x []float64) float64 {
	i := max(math.Abs(2*f.g*h.left.Volts(x)), math.Abs(2*f.g*h.right.Volts(x)))
	return i*i + h.weight*h.power(x)
}

func (h *heater) power(x []float64) float64 {
	v := h.port.Volts(x)
	return h.g * v * v
}
