package cell

import "cupel/internal/circuit"

// SourceParams is a voltage behind a resistance.
type SourceParams struct {
	Volts float64
	Ohms  float64 // less than LeastOhms is LeastOhms
}

// Source is a settable voltage behind a resistance: the cell of the trials. It
// can be taken off.
type Source struct {
	element
	p   SourceParams
	off bool
}

// NewSource returns a source.
func NewSource(name string, plus, minus circuit.Node, p SourceParams) *Source {
	p.Ohms = atLeast(p.Ohms)
	return &Source{element: element{name: name, plus: plus, minus: minus}, p: p}
}

// Params returns what it was made from, as changed since.
func (c *Source) Params() SourceParams { return c.p }

// SetVolts changes the voltage; the matrix stays.
func (c *Source) SetVolts(volts float64) { c.p.Volts = volts }

// SetOhms changes the resistance.
func (c *Source) SetOhms(ohms float64) { c.p.Ohms = atLeast(ohms) }

// Connect puts it on or takes it off.
func (c *Source) Connect(on bool) { c.off = !on }

// Connected reports whether it is on.
func (c *Source) Connected() bool { return !c.off }

func (c *Source) siemens() float64 {
	if c.off {
		return 0
	}
	return 1 / c.p.Ohms
}

func (c *Source) Bind(b *circuit.Binder)       { c.bind(b) }
func (c *Source) LoadMatrix(s *circuit.System) { c.port.Conductance(s, c.siemens()) }
func (c *Source) Store(*circuit.System)        {}
func (c *Source) LoadSource(s *circuit.System) {
	c.port.Current(s, -s.Scale*c.p.Volts*c.siemens())
}

// Current returns the current out of plus.
func (c *Source) Current(x []float64) float64 { return (c.p.Volts - c.Volts(x)) * c.siemens() }

// Power returns what it delivers at its terminals.
func (c *Source) Power(x []float64) float64 { return c.Current(x) * c.Volts(x) }

func (c *Source) Hold(m []float64) []float64 {
	off := 0.
	if c.off {
		off = 1
	}
	return append(m, c.p.Volts, c.p.Ohms, off)
}

func (c *Source) Recall(m []float64) []float64 {
	c.p.Volts, c.p.Ohms, c.off = m[0], m[1], m[2] != 0
	return m[3:]
}
