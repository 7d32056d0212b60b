package device

import (
	"math"

	"cupel/internal/circuit"
)

// Polarity is the kind of a transistor.
type Polarity int

// The polarities.
const (
	N Polarity = iota // NPN, N-channel
	P                 // PNP, P-channel
)

func (p Polarity) sign() float64 {
	if p == P {
		return -1
	}
	return 1
}

// BJTParams describes a bipolar transistor at Nominal. Voltages and currents
// are positive for both polarities.
type BJTParams struct {
	Polarity Polarity
	Sat      float64 // A, transport saturation current
	Forward  float64 // current gain βf; 0: 100
	Reverse  float64 // current gain βr; 0: 1
	XTI      float64 // temperature exponent of Sat; 0: 3
	XTB      float64 // temperature exponent of the gains
	Gap      float64 // eV; 0: 1.11
	Nominal  float64 // K of these figures; 0: 25 °C

	EmitterBreakdown float64 // V at 100 µA, emitter to base reversed; 0: none

	Leak       float64 // A, collector to base with the emitter open
	LeakVolts  float64 // V over which it saturates; 0: 0.5 V
	LeakDouble float64 // K that double it; 0: 10 K

	EmitterFarads   float64 // base to emitter, constant
	CollectorFarads float64 // base to collector, constant
	ForwardTransit  float64 // s
	ReverseTransit  float64 // s: storage in saturation
}

// BJT is a bipolar transistor: Ebers–Moll in transport form,
//
//	ic = Is·(e^(vbe/Vt) − e^(vbc/Vt)) − (Is/βr)·(e^(vbc/Vt) − 1)
//	ib = (Is/βf)·(e^(vbe/Vt) − 1) + (Is/βr)·(e^(vbc/Vt) − 1)
//
// with a leakage from collector to base and a breakdown from emitter to base.
// Base-width modulation and the resistances of the terminals are left out:
// these transistors switch microamperes to milliamperes.
type BJT struct {
	base
	p       BJTParams
	sign    float64
	m       BJTModel
	known   bool
	be, bc  circuit.Port
	ce      circuit.Port
	all     circuit.Triple // collector, base, emitter
	state   int            // base–emitter charge, then base–collector
	lastBE  float64
	lastBC  float64
	tangent bjtTangent
}

// bjtTangent is where a transistor was last evaluated.
type bjtTangent struct {
	vbe, vbc float64
	c        BJTCurrents
}

// NewBJT returns a transistor.
func NewBJT(name string, collector, baseNode, emitter circuit.Node, p BJTParams) *BJT {
	t := &BJT{base: base{name: name, nodes: []circuit.Node{collector, baseNode, emitter}}}
	t.Set(p)
	return t
}

// Set changes its parameters.
func (t *BJT) Set(p BJTParams) {
	p.Forward, p.Reverse = or(p.Forward, 100), or(p.Reverse, 1)
	p.XTI, p.Gap, p.Nominal = or(p.XTI, siliconXTI), or(p.Gap, siliconGap), or(p.Nominal, room)
	t.p, t.sign, t.known = p, p.Polarity.sign(), false
}

// Params returns what it was made from, defaults filled in.
func (t *BJT) Params() BJTParams { return t.p }

// BJTModel is a transistor at one temperature.
type BJTModel struct {
	Kelvin           float64
	Junction         Exponential // of the transport current
	Forward, Reverse float64     // gains
	Breaks           bool
	Breakdown        Exponential // emitter to base
	LeakAmps         float64
	LeakVolts        float64
}

const (
	emitterBreakdownAmps  = 100e-6 // A
	emitterBreakdownSlope = 0.05   // V; no source
)

// At returns the model at a temperature.
func (p BJTParams) At(kelvin float64) BJTModel {
	l := leakageAt(p.Leak, p.LeakVolts, p.LeakDouble, kelvin, p.Nominal)
	gain := math.Pow(kelvin/p.Nominal, p.XTB)
	m := BJTModel{
		Kelvin: kelvin,
		Junction: NewExponential(
			math.Log(p.Sat*saturationRatio(kelvin, p.Nominal, 1, p.XTI, p.Gap)), ThermalVolts(kelvin), 0),
		Forward: p.Forward * gain, Reverse: p.Reverse * gain,
		Breaks: p.EmitterBreakdown > 0, LeakAmps: l.amps, LeakVolts: l.volts,
	}
	if m.Breaks {
		m.Breakdown = breakdownAt(p.EmitterBreakdown, emitterBreakdownAmps, emitterBreakdownSlope, 0)
	}
	return m
}

// BJTCurrents are the three branch currents of a transistor and their slopes:
// from base to emitter and base to collector, and the transport current from
// collector to emitter.
type BJTCurrents struct {
	BE, GBE        float64
	BC, GBC        float64
	CE, CEbe, CEbc float64 // transport F − R, by vbe, by vbc
	F, R           float64 // its one-way currents
}

// Currents returns the currents at vbe and vbc, both counted positive forward.
func (m *BJTModel) Currents(vbe, vbc float64) (c BJTCurrents) {
	f, gf := m.Junction.At(vbe)
	r, gr := m.Junction.At(vbc)
	c.BE, c.GBE = f/m.Forward, gf/m.Forward
	c.BC, c.GBC = r/m.Reverse, gr/m.Reverse
	c.CE, c.CEbe, c.CEbc = f-r, gf, -gr
	c.F, c.R = f, r
	if m.Breaks {
		i, g := m.Breakdown.At(-vbe)
		c.BE, c.GBE = c.BE-i, c.GBE+g
	}
	i, g := leakage{m.LeakAmps, m.LeakVolts}.at(vbc)
	c.BC, c.GBC = c.BC+i, c.GBC+g
	return c
}

func (t *BJT) Bind(b *circuit.Binder) {
	c, bn, e := t.nodes[0], t.nodes[1], t.nodes[2]
	t.be, t.bc, t.ce = b.Port(bn, e), b.Port(bn, c), b.Port(c, e)
	t.all = b.Triple(c, bn, e)
	t.state = b.State(2)
}

func (t *BJT) Reset() { t.lastBE, t.lastBC, t.tangent.vbe = 0, 0, nowhere }

func (t *BJT) warm(s *circuit.System) {
	if k := t.kelvin(s); !t.known || t.m.Kelvin != k {
		t.m, t.known = t.p.At(k), true
		t.tangent.vbe = nowhere
	}
}

func (t *BJT) Load(s *circuit.System) {
	t.warm(s)
	vbe, vbc := t.limit(s)
	c := t.currents(s, vbe, vbc)
	qbe, qbc := t.charges(vbe, vbc, c.F, c.R)
	ibe := c.BE + s.Gmin*vbe + t.sign*charge(s, t.state, t.sign*qbe)
	ibc := c.BC + s.Gmin*vbc + t.sign*charge(s, t.state+1, t.sign*qbc)
	gbe := c.GBE + s.Gmin + s.Alpha*(t.p.EmitterFarads+t.p.ForwardTransit*c.CEbe)
	gbc := c.GBC + s.Gmin + s.Alpha*(t.p.CollectorFarads+t.p.ReverseTransit*-c.CEbc)
	kbe, kbc := t.sign*(ibe-gbe*vbe), t.sign*(ibc-gbc*vbc)
	kce := t.sign * (c.CE - c.CEbe*vbe - c.CEbc*vbc)
	t.all.Add(s, &[9]float64{
		gbc - c.CEbc, c.CEbe + c.CEbc - gbc, -c.CEbe,
		-gbc, gbe + gbc, -gbe,
		c.CEbc, -gbe - c.CEbe - c.CEbc, gbe + c.CEbe,
	}, &[3]float64{kce - kbc, kbe + kbc, -kce - kbe})
}

// Rests reports whether it is still where it was last evaluated.
func (t *BJT) Rests(s *circuit.System) bool {
	vbe, vbc := t.volts(s.X)
	return t.holds(vbe, vbc) && t.m.Kelvin == t.kelvin(s)
}

// holds reports whether the last tangent holds at vbe and vbc.
func (t *BJT) holds(vbe, vbc float64) bool {
	return math.Abs(vbe-t.tangent.vbe) <= circuit.Still && math.Abs(vbc-t.tangent.vbc) <= circuit.Still
}

// Carry sets its charges along the tangent.
func (t *BJT) Carry(s *circuit.System) {
	vbe, vbc := t.volts(s.X)
	k := &t.tangent
	qbe, qbc := t.charges(vbe, vbc, k.c.F+k.c.CEbe*(vbe-k.vbe), k.c.R-k.c.CEbc*(vbc-k.vbc))
	charge(s, t.state, t.sign*qbe)
	charge(s, t.state+1, t.sign*qbc)
}

// charges returns what its junctions hold while the one-way currents f and r
// flow, which the diffusion charges follow.
func (t *BJT) charges(vbe, vbc, f, r float64) (qbe, qbc float64) {
	return t.p.EmitterFarads*vbe + t.p.ForwardTransit*f, t.p.CollectorFarads*vbc + t.p.ReverseTransit*r
}

// currents returns the currents near the last tangent along it, elsewhere anew.
func (t *BJT) currents(s *circuit.System, vbe, vbc float64) BJTCurrents {
	k := &t.tangent
	ube, ubc := vbe-k.vbe, vbc-k.vbc
	if !t.holds(vbe, vbc) {
		was := k.c
		*k = bjtTangent{vbe, vbc, t.m.Currents(vbe, vbc)}
		s.Fresh()
		s.Stray(k.c.BE, was.BE+was.GBE*ube)
		s.Stray(k.c.BC, was.BC+was.GBC*ubc)
		s.Stray(k.c.F, was.F+was.CEbe*ube)
		s.Stray(k.c.R, was.R-was.CEbc*ubc)
		return k.c
	}
	c := k.c
	c.BE += c.GBE * ube
	c.BC += c.GBC * ubc
	c.F += c.CEbe * ube
	c.R -= c.CEbc * ubc
	c.CE = c.F - c.R
	return c
}

func (t *BJT) limit(s *circuit.System) (vbe, vbc float64) {
	vbe, vbc = t.volts(s.X)
	vbe, be := t.limitBE(vbe)
	vbc, bc := t.m.Junction.limit(vbc, t.lastBC)
	if be || bc {
		s.Limit()
	}
	t.lastBE, t.lastBC = vbe, vbc
	return vbe, vbc
}

func (t *BJT) limitBE(v float64) (float64, bool) {
	if v < 0 && t.m.Breaks {
		u, moved := t.m.Breakdown.limit(-v, -t.lastBE)
		return -u, moved
	}
	return t.m.Junction.limit(v, t.lastBE)
}

func (t *BJT) volts(x []float64) (vbe, vbc float64) {
	return t.sign * t.be.Volts(x), t.sign * t.bc.Volts(x)
}

// CollectorCurrent returns the current into the collector, without that of
// capacitances: positive for an NPN that conducts.
func (t *BJT) CollectorCurrent(x []float64) float64 {
	c := t.m.Currents(t.volts(x))
	return t.sign * (c.CE - c.BC)
}

// BaseCurrent returns the current into the base.
func (t *BJT) BaseCurrent(x []float64) float64 {
	c := t.m.Currents(t.volts(x))
	return t.sign * (c.BE + c.BC)
}

// Current returns the collector current.
func (t *BJT) Current(x []float64) float64 { return t.CollectorCurrent(x) }

// Power returns the loss.
func (t *BJT) Power(x []float64) float64 {
	return t.CollectorCurrent(x)*t.ce.Volts(x) + t.BaseCurrent(x)*t.be.Volts(x)
}

// State returns the number of its base–emitter charge; the base–collector
// charge follows.
func (t *BJT) State() int { return t.state }

func (t *BJT) Hold(m []float64) []float64 { return append(m, t.lastBE, t.lastBC) }

func (t *BJT) Recall(m []float64) []float64 {
	t.lastBE, t.lastBC, t.tangent.vbe = m[0], m[1], nowhere
	return m[2:]
}
