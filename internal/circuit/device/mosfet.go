package device

import (
	"math"

	"cupel/internal/circuit"
)

// MOSFETParams describes a power MOSFET at Nominal. Voltages and currents are
// positive for both polarities. FitMOSFET makes one from a data sheet.
type MOSFETParams struct {
	Polarity Polarity
	Parallel float64 // equal parts in parallel; 0: 1

	Threshold       float64 // V, Vth of the equation, not the sheet's
	ThresholdTempco float64 // V/K
	K               float64 // A/V²
	SeriesOhms      float64 // resistance that no gate voltage takes away
	ResistanceRise  float64 // 1/K, of the channel's and the series resistance alike
	Swing           float64 // φ/(kT/q): 1 is the steepest weak inversion; 0: 1.5
	Nominal         float64 // K of these figures; 0: 25 °C

	BodySat  float64 // A
	BodyN    float64 // 0: 1.2
	BodyOhms float64
	Transit  float64 // s, stored charge of the body diode

	Breakdown       float64 // V at BreakdownAmps; 0: none
	BreakdownAmps   float64 // 0: 250 µA
	BreakdownSlope  float64 // V; 0: 0.2 V
	BreakdownOhms   float64
	BreakdownTempco float64 // 1/K, relative

	Leak       float64 // A, drain to source with the gate at the source
	LeakVolts  float64 // V over which it saturates; 0: 0.5 V
	LeakDouble float64 // K that double it; 0: 10 K
	GateOhms   float64 // gate to source leakage; 0: none

	GateSource  float64 // F
	DrainSource float64 // F
	Miller      float64 // F, gate to drain with the drain well above the gate
	MillerPeak  float64 // F, gate to drain with the drain below the gate; less than Miller: Miller
	MillerVolts float64 // V, drain above gate, half-way between; 0: 1 V
	MillerWidth float64 // V; 0: 1 V
}

// MOSFET is a power MOSFET: one smooth channel current from weak inversion to
// triode and saturation, in both directions,
//
//	f = 2φ·ln(1 + e^((vgs − Vth)/2φ)),  r = 2φ·ln(1 + e^((vgd − Vth)/2φ))
//	id = (K/2)·(f − r)·(f + r)/(1 + K·Rs·(f + r)/2)
//
// after Enz, Krummenacher and Vittoz (Analog Integrated Circuits and Signal
// Processing 8, 1995; from memory), whose interpolation ln²(1 + e^(u/2)) this
// is, with the body effect left out: the body of a power MOSFET is its source.
// Far above the threshold with Rs = 0 it is exactly the square law
// K·((vgs − Vth)·vds − vds²/2), saturated K/2·(vgs − Vth)². At small vds
//
//	1/Rds = K·(vgs − Vth)/(1 + K·Rs·(vgs − Vth))  or  Rds = 1/(K·(vgs − Vth)) + Rs
//
// so Rs is the resistance of drift region and package, without an inner node;
// it limits the saturated current too, as velocity saturation does. id has the
// sign of vds everywhere and rises with vgs and vds.
//
// With it: a body diode, its avalanche, leakage, and the capacitances, of
// which that of gate to drain falls smoothly with the drain's voltage.
type MOSFET struct {
	base
	p          MOSFETParams
	sign       float64
	m          MOSFETModel
	known      bool
	gs, gd, ds circuit.Port
	all        circuit.Triple // drain, gate, source
	state      int            // charge of gs, gd, ds
	lastGS     float64
	lastDS     float64
	tangent    mosfetTangent
}

// mosfetTangent is where a transistor was last evaluated: channel current, bulk
// current, and the charges of drain–source and gate–drain, with their slopes.
type mosfetTangent struct {
	vgs, vds       float64
	id, byGS, byGD float64
	i, g           float64
	qds, cds       float64
	qgd, cgd       float64
}

// NewMOSFET returns a transistor.
func NewMOSFET(name string, drain, gate, source circuit.Node, p MOSFETParams) *MOSFET {
	t := &MOSFET{base: base{name: name, nodes: []circuit.Node{drain, gate, source}}}
	t.Set(p)
	return t
}

// Defaults of a MOSFET, common practice without a source.
const (
	defaultSwing          = 1.5
	defaultBodyN          = 1.2
	defaultAvalancheAmps  = 250e-6
	defaultAvalancheSlope = 0.2 // V
)

// Set changes its parameters.
func (t *MOSFET) Set(p MOSFETParams) {
	p = p.filled()
	t.p, t.sign, t.known = p, p.Polarity.sign(), false
}

func (p MOSFETParams) filled() MOSFETParams {
	p.Parallel, p.Swing, p.Nominal = or(p.Parallel, 1), or(p.Swing, defaultSwing), or(p.Nominal, room)
	p.BodyN = or(p.BodyN, defaultBodyN)
	p.BreakdownAmps = or(p.BreakdownAmps, defaultAvalancheAmps)
	p.BreakdownSlope = or(p.BreakdownSlope, defaultAvalancheSlope)
	p.MillerPeak = max(p.MillerPeak, p.Miller)
	p.MillerVolts, p.MillerWidth = or(p.MillerVolts, 1), or(p.MillerWidth, 1)
	return p
}

// Params returns what it was made from, defaults filled in.
func (t *MOSFET) Params() MOSFETParams { return t.p }

// MOSFETModel is a transistor, all its parts in parallel, at one temperature.
type MOSFETModel struct {
	Kelvin      float64
	Threshold   float64
	Phi         float64 // φ
	K           float64
	Theta       float64 // K·Rs, 1/V
	Body        Exponential
	Breaks      bool
	Avalanche   Exponential // of vds, counted from 0
	LeakAmps    float64
	LeakVolts   float64
	GateSiemens float64
}

// At returns the model at a temperature.
func (p MOSFETParams) At(kelvin float64) MOSFETModel {
	p = p.filled()
	vt, dt, n := ThermalVolts(kelvin), kelvin-p.Nominal, p.Parallel
	l := leakageAt(p.Leak*n, p.LeakVolts, p.LeakDouble, kelvin, p.Nominal)
	body := p.BodySat * n * saturationRatio(kelvin, p.Nominal, p.BodyN, siliconXTI, siliconGap)
	m := MOSFETModel{
		Kelvin:    kelvin,
		Threshold: p.Threshold + p.ThresholdTempco*dt,
		Phi:       p.Swing * vt,
		K:         p.K * n / linearTempco(p.ResistanceRise, kelvin, p.Nominal),
		Theta:     p.K * p.SeriesOhms,
		Body:      NewExponential(math.Log(body), p.BodyN*vt, p.BodyOhms/n),
		Breaks:    p.Breakdown > 0,
		LeakAmps:  l.amps, LeakVolts: l.volts,
	}
	if m.Breaks {
		m.Avalanche = breakdownAt(p.Breakdown*(1+p.BreakdownTempco*dt),
			p.BreakdownAmps*n, p.BreakdownSlope, p.BreakdownOhms/n)
	}
	if p.GateOhms > 0 {
		m.GateSiemens = n / p.GateOhms
	}
	return m
}

// Channel returns the channel current from drain to source and its slopes by
// vgs and vgd.
func (m *MOSFETModel) Channel(vgs, vgd float64) (id, byGS, byGD float64) {
	f, df := m.overdrive(vgs)
	r, dr := m.overdrive(vgd)
	sum := f + r
	d := 1 + m.Theta*sum/2
	h, dh := sum/d, 1/(d*d)
	half := m.K / 2
	return half * (f - r) * h, half * (h + (f-r)*dh) * df, half * ((f-r)*dh - h) * dr
}

// overdrive returns the voltage above threshold, smoothed to stay positive.
func (m *MOSFETModel) overdrive(v float64) (f, slope float64) {
	y, slope := softplus((v - m.Threshold) / (2 * m.Phi))
	return 2 * m.Phi * y, slope
}

// Bulk returns the current from drain to source that does not pass the
// channel, without gmin: body diode, avalanche, leakage.
func (m *MOSFETModel) Bulk(vds float64) (i, g float64) {
	ib, gb := m.Body.At(-vds)
	i, g = -ib, gb
	if m.Breaks {
		ia, ga := m.Avalanche.At(vds)
		i, g = i+ia, g+ga
	}
	il, gl := leakage{m.LeakAmps, m.LeakVolts}.at(vds)
	return i + il, g + gl
}

// MillerCharge returns the charge from gate to drain and its capacitance, of
// all parts in parallel, at the voltage from gate to drain:
//
//	c = Cmin + (Cpeak − Cmin)/(1 + e^((−vgd − V)/W))
func (p MOSFETParams) MillerCharge(vgd float64) (q, c float64) {
	extra := p.MillerPeak - p.Miller
	y, slope := softplus((vgd + p.MillerVolts) / p.MillerWidth)
	rest, _ := softplus(p.MillerVolts / p.MillerWidth)
	q = p.Miller*vgd + extra*p.MillerWidth*(y-rest)
	return p.Parallel * q, p.Parallel * (p.Miller + extra*slope)
}

func (t *MOSFET) Bind(b *circuit.Binder) {
	d, g, s := t.nodes[0], t.nodes[1], t.nodes[2]
	t.gs, t.gd, t.ds = b.Port(g, s), b.Port(g, d), b.Port(d, s)
	t.all = b.Triple(d, g, s)
	t.state = b.State(3)
}

func (t *MOSFET) Reset() { t.lastGS, t.lastDS, t.tangent.vgs = 0, 0, nowhere }

func (t *MOSFET) warm(s *circuit.System) {
	if k := t.kelvin(s); !t.known || t.m.Kelvin != k {
		t.m, t.known = t.p.At(k), true
		t.tangent.vgs = nowhere
	}
}

func (t *MOSFET) Load(s *circuit.System) {
	t.warm(s)
	vgs, vds := t.limit(s)
	vgd := vgs - vds
	k := t.near(s, vgs, vds)
	ugs, uds := vgs-k.vgs, vds-k.vds
	ugd := ugs - uds
	id := k.id + k.byGS*ugs + k.byGD*ugd
	i := k.i + k.g*uds + s.Gmin*vds + t.sign*charge(s, t.state+2, t.sign*(k.qds+k.cds*uds))
	g := k.g + s.Gmin + s.Alpha*k.cds
	cgs := t.p.Parallel * t.p.GateSource
	igs := t.m.GateSiemens*vgs + t.sign*charge(s, t.state, t.sign*cgs*vgs)
	ggs, ggd := t.m.GateSiemens+s.Alpha*cgs, s.Alpha*k.cgd
	igd := t.sign * charge(s, t.state+1, t.sign*(k.qgd+k.cgd*ugd))
	kds := t.sign * (id - k.byGS*vgs - k.byGD*vgd + i - g*vds)
	kgs, kgd := t.sign*(igs-ggs*vgs), t.sign*(igd-ggd*vgd)
	t.all.Add(s, &[9]float64{
		g + ggd - k.byGD, k.byGS + k.byGD - ggd, -k.byGS - g,
		-ggd, ggs + ggd, -ggs,
		k.byGD - g, -ggs - k.byGS - k.byGD, g + ggs + k.byGS,
	}, &[3]float64{kds - kgd, kgs + kgd, -kds - kgs})
}

// Rests reports whether it is still where it was last evaluated.
func (t *MOSFET) Rests(s *circuit.System) bool {
	vgs, vds := t.volts(s.X)
	return t.holds(vgs, vds) && t.m.Kelvin == t.kelvin(s)
}

// Carry sets its charges along the tangent.
func (t *MOSFET) Carry(s *circuit.System) {
	vgs, vds := t.volts(s.X)
	k := &t.tangent
	uds := vds - k.vds
	charge(s, t.state, t.sign*t.p.Parallel*t.p.GateSource*vgs)
	charge(s, t.state+1, t.sign*(k.qgd+k.cgd*(vgs-k.vgs-uds)))
	charge(s, t.state+2, t.sign*(k.qds+k.cds*uds))
}

// holds reports whether the last tangent holds at vgs and vds.
func (t *MOSFET) holds(vgs, vds float64) bool {
	return math.Abs(vgs-t.tangent.vgs) <= circuit.Still && math.Abs(vds-t.tangent.vds) <= circuit.Still
}

// near returns the tangent that holds at vgs and vds: the last one near it,
// elsewhere a new one.
func (t *MOSFET) near(s *circuit.System, vgs, vds float64) *mosfetTangent {
	k := &t.tangent
	if t.holds(vgs, vds) {
		return k
	}
	was, ugs, uds := *k, vgs-k.vgs, vds-k.vds
	ugd := ugs - uds
	k.vgs, k.vds = vgs, vds
	k.id, k.byGS, k.byGD = t.m.Channel(vgs, vgs-vds)
	k.i, k.g = t.m.Bulk(vds)
	k.qds, k.cds = t.drainCharge(vds)
	k.qgd, k.cgd = t.p.MillerCharge(vgs - vds)
	s.Fresh()
	s.Stray(k.id, was.id+was.byGS*ugs+was.byGD*ugd)
	s.Stray(k.i+s.Alpha*k.qds, was.i+was.g*uds+s.Alpha*(was.qds+was.cds*uds))
	s.Stray(s.Alpha*k.qgd, s.Alpha*(was.qgd+was.cgd*ugd))
	return k
}

func (t *MOSFET) drainCharge(vds float64) (q, c float64) {
	c = t.p.Parallel * t.p.DrainSource
	q = c * vds
	if t.p.Transit > 0 {
		ib, gb := t.m.Body.At(-vds)
		q, c = q-t.p.Transit*ib, c+t.p.Transit*gb
	}
	return q, c
}

// limit limits the gate to steps that grow with its distance from the
// threshold, and body diode and avalanche as junctions.
func (t *MOSFET) limit(s *circuit.System) (vgs, vds float64) {
	vgs, vds = t.volts(s.X)
	reach := 2*math.Abs(t.lastGS-t.m.Threshold) + freeGateVolts
	g := max(t.lastGS-reach, min(vgs, t.lastGS+reach))
	d, moved := t.m.limitBulk(vds, t.lastDS)
	if moved || g != vgs {
		s.Limit()
	}
	t.lastGS, t.lastDS = g, d
	return g, d
}

// freeGateVolts is how far a gate may move in one iteration from the very
// threshold.
const freeGateVolts = 2

func (m *MOSFETModel) limitBulk(vds, old float64) (float64, bool) {
	if vds < 0 {
		u, moved := m.Body.limit(-vds, -old)
		return -u, moved
	}
	if !m.Breaks {
		return vds, false
	}
	return m.Avalanche.limit(vds, old)
}

func (t *MOSFET) volts(x []float64) (vgs, vds float64) {
	return t.sign * t.gs.Volts(x), t.sign * t.ds.Volts(x)
}

// Current returns the current from drain to source, channel and bulk, without
// that into capacitances.
func (t *MOSFET) Current(x []float64) float64 {
	vgs, vds := t.volts(x)
	id, _, _ := t.m.Channel(vgs, vgs-vds)
	i, _ := t.m.Bulk(vds)
	return t.sign * (id + i)
}

// BulkCurrent returns the part of Current that does not pass the channel:
// body diode, avalanche and leakage.
func (t *MOSFET) BulkCurrent(x []float64) float64 {
	_, vds := t.volts(x)
	i, _ := t.m.Bulk(vds)
	return t.sign * i
}

// Power returns the loss.
func (t *MOSFET) Power(x []float64) float64 { return t.Current(x) * t.ds.Volts(x) }

// Avalanching reports whether the drain stands above its breakdown voltage.
func (t *MOSFET) Avalanching(x []float64) bool {
	_, vds := t.volts(x)
	if !t.m.Breaks {
		return false
	}
	i, _ := t.m.Avalanche.At(vds)
	return i > t.p.BreakdownAmps*t.p.Parallel
}

// State returns the number of its gate–source charge; those of gate–drain and
// drain–source follow.
func (t *MOSFET) State() int { return t.state }

func (t *MOSFET) Hold(m []float64) []float64 { return append(m, t.lastGS, t.lastDS) }

func (t *MOSFET) Recall(m []float64) []float64 {
	t.lastGS, t.lastDS, t.tangent.vgs = m[0], m[1], nowhere
	return m[2:]
}
