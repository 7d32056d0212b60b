package cell

import (
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// NewResistance returns a load that is a resistance; +Inf is none.
func NewResistance(name string, plus, minus circuit.Node, ohms float64) *device.Resistor {
	return device.NewResistor(name, plus, minus, device.ResistorParams{Ohms: ohms})
}

// NewConstantCurrent returns a load that draws amps and cannot pull its port
// below zero volts; 0 is none.
func NewConstantCurrent(name string, plus, minus circuit.Node, amps float64) *device.Sink {
	return device.NewSink(name, plus, minus, device.SinkParams{Amps: amps})
}

// PowerParams is a load of constant power. Watts 0 is none.
type PowerParams struct {
	Watts float64
	Least float64 // V below which it gives way; 0: 1 V
}

// Power is a load of constant power,
//
//	i = P·v/(v² + V²)
//
// that gives way below a least voltage V, where it draws half of it.
type Power struct {
	element
	p PowerParams
	tangent
}

// NewPower returns a load of constant power.
func NewPower(name string, plus, minus circuit.Node, p PowerParams) *Power {
	p.Least = or(p.Least, 1)
	return &Power{element{name: name, plus: plus, minus: minus}, p, tangent{at: nowhere}}
}

// Params returns what it was made from, as changed since.
func (l *Power) Params() PowerParams { return l.p }

// SetWatts changes the power.
func (l *Power) SetWatts(watts float64) { l.p.Watts = watts }

func (l *Power) Bind(b *circuit.Binder) { l.bind(b) }
func (l *Power) Reset()                 { l.at = nowhere }

func (l *Power) bias(v float64) (i, g float64) {
	d := v*v + l.p.Least*l.p.Least
	return l.p.Watts * v / d, l.p.Watts * (l.p.Least*l.p.Least - v*v) / (d * d)
}

func (l *Power) Load(s *circuit.System) {
	v := l.Volts(s.X)
	if l.left(v, l.p.Watts, s.Scale) {
		i, g := l.bias(v)
		l.renew(s, s.Scale*i, s.Scale*g)
	}
	l.load(s, l.port, v)
}

// Current returns the current into plus.
func (l *Power) Current(x []float64) float64 {
	i, _ := l.bias(l.Volts(x))
	return i
}

// InrushParams is a capacitor behind a resistance. Farads 0 is none.
type InrushParams struct {
	Ohms, Farads float64
}

// Inrush is a load that is a capacitor behind a resistance. The capacitor's
// voltage is an unknown of its own:
//
//	i = (v − u)/R,  C·du/dt = i
//
// Off, it keeps its charge.
type Inrush struct {
	element
	p              InrushParams
	on             bool
	state          int
	u              circuit.Node
	self           int32
	byPlus, inPlus int32
	byMinus        int32
	inMinus        int32
}

// NewInrush returns the load, switched off and empty.
func NewInrush(name string, plus, minus circuit.Node, p InrushParams) *Inrush {
	p.Ohms = atLeast(p.Ohms)
	return &Inrush{element: element{name: name, plus: plus, minus: minus}, p: p}
}

// Params returns what it was made from.
func (l *Inrush) Params() InrushParams { return l.p }

// Connect switches it on or off.
func (l *Inrush) Connect(on bool) { l.on = on }

func (l *Inrush) Bind(b *circuit.Binder) {
	l.bind(b)
	l.u, l.state = b.Branch(), b.State(1)
	l.self = b.Entry(l.u, l.u)
	l.byPlus, l.byMinus = b.Entry(l.u, l.plus), b.Entry(l.u, l.minus)
	l.inPlus, l.inMinus = b.Entry(l.plus, l.u), b.Entry(l.minus, l.u)
}

func (l *Inrush) siemens() float64 {
	if !l.on || l.p.Farads == 0 {
		return 0
	}
	return 1 / l.p.Ohms
}

// held reports whether nothing but its own charge sets the capacitor's
// voltage: at rest and off.
func (l *Inrush) held(s *circuit.System) bool {
	return l.p.Farads == 0 || s.Alpha == 0 && !l.on
}

func (l *Inrush) LoadMatrix(s *circuit.System) {
	g := l.siemens()
	l.port.Conductance(s, g)
	s.A[l.inPlus] -= g
	s.A[l.inMinus] += g
	s.A[l.byPlus] -= g
	s.A[l.byMinus] += g
	s.A[l.self] += g + s.Alpha*l.p.Farads
	if l.held(s) {
		s.A[l.self]++
	}
}

func (l *Inrush) LoadSource(s *circuit.System) {
	s.B[l.u] -= s.Hist[l.state]
	if l.held(s) && l.p.Farads > 0 {
		s.B[l.u] += s.Q[l.state] / l.p.Farads
	}
}

func (l *Inrush) Store(s *circuit.System) {
	s.Q[l.state], s.F[l.state] = l.p.Farads*s.X[l.u], l.Current(s.X)
}

// CapacitorVolts returns the voltage of the capacitor.
func (l *Inrush) CapacitorVolts(x []float64) float64 { return x[l.u] }

// Current returns the current into plus.
func (l *Inrush) Current(x []float64) float64 { return (l.Volts(x) - x[l.u]) * l.siemens() }

// Power returns what it takes.
func (l *Inrush) Power(x []float64) float64 { return l.Current(x) * l.Volts(x) }

func (l *Inrush) Hold(m []float64) []float64 {
	if l.on {
		return append(m, 1)
	}
	return append(m, 0)
}

func (l *Inrush) Recall(m []float64) []float64 { l.on = m[0] != 0; return m[1:] }
