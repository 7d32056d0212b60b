package device

import (
	"math"

	"cupel/internal/circuit"
)

// DiodeParams describes a diode, a zener or a clamp, at Nominal. Zero values
// mean what their comments say.
type DiodeParams struct {
	Sat     float64 // A, saturation current Is
	N       float64 // emission coefficient; 0: 1
	Ohms    float64 // series resistance
	XTI     float64 // temperature exponent of Is; 0: 3
	Gap     float64 // eV; 0: 1.11
	Nominal float64 // K of these figures; 0: 25 °C

	Breakdown       float64 // V at BreakdownAmps; 0: none
	BreakdownAmps   float64 // A; 0: 1 mA
	BreakdownSlope  float64 // V, of the exponential: impedance × current; 0: 50 mV
	BreakdownOhms   float64 // series resistance beyond it
	BreakdownTempco float64 // V/K

	Leak       float64 // A of reverse leakage
	LeakVolts  float64 // V over which it saturates; 0: 0.5 V
	LeakDouble float64 // K that double it; 0: 10 K

	Farads    float64 // junction capacitance at 0 V
	Potential float64 // V of the graded junction; 0: 0.75 V
	Grading   float64 // 0: constant capacitance
	Transit   float64 // s, transit time
}

// Diode is a junction diode; with a breakdown it is a zener or a clamp.
type Diode struct {
	base
	p       DiodeParams
	m       DiodeModel
	known   bool
	port    circuit.Port
	state   int
	last    float64 // V, last iterate
	charge  depletion
	tangent diodeTangent
}

// diodeTangent is where a diode was last evaluated.
type diodeTangent struct{ v, i, g, q, c float64 }

// NewDiode returns a diode.
func NewDiode(name string, anode, cathode circuit.Node, p DiodeParams) *Diode {
	d := &Diode{base: base{name: name, nodes: []circuit.Node{anode, cathode}}}
	d.Set(p)
	return d
}

// Set changes its parameters.
func (d *Diode) Set(p DiodeParams) {
	p.N, p.XTI, p.Gap = or(p.N, 1), or(p.XTI, siliconXTI), or(p.Gap, siliconGap)
	p.Nominal = or(p.Nominal, room)
	p.BreakdownAmps, p.BreakdownSlope = or(p.BreakdownAmps, 1e-3), or(p.BreakdownSlope, 0.05)
	p.Potential = or(p.Potential, 0.75)
	d.p, d.known = p, false
	d.charge = depletion{p.Farads, p.Potential, p.Grading}
}

// Params returns what it was made from, defaults filled in.
func (d *Diode) Params() DiodeParams { return d.p }

// DiodeModel is a diode at one temperature.
type DiodeModel struct {
	Kelvin    float64
	Forward   Exponential
	Breaks    bool
	Breakdown Exponential // of the reverse voltage, counted from 0
	LeakAmps  float64
	LeakVolts float64
}

// At returns the model at a temperature.
func (p DiodeParams) At(kelvin float64) DiodeModel {
	sat := p.Sat * saturationRatio(kelvin, p.Nominal, p.N, p.XTI, p.Gap)
	l := leakageAt(p.Leak, p.LeakVolts, p.LeakDouble, kelvin, p.Nominal)
	m := DiodeModel{
		Kelvin:   kelvin,
		Forward:  NewExponential(math.Log(sat), p.N*ThermalVolts(kelvin), p.Ohms),
		Breaks:   p.Breakdown > 0,
		LeakAmps: l.amps, LeakVolts: l.volts,
	}
	if m.Breaks {
		m.Breakdown = breakdownAt(
			p.Breakdown+p.BreakdownTempco*(kelvin-p.Nominal), p.BreakdownAmps, p.BreakdownSlope, p.BreakdownOhms)
	}
	return m
}

// breakdownAt returns the junction that carries amps at volts:
// Is = amps/(e^x − 1) with x = (volts − amps·R)/w.
func breakdownAt(volts, amps, slope, ohms float64) Exponential {
	x := (volts - amps*ohms) / slope
	return NewExponential(math.Log(amps)-x-math.Log1p(-math.Exp(-x)), slope, ohms)
}

// Current returns current and slope at voltage v, without gmin.
func (m *DiodeModel) Current(v float64) (i, g float64) {
	i, g = m.Forward.At(v)
	if m.Breaks {
		ib, gb := m.Breakdown.At(-v)
		i, g = i-ib, g+gb
	}
	il, gl := leakage{m.LeakAmps, m.LeakVolts}.at(v)
	return i + il, g + gl
}

func (m *DiodeModel) limit(v, old float64) (float64, bool) {
	if v >= 0 {
		return m.Forward.limit(v, old)
	}
	if !m.Breaks {
		return v, false
	}
	u, moved := m.Breakdown.limit(-v, -old)
	return -u, moved
}

func (d *Diode) Bind(b *circuit.Binder) {
	d.port = b.Port(d.nodes[0], d.nodes[1])
	d.state = b.State(1)
}

func (d *Diode) Reset() { d.last, d.tangent.v = 0, nowhere }

func (d *Diode) warm(s *circuit.System) {
	if t := d.kelvin(s); !d.known || d.m.Kelvin != t {
		d.m, d.known = d.p.At(t), true
		d.tangent.v = nowhere
	}
}

func (d *Diode) Load(s *circuit.System) {
	d.warm(s)
	v, moved := d.m.limit(d.port.Volts(s.X), d.last)
	if moved {
		s.Limit()
	}
	d.last = v
	t := &d.tangent
	if !(math.Abs(v-t.v) <= circuit.Still) {
		was := *t
		d.evaluate(v)
		s.Fresh()
		u := v - was.v
		s.Stray(t.i+s.Alpha*t.q, was.i+was.g*u+s.Alpha*(was.q+was.c*u))
	}
	u := v - t.v
	i := t.i + t.g*u + s.Gmin*v + charge(s, d.state, t.q+t.c*u)
	d.port.Linearised(s, i, t.g+s.Gmin+s.Alpha*t.c, v)
}

// Rests reports whether it is still where it was last evaluated.
func (d *Diode) Rests(s *circuit.System) bool {
	return math.Abs(d.port.Volts(s.X)-d.tangent.v) <= circuit.Still && d.m.Kelvin == d.kelvin(s)
}

// Carry sets its charge along the tangent.
func (d *Diode) Carry(s *circuit.System) {
	t := &d.tangent
	charge(s, d.state, t.q+t.c*(d.port.Volts(s.X)-t.v))
}

// evaluate sets the tangent at v.
func (d *Diode) evaluate(v float64) {
	t := &d.tangent
	t.v = v
	t.i, t.g = d.m.Current(v)
	t.q, t.c = d.charge.at(v)
	if d.p.Transit > 0 {
		ij, gj := d.m.Forward.At(v)
		t.q, t.c = t.q+d.p.Transit*ij, t.c+d.p.Transit*gj
	}
}

// Current returns the current from anode to cathode, without that into its
// capacitance.
func (d *Diode) Current(x []float64) float64 {
	i, _ := d.m.Current(d.port.Volts(x))
	return i
}

// Power returns the loss.
func (d *Diode) Power(x []float64) float64 { return d.Current(x) * d.port.Volts(x) }

// State returns the number of its charge in Q and F.
func (d *Diode) State() int { return d.state }

func (d *Diode) Hold(m []float64) []float64 { return append(m, d.last) }
func (d *Diode) Recall(m []float64) []float64 {
	d.last, d.tangent.v = m[0], nowhere
	return m[1:]
}
