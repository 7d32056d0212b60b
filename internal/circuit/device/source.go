package device

import "cupel/internal/circuit"

// Waveform is a value over time; nil is a constant.
type Waveform func(seconds float64) float64

func (w Waveform) at(t, constant float64) float64 {
	if w == nil {
		return constant
	}
	return w(t)
}

// VoltageParams is an ideal source: Volts, or Wave over time where given.
type VoltageParams struct {
	Volts float64
	Wave  Waveform
}

// Voltage is an ideal voltage source, plus at a. Its current is an unknown
// and counts from a through the source to b, as SPICE counts it: a source that
// delivers power has a negative one.
type Voltage struct {
	base
	p      VoltageParams
	branch circuit.Branch
}

// NewVoltage returns a source with its plus at a.
func NewVoltage(name string, a, b circuit.Node, p VoltageParams) *Voltage {
	return &Voltage{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p}
}

// Params returns what it was made from, as changed since.
func (v *Voltage) Params() VoltageParams { return v.p }

// SetVolts makes it a constant source.
func (v *Voltage) SetVolts(volts float64) { v.p = VoltageParams{Volts: volts} }

func (v *Voltage) Bind(b *circuit.Binder) { v.branch = b.BranchBetween(v.nodes[0], v.nodes[1]) }

func (v *Voltage) LoadMatrix(s *circuit.System) { v.branch.Impedance(s, 0) }

func (v *Voltage) LoadSource(s *circuit.System) {
	v.branch.Volts(s, s.Scale*v.p.Wave.at(s.Time, v.p.Volts))
}

func (v *Voltage) Store(*circuit.System) {}

// Current returns the current from a through the source to b.
func (v *Voltage) Current(x []float64) float64 { return x[v.branch.I] }

// CurrentParams is an ideal source: Amps, or Wave over time where given.
type CurrentParams struct {
	Amps float64
	Wave Waveform
}

// Current is an ideal current source from a through itself to b.
type Current struct {
	base
	p    CurrentParams
	port circuit.Port
}

// NewCurrent returns a source that drives current from a to b through itself.
func NewCurrent(name string, a, b circuit.Node, p CurrentParams) *Current {
	return &Current{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p}
}

// Params returns what it was made from, as changed since.
func (c *Current) Params() CurrentParams { return c.p }

// SetAmps makes it a constant source.
func (c *Current) SetAmps(amps float64) { c.p = CurrentParams{Amps: amps} }

func (c *Current) Bind(b *circuit.Binder)     { c.port = b.Port(c.nodes[0], c.nodes[1]) }
func (c *Current) LoadMatrix(*circuit.System) {}
func (c *Current) Store(*circuit.System)      {}
func (c *Current) LoadSource(s *circuit.System) {
	c.port.Current(s, s.Scale*c.p.Wave.at(s.Time, c.p.Amps))
}

// Transconductance is a current source driven by a voltage: from a to b flows
// Siemens times the voltage from c to d.
type Transconductance struct {
	base
	siemens float64
	slots   circuit.Transfer
}

// NewTransconductance returns a source from a to b driven by the voltage from
// c to d.
func NewTransconductance(name string, a, b, c, d circuit.Node, siemens float64) *Transconductance {
	return &Transconductance{base: base{name: name, nodes: []circuit.Node{a, b, c, d}}, siemens: siemens}
}

// Siemens returns its transconductance.
func (t *Transconductance) Siemens() float64 { return t.siemens }

func (t *Transconductance) Bind(b *circuit.Binder) {
	n := t.nodes
	t.slots = b.Transfer(b.Port(n[0], n[1]), b.Port(n[2], n[3]))
}

func (t *Transconductance) LoadMatrix(s *circuit.System) { t.slots.Add(s, t.siemens) }
func (t *Transconductance) LoadSource(*circuit.System)   {}
func (t *Transconductance) Store(*circuit.System)        {}
