package device

import (
	"math"

	"cupel/internal/circuit"
)

// FuseParams describes a fuse by one point of its time–current curve.
type FuseParams struct {
	Ohms        float64 // cold
	Tempco      float64 // 1/K
	RatedAmps   float64 // carried for ever
	BlowAmps    float64 // at which it parts
	BlowSeconds float64 // after that time
}

// carryMargin is how far above its rating a fuse may be loaded for ever; from
// memory, fuse standards ask for 1.1 to 1.5.
const carryMargin = 1.25

// Fuse is a resistance with a memory of its heat h:
//
//	dh/dt = i² − h/τ,  parts at h = (1.25·I)²·τ
//
// so that it carries 1.25·I for ever, parts at BlowAmps after BlowSeconds, and
// far above that at a constant I²t. It does not part by itself within a solve:
// the caller watches Margin, and calls Open where it crosses 0.
type Fuse struct {
	base
	p     FuseParams
	tau   float64
	limit float64 // A²s
	blown bool
	port  circuit.Port
	state int
	g     float64

	heater *heater // nil: it parts by its own current alone
}

// NewFuse returns a fuse between a and b. Without a rating it never parts.
func NewFuse(name string, a, b circuit.Node, p FuseParams) *Fuse {
	f := &Fuse{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p, tau: 1, limit: math.Inf(1)}
	hold := carryMargin * p.RatedAmps
	if hold > 0 && p.BlowAmps > hold && p.BlowSeconds > 0 {
		// BlowAmps²·τ·(1 − e^(−t/τ)) = hold²·τ
		f.tau = -p.BlowSeconds / math.Log1p(-(hold/p.BlowAmps)*(hold/p.BlowAmps))
		f.limit = hold * hold * f.tau
	}
	return f
}

// Params returns what it was made from.
func (f *Fuse) Params() FuseParams { return f.p }

// Blown reports whether it has parted.
func (f *Fuse) Blown() bool { return f.blown }

// Open parts it.
func (f *Fuse) Open() { f.blown = true }

// Margin returns what is left of its heat before it parts: 1 cold, 0 parting.
func (f *Fuse) Margin(s *circuit.System) float64 { return 1 - s.Q[f.state]/f.limit }

// Siemens returns its conductance at a board temperature.
func (f *Fuse) Siemens(kelvin float64) float64 {
	if f.blown {
		return 0
	}
	return siemens(f.p.Ohms * linearTempco(f.p.Tempco, kelvin+f.rise, room))
}

func (f *Fuse) Bind(b *circuit.Binder) {
	if f.state = b.State(1); f.heater != nil {
		f.heater.bind(f, b)
		return
	}
	f.port = b.Port(f.nodes[0], f.nodes[1])
}

func (f *Fuse) LoadMatrix(s *circuit.System) {
	f.g = f.Siemens(s.Kelvin)
	if f.heater != nil {
		f.heater.loadMatrix(f, s)
		return
	}
	f.port.Conductance(s, f.g)
}

func (f *Fuse) LoadSource(*circuit.System) {}

// Store solves Alpha·h + Hist = i² − h/τ. At rest the heat stays what it is.
func (f *Fuse) Store(s *circuit.System) {
	if s.Alpha == 0 {
		s.F[f.state] = 0
		return
	}
	heat := f.heat(s.X)
	h := (heat - s.Hist[f.state]) / (s.Alpha + 1/f.tau)
	s.Q[f.state], s.F[f.state] = h, heat-h/f.tau
}

func (f *Fuse) heat(x []float64) float64 {
	if f.heater != nil {
		return f.heater.heat(f, x)
	}
	i := f.Current(x)
	return i * i
}

// Current returns the current into it at a.
func (f *Fuse) Current(x []float64) float64 {
	if f.heater != nil {
		return 2 * f.g * f.heater.left.Volts(x)
	}
	return f.g * f.port.Volts(x)
}

// Power returns the loss, that of a heater included.
func (f *Fuse) Power(x []float64) float64 {
	if h := f.heater; h != nil {
		l, r := h.left.Volts(x), h.right.Volts(x)
		return 2*f.g*(l*l+r*r) + h.power(x)
	}
	return f.Current(x) * f.port.Volts(x)
}

func (f *Fuse) Hold(m []float64) []float64   { return append(m, truth(f.blown)) }
func (f *Fuse) Recall(m []float64) []float64 { f.blown = m[0] != 0; return m[1:] }
