package device

import (
	"math"

	"cupel/internal/circuit"
)

// CeramicParams is a class II ceramic capacitor: it loses capacitance with
// bias. Loss 0 makes it linear.
type CeramicParams struct {
	Farads float64 // without bias
	Loss   float64 // share of it lost at Rated, 0 to below 1
	Rated  float64 // V
}

// Ceramic is a capacitor whose capacitance falls smoothly with bias,
//
//	C(v) = C0·(m + (1−m)/(1 + (v/V)²))
//	q(v) = C0·(m·v + (1−m)·V·atan(v/V))
//
// even in v, with the floor m = (1−Loss)·2/3 and V such that C(Rated) is
// (1−Loss)·C0. The form is ours, after the look of published bias curves; a
// sheet gives one point of it.
type Ceramic struct {
	base
	p           CeramicParams
	floor, knee float64
	port        circuit.Port
	state       int
	v, q, c     float64 // where it was last evaluated
}

// floorShare is how much of what is left at rated voltage never goes away.
const floorShare = 2. / 3

// NewCeramic returns a class II capacitor between a and b.
func NewCeramic(name string, a, b circuit.Node, p CeramicParams) *Ceramic {
	c := &Ceramic{base: base{name: name, nodes: []circuit.Node{a, b}}, p: p, floor: 1, knee: 1, v: nowhere}
	if p.Loss > 0 && p.Rated > 0 {
		left := 1 - p.Loss
		c.floor = left * floorShare
		// (1−m)/(1+u²) = left − m  at u = Rated/V
		c.knee = p.Rated / math.Sqrt((1-c.floor)/(left-c.floor)-1)
	}
	return c
}

// Params returns what it was made from.
func (c *Ceramic) Params() CeramicParams { return c.p }

// Shape returns the floor m and the voltage V of the equation.
func (c *Ceramic) Shape() (floor, knee float64) { return c.floor, c.knee }

// Charge returns charge and capacitance at a voltage.
func (c *Ceramic) Charge(v float64) (q, farads float64) {
	u := v / c.knee
	q = c.p.Farads * (c.floor*v + (1-c.floor)*c.knee*math.Atan(u))
	return q, c.p.Farads * (c.floor + (1-c.floor)/(1+u*u))
}

func (c *Ceramic) Bind(b *circuit.Binder) {
	c.port = b.Port(c.nodes[0], c.nodes[1])
	c.state = b.State(1)
}

func (c *Ceramic) Reset() { c.v = nowhere }

func (c *Ceramic) Load(s *circuit.System) {
	v := c.port.Volts(s.X)
	if !(math.Abs(v-c.v) <= circuit.Still) {
		promised := c.q + c.c*(v-c.v)
		c.v = v
		c.q, c.c = c.Charge(v)
		s.Fresh()
		s.Stray(s.Alpha*c.q, s.Alpha*promised)
	}
	c.port.Linearised(s, charge(s, c.state, c.q+c.c*(v-c.v)), s.Alpha*c.c, v)
}

// Rests reports whether it is still where it was last evaluated.
func (c *Ceramic) Rests(s *circuit.System) bool {
	return math.Abs(c.port.Volts(s.X)-c.v) <= circuit.Still
}

// Carry sets its charge along the tangent.
func (c *Ceramic) Carry(s *circuit.System) {
	charge(s, c.state, c.q+c.c*(c.port.Volts(s.X)-c.v))
}

func (c *Ceramic) Hold(m []float64) []float64   { return m }
func (c *Ceramic) Recall(m []float64) []float64 { c.v = nowhere; return m }

// State returns the number of its charge in Q and F.
func (c *Ceramic) State() int { return c.state }

// charge sets state i to charge q and returns the current into it.
func charge(s *circuit.System, i int, q float64) float64 {
	f := s.Alpha*q + s.Hist[i]
	s.Q[i], s.F[i] = q, f
	return f
}
