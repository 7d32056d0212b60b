package cell

import (
	"math"

	"cupel/internal/circuit"
)

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

// Cell is an open-circuit voltage that follows its charge z, behind R0 and RC
// pairs:
//
//	i = (OCV(z) − Σ uk − v)/R0,  Q·dz/dt = −i,  Ck·duk/dt = i − uk/Rk
//
// with i out of plus. z and each uk are unknowns of their own, so that the step
// control of a run sees their errors too: z counts as a branch, 1e-3 of it as
// a milliampere. At rest the pairs carry i, and z keeps what it had.
type Cell struct {
	element
	p       Params
	coulomb float64
	state   int  // charge, then that of each pair there is
	renew   bool // SOC was set and not yet loaded
	z       row
	pairs   []pairRow

	at, ocv, slope float64 // charge, voltage and slope where the curve was last read
	ohms, scale    float64 // with which it was last loaded
}

// stillCharge is how far the charge may move before the curve is read again: on
// the steepest of curves, tens of volts a unit, tens of microvolts.
const stillCharge = 1e-6

// row is the matrix entries of an unknown of a cell's own: by the terminals,
// both ways, and by itself.
type row struct {
	n                       circuit.Node
	self                    int32
	byPlus, byMinus, byZ    int32 // in its equation
	inPlus, inMinus, inCell int32 // in the terminals' equations, and in z's
}

type pairRow struct {
	row
	Pair
	cross []int32 // in its equation, of the other pairs
}

// New returns a cell.
func New(name string, plus, minus circuit.Node, p Params) *Cell {
	p.Ohms = atLeast(p.Ohms)
	return &Cell{
		element: element{name: name, plus: plus, minus: minus},
		p:       p, coulomb: p.AmpereHours * 3600, renew: true, at: nowhere,
	}
}

// Params returns what it was made from, as changed since.
func (c *Cell) Params() Params { return c.p }

// SetSOC sets the charge from the next operating point on.
func (c *Cell) SetSOC(soc float64) { c.p.SOC, c.renew = soc, true }

// SOC returns the state of charge.
func (c *Cell) SOC(x []float64) float64 { return x[c.z.n] }

func (c *Cell) Bind(b *circuit.Binder) {
	c.bind(b)
	c.z = c.bindRow(b, b.Branch())
	c.pairs = nil
	for _, p := range c.p.Pairs {
		if p.Ohms > 0 {
			c.pairs = append(c.pairs, pairRow{row: c.bindRow(b, b.Branch()), Pair: p})
		}
	}
	for i := range c.pairs {
		p := &c.pairs[i]
		p.byZ, p.inCell = b.Entry(p.n, c.z.n), b.Entry(c.z.n, p.n)
		for _, q := range c.pairs {
			if q.n != p.n {
				p.cross = append(p.cross, b.Entry(p.n, q.n))
			}
		}
	}
	c.state = b.State(1 + len(c.pairs))
}

func (c *Cell) bindRow(b *circuit.Binder, n circuit.Node) row {
	return row{
		n: n, self: b.Entry(n, n),
		byPlus: b.Entry(n, c.plus), byMinus: b.Entry(n, c.minus),
		inPlus: b.Entry(c.plus, n), inMinus: b.Entry(c.minus, n),
	}
}

func (c *Cell) Reset() { c.at = nowhere }

// Load linearises i = g·(e + k·z − Σ uk − v), with the tangent e + k·z of the
// curve, and adds it to the equations of both terminals, of z and of each uk.
func (c *Cell) Load(s *circuit.System) {
	rest := s.Alpha == 0
	if rest && c.renew {
		s.Q[c.state], c.renew = c.p.SOC*c.coulomb, false
		s.X[c.z.n] = c.p.SOC
	}
	c.read(s)
	g, k := 1/c.p.Ohms, s.Scale*c.slope
	e := s.Scale*c.ocv - k*c.at

	c.port.Conductance(s, g)
	c.port.Current(s, -g*e)
	s.A[c.z.inPlus] -= g * k
	s.A[c.z.inMinus] += g * k
	c.loadCharge(s, g, e, k, rest)
	for i := range c.pairs {
		p := &c.pairs[i]
		s.A[p.inPlus] += g
		s.A[p.inMinus] -= g
		c.loadPair(s, p, c.state+1+i, g, e, k)
	}
}

// read reads the curve where the charge has left its tangent.
func (c *Cell) read(s *circuit.System) {
	z := s.X[c.z.n]
	if math.Abs(z-c.at) <= stillCharge && c.ohms == c.p.Ohms && c.scale == s.Scale {
		return
	}
	promised := c.ocv + c.slope*(z-c.at)
	c.at, c.ohms, c.scale = z, c.p.Ohms, s.Scale
	c.ocv, c.slope = c.p.Curve.At(z)
	s.Fresh()
	s.Stray(c.ocv/c.ohms, promised/c.ohms)
}

// loadCharge adds Q·dz/dt + i = 0, or at rest that z stays.
func (c *Cell) loadCharge(s *circuit.System, g, e, k float64, rest bool) {
	s.B[c.z.n] -= s.Hist[c.state]
	if rest {
		s.A[c.z.self] += c.coulomb
		s.B[c.z.n] += s.Q[c.state]
		s.F[c.state] = -c.Current(s.X)
		return
	}
	s.Q[c.state], s.F[c.state] = c.coulomb*s.X[c.z.n], -c.Current(s.X)
	s.A[c.z.self] += c.coulomb*s.Alpha + g*k
	s.A[c.z.byPlus] -= g
	s.A[c.z.byMinus] += g
	for i := range c.pairs {
		s.A[c.pairs[i].inCell] -= g
	}
	s.B[c.z.n] -= g * e
}

// loadPair adds C·du/dt + u/R − i = 0.
func (c *Cell) loadPair(s *circuit.System, p *pairRow, state int, g, e, k float64) {
	u := s.X[p.n]
	s.Q[state], s.F[state] = p.Farads*u, c.Current(s.X)-u/p.Ohms
	s.A[p.self] += p.Farads*s.Alpha + 1/p.Ohms + g
	s.A[p.byPlus] += g
	s.A[p.byMinus] -= g
	s.A[p.byZ] -= g * k
	for _, q := range p.cross {
		s.A[q] += g
	}
	s.B[p.n] += g*e - s.Hist[state]
}

// Current returns the current out of plus.
func (c *Cell) Current(x []float64) float64 {
	v, _ := c.p.Curve.At(x[c.z.n])
	for i := range c.pairs {
		v -= x[c.pairs[i].n]
	}
	return (v - c.Volts(x)) / c.p.Ohms
}

// Power returns what it delivers at its terminals.
func (c *Cell) Power(x []float64) float64 { return c.Current(x) * c.Volts(x) }

func (c *Cell) Hold(m []float64) []float64 { return append(m, c.p.SOC) }

func (c *Cell) Recall(m []float64) []float64 {
	c.p.SOC, c.renew, c.at = m[0], false, nowhere
	return m[1:]
}
