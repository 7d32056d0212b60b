package device

import (
	"math"

	"cupel/internal/circuit"
)

// SinkParams is a current that something draws, as long as there is a voltage
// to draw it from.
type SinkParams struct {
	Amps  float64
	Volts float64 // over which it comes in; 0: 50 mV
}

// Sink draws a current from a to b that cannot pull a below b:
//
//	i = I·tanh²(v/V) for v > 0, else 0
//
// smooth to its first derivative. It is a supply current or a
// constant-current load.
type Sink struct {
	base
	p    SinkParams
	port circuit.Port
	last float64 // V, last iterate

	v, i, g, scale float64 // where it was last evaluated
}

const (
	defaultSinkVolts = 0.05
	steepest         = 0.66 // V at which tanh² is steepest
)

// NewSink returns a sink from a to b.
func NewSink(name string, a, b circuit.Node, p SinkParams) *Sink {
	p.Volts = or(p.Volts, defaultSinkVolts)
	return &Sink{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p, v: nowhere}
}

// Params returns what it was made from, as changed since.
func (k *Sink) Params() SinkParams { return k.p }

// SetAmps changes the current.
func (k *Sink) SetAmps(amps float64) { k.p.Amps, k.v = amps, nowhere }

func (k *Sink) Bind(b *circuit.Binder) { k.port = b.Port(k.nodes[0], k.nodes[1]) }
func (k *Sink) Reset()                 { k.last, k.v = 0, nowhere }

func (k *Sink) bias(v float64) (i, g float64) {
	if v <= 0 {
		return 0, 0
	}
	t := math.Tanh(v / k.p.Volts)
	return k.p.Amps * t * t, k.p.Amps * 2 * t * (1 - t*t) / k.p.Volts
}

func (k *Sink) Load(s *circuit.System) {
	v := k.limit(s, k.port.Volts(s.X))
	if !(math.Abs(v-k.v) <= circuit.Still) || k.scale != s.Scale {
		promised := k.i + k.g*(v-k.v)
		k.v, k.scale = v, s.Scale
		k.i, k.g = k.bias(v)
		s.Fresh()
		s.Stray(k.i, promised)
	}
	k.port.Linearised(s, s.Scale*(k.i+k.g*(v-k.v)), s.Scale*k.g, v)
}

// Rests reports whether it is still where it was last evaluated.
func (k *Sink) Rests(s *circuit.System) bool {
	return math.Abs(k.port.Volts(s.X)-k.v) <= circuit.Still && k.scale == s.Scale
}

// Carry does nothing: it holds no charge.
func (k *Sink) Carry(*circuit.System) {}

// limit makes an iterate that would leap over the knee land where it is steepest
// first: from either side of that the slope misleads to the other.
func (k *Sink) limit(s *circuit.System, v float64) float64 {
	knee := steepest * k.p.Volts
	if k.last > knee && v < 0 || k.last <= 0 && v > knee {
		v = knee
		s.Limit()
	}
	k.last = v
	return v
}

// Current returns the current from a to b.
func (k *Sink) Current(x []float64) float64 {
	i, _ := k.bias(k.port.Volts(x))
	return i
}

// Power returns what it takes.
func (k *Sink) Power(x []float64) float64 { return k.Current(x) * k.port.Volts(x) }

func (k *Sink) Hold(m []float64) []float64   { return append(m, k.last) }
func (k *Sink) Recall(m []float64) []float64 { k.last, k.v = m[0], nowhere; return m[1:] }
