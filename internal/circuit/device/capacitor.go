package device

import "cupel/internal/circuit"

// CapacitorParams is a capacitance that depends on nothing.
type CapacitorParams struct {
	Farads float64
}

// Capacitor is a linear capacitor.
type Capacitor struct {
	base
	p     CapacitorParams
	port  circuit.Port
	state int
}

// NewCapacitor returns a capacitor between a and b.
func NewCapacitor(name string, a, b circuit.Node, p CapacitorParams) *Capacitor {
	return &Capacitor{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p}
}

// Params returns what it was made from.
func (c *Capacitor) Params() CapacitorParams { return c.p }

func (c *Capacitor) Bind(b *circuit.Binder) {
	c.port = b.Port(c.nodes[0], c.nodes[1])
	c.state = b.State(1)
}

func (c *Capacitor) LoadMatrix(s *circuit.System) { c.port.Conductance(s, s.Alpha*c.p.Farads) }
func (c *Capacitor) LoadSource(s *circuit.System) { c.port.Current(s, s.Hist[c.state]) }

func (c *Capacitor) Store(s *circuit.System) {
	q := c.p.Farads * c.port.Volts(s.X)
	s.Q[c.state] = q
	s.F[c.state] = s.Alpha*q + s.Hist[c.state]
}

// State returns the number of its charge in Q and F.
func (c *Capacitor) State() int { return c.state }
