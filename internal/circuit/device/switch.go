package device

import (
	"math"

	"cupel/internal/circuit"
)

// SwitchParams is the resistance in either position. OffOhms 0 means truly
// absent.
type SwitchParams struct {
	OnOhms  float64
	OffOhms float64 // 0: no conductance at all
}

// Switch is a resistance with two positions, at first off.
type Switch struct {
	base
	p    SwitchParams
	on   bool
	port circuit.Port
}

// NewSwitch returns an open switch between a and b.
func NewSwitch(name string, a, b circuit.Node, p SwitchParams) *Switch {
	return &Switch{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p}
}

// Params returns what it was made from, as changed since.
func (w *Switch) Params() SwitchParams { return w.p }

// On reports its position.
func (w *Switch) On() bool { return w.on }

// Set moves it and reports whether that changed anything, so that the caller
// knows whether the matrix is stale.
func (w *Switch) Set(on bool) bool {
	changed := w.on != on
	w.on = on
	return changed
}

// SetParams changes its resistances.
func (w *Switch) SetParams(p SwitchParams) { w.p = p }

// Siemens returns its present conductance.
func (w *Switch) Siemens() float64 {
	if w.on {
		return siemens(w.p.OnOhms)
	}
	return siemens(or(w.p.OffOhms, math.Inf(1)))
}

func (w *Switch) Bind(b *circuit.Binder)       { w.port = b.Port(w.nodes[0], w.nodes[1]) }
func (w *Switch) LoadMatrix(s *circuit.System) { w.port.Conductance(s, w.Siemens()) }
func (w *Switch) LoadSource(*circuit.System)   {}
func (w *Switch) Store(*circuit.System)        {}
func (w *Switch) Static()                      {}
func (w *Switch) Current(x []float64) float64  { return w.Siemens() * w.port.Volts(x) }
func (w *Switch) Power(x []float64) float64    { return w.Current(x) * w.port.Volts(x) }
func (w *Switch) Hold(m []float64) []float64   { return append(m, truth(w.on)) }
func (w *Switch) Recall(m []float64) []float64 { w.on = m[0] != 0; return m[1:] }

func truth(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
