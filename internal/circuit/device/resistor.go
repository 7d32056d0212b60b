package device

import "cupel/internal/circuit"

// ResistorParams is a resistance, stated at 25 °C.
type ResistorParams struct {
	Ohms   float64 // +Inf is absent, less than LeastOhms is LeastOhms
	Tempco float64 // 1/K
}

// Resistor is a resistance with a linear temperature coefficient.
type Resistor struct {
	base
	p    ResistorParams
	port circuit.Port
	g    float64 // S, at the temperature last loaded
}

// NewResistor returns a resistor between a and b.
func NewResistor(name string, a, b circuit.Node, p ResistorParams) *Resistor {
	return &Resistor{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p}
}

// Params returns what it was made from, as changed since.
func (r *Resistor) Params() ResistorParams { return r.p }

// SetOhms changes the resistance at 25 °C.
func (r *Resistor) SetOhms(ohms float64) { r.p.Ohms = ohms }

// Siemens returns the conductance at a temperature.
func (r *Resistor) Siemens(kelvin float64) float64 {
	return siemens(r.p.Ohms * linearTempco(r.p.Tempco, kelvin, room))
}

func (r *Resistor) Bind(b *circuit.Binder) { r.port = b.Port(r.nodes[0], r.nodes[1]) }

func (r *Resistor) LoadMatrix(s *circuit.System) {
	r.g = r.Siemens(r.kelvin(s))
	r.port.Conductance(s, r.g)
}

func (r *Resistor) LoadSource(*circuit.System) {}
func (r *Resistor) Store(*circuit.System)      {}
func (r *Resistor) Static()                    {}

// Current returns the current from a to b.
func (r *Resistor) Current(x []float64) float64 { return r.g * r.port.Volts(x) }

// Power returns the loss.
func (r *Resistor) Power(x []float64) float64 { return r.Current(x) * r.port.Volts(x) }
