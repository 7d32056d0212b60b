package cell

import "cupel/internal/circuit"

// MaxPairs is how many RC pairs a cell may have.
const MaxPairs = 3

// Pair is a resistance and a capacitance in parallel. Ohms 0 is none.
type Pair struct{ Ohms, Farads float64 }

// Params describes a cell.
type Params struct {
	Curve       Curve
	AmpereHours float64 // capacity
	SOC         float64 // at first
	Ohms        float64 // R0, at once
	Pairs       [MaxPairs]Pair
}

// Cell is an open-circuit voltage that follows its charge, behind R0 and RC
// pairs:
//
//	v = OCV(z) − R0·i − Σ vk,  dz/dt = −i/Q,  dvk/dt = i/Ck − vk/(Rk·Ck)
//
// with i out of plus. z and vk are states, not unknowns: at the solution
// sought each is a linear function of i, so the cell is v = e − r·i with an r
// that holds R0, the pairs and the slope of the curve. At rest (Alpha 0) charge
// and pairs keep what they had.
type Cell struct {
	element
	p       Params
	coulomb float64
	state   int  // z, then vk
	renew   bool // SOC was set and not yet loaded
	e, r    float64
}

// New returns a cell.
func New(name string, plus, minus circuit.Node, p Params) *Cell {
	p.Ohms = atLeast(p.Ohms)
	return &Cell{
		element: element{name: name, plus: plus, minus: minus},
		p:       p, coulomb: p.AmpereHours * 3600, renew: true,
	}
}

// Params returns what it was made from, as changed since.
func (c *Cell) Params() Params { return c.p }

// SetSOC sets the charge, pairs at rest, from the next operating point on.
func (c *Cell) SetSOC(soc float64) { c.p.SOC, c.renew = soc, true }

// SOC returns the state of charge.
func (c *Cell) SOC(s *circuit.System) float64 { return s.Q[c.state] }

func (c *Cell) Bind(b *circuit.Binder) {
	c.bind(b)
	c.state = b.State(1 + MaxPairs)
}

func (c *Cell) Reset() {}

func (c *Cell) Load(s *circuit.System) {
	if s.Alpha == 0 {
		c.rest(s)
	} else {
		c.run(s)
	}
	c.port.Conductance(s, 1/c.r)
	c.port.Current(s, -c.e/c.r)
}

func (c *Cell) rest(s *circuit.System) {
	if c.renew {
		c.renew = false
		clear(s.Q[c.state : c.state+1+MaxPairs])
		s.Q[c.state] = c.p.SOC
	}
	clear(s.F[c.state : c.state+1+MaxPairs])
	c.e, _ = c.p.Curve.At(s.Q[c.state])
	c.r = c.p.Ohms
	for _, v := range s.Q[c.state+1 : c.state+1+MaxPairs] {
		c.e -= v
	}
	c.e *= s.Scale
}

// run linearises at the present current and sets the states by it.
func (c *Cell) run(s *circuit.System) {
	i := c.present(s)
	z0 := -s.Hist[c.state] / s.Alpha // charge without a current
	dz := -1 / (c.coulomb * s.Alpha) // per ampere
	z := z0 + dz*i
	ocv, slope := c.p.Curve.At(z)
	s.Q[c.state], s.F[c.state] = z, -i/c.coulomb
	c.e, c.r = ocv-slope*dz*i, c.p.Ohms-slope*dz
	for k, p := range c.p.Pairs {
		if p.Ohms == 0 {
			continue
		}
		n := c.state + 1 + k
		d := s.Alpha + 1/(p.Ohms*p.Farads)
		v0, dv := -s.Hist[n]/d, 1/(p.Farads*d)
		v := v0 + dv*i
		s.Q[n], s.F[n] = v, s.Alpha*v+s.Hist[n]
		c.e, c.r = c.e-v0, c.r+dv
	}
}

// present is the current of the last linearisation at the present voltage.
func (c *Cell) present(s *circuit.System) float64 {
	if c.r == 0 {
		return 0
	}
	return c.Current(s.X)
}

// Current returns the current out of plus, as last linearised.
func (c *Cell) Current(x []float64) float64 { return (c.e - c.Volts(x)) / c.r }

// Power returns what it delivers at its terminals.
func (c *Cell) Power(x []float64) float64 { return c.Current(x) * c.Volts(x) }

func (c *Cell) Hold(m []float64) []float64 { return append(m, c.p.SOC, c.e, c.r) }

func (c *Cell) Recall(m []float64) []float64 {
	c.p.SOC, c.e, c.r = m[0], m[1], m[2]
	c.renew = false
	return m[3:]
}
