package device

import "cupel/internal/circuit"

// InductorParams is a coil or a length of wire. Both may be 0: a joint.
type InductorParams struct {
	Henry float64
	Ohms  float64 // in series
}

// Inductor is an inductance in series with a resistance. Its current is an
// unknown, its flux a state:
//
//	v(a) − v(b) − R·i − dφ/dt = 0,  φ = L·i
type Inductor struct {
	base
	p      InductorParams
	branch circuit.Branch
	state  int
}

// NewInductor returns a coil between a and b.
func NewInductor(name string, a, b circuit.Node, p InductorParams) *Inductor {
	return &Inductor{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p}
}

// NewWire returns a length of wire between a and b: a coil under its own name.
func NewWire(name string, a, b circuit.Node, ohms, henry float64) *Inductor {
	return NewInductor(name, a, b, InductorParams{Henry: henry, Ohms: ohms})
}

// Params returns what it was made from, as changed since.
func (l *Inductor) Params() InductorParams { return l.p }

// Set changes inductance and resistance. The flux follows the current, which
// does not jump.
func (l *Inductor) Set(p InductorParams) { l.p = p }

func (l *Inductor) Bind(b *circuit.Binder) {
	l.branch = b.BranchBetween(l.nodes[0], l.nodes[1])
	l.state = b.State(1)
}

func (l *Inductor) LoadMatrix(s *circuit.System) {
	l.branch.Impedance(s, l.p.Ohms+s.Alpha*l.p.Henry)
}

func (l *Inductor) LoadSource(s *circuit.System) { l.branch.Volts(s, s.Hist[l.state]) }

func (l *Inductor) Store(s *circuit.System) {
	flux := l.p.Henry * s.X[l.branch.I]
	s.Q[l.state] = flux
	s.F[l.state] = s.Alpha*flux + s.Hist[l.state]
}

// Current returns the current from a to b.
func (l *Inductor) Current(x []float64) float64 { return x[l.branch.I] }

// Power returns the loss in the series resistance.
func (l *Inductor) Power(x []float64) float64 {
	i := l.Current(x)
	return i * i * l.p.Ohms
}

// State returns the number of its flux in Q and F.
func (l *Inductor) State() int { return l.state }
