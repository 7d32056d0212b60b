package cell

import (
	"math"

	"cupel/internal/circuit"
)

// ChargerParams is a source of at most Volts and Amps. Amps 0 is no charger;
// one of negative Volts stands reversed, its plus lead on minus.
type ChargerParams struct {
	Volts, Amps float64
	Knee        float64 // V below Volts over which it goes over to Amps; 0: 50 mV
	Slew        float64 // V/s at which a new voltage is approached; 0: at once
	Rise        float64 // s over which a current limit is raised; 0: at once. It is lowered at once
}

// Charger gives constant current up to its voltage and takes none back:
//
//	i = I·(ℓ(10·u) − ℓ(10·u − 10))/10,  u = (V − v)/K,  ℓ(x) = ln(1 + e^x)
//
// that is 0 above V, I below V − K, straight between and rounded over a tenth
// of K. Reversed, V < 0, it is the same with v, V and i turned round: in series with
// a pack it draws from it, up to I.
type Charger struct {
	element
	p     ChargerParams
	from  float64 // V at start of the ramp
	under float64 // A at start of the ramp
	start float64 // s
	last  float64 // V, last iterate
	volts float64 // of the last load
	amps  float64
	tangent
}

const (
	defaultKnee = 0.05
	sharpness   = 10
)

// NewCharger returns a charger.
func NewCharger(name string, plus, minus circuit.Node, p ChargerParams) *Charger {
	p.Knee = or(p.Knee, defaultKnee)
	return &Charger{element: element{name: name, plus: plus, minus: minus}, p: p, from: p.Volts, under: p.Amps, tangent: tangent{at: nowhere}}
}

// Params returns what it was made from, as changed since.
func (c *Charger) Params() ChargerParams { return c.p }

// Set changes voltage and current limit at a time. They ramp from what they were
// there, at Slew and over Rise.
func (c *Charger) Set(now, volts, amps float64) {
	c.from, c.under = c.voltsAt(now), c.ampsAt(now)
	c.start, c.p.Volts, c.p.Amps = now, volts, amps
}

// Settled returns when voltage and current limit reach what they were set to.
func (c *Charger) Settled() float64 {
	wait := 0.
	if c.p.Slew > 0 {
		wait = math.Abs(c.p.Volts-c.from) / c.p.Slew
	}
	if c.p.Amps > c.under {
		wait = max(wait, c.p.Rise)
	}
	return c.start + wait
}

func (c *Charger) ampsAt(t float64) float64 {
	if c.p.Amps <= c.under || t >= c.start+c.p.Rise {
		return c.p.Amps
	}
	return c.under + (c.p.Amps-c.under)*max(0, t-c.start)/c.p.Rise
}

func (c *Charger) voltsAt(t float64) float64 {
	if c.p.Slew <= 0 {
		return c.p.Volts
	}
	way := max(0, t-c.start) * c.p.Slew
	if c.from < c.p.Volts {
		return min(c.p.Volts, c.from+way)
	}
	return max(c.p.Volts, c.from-way)
}

func (c *Charger) Bind(b *circuit.Binder) { c.bind(b) }
func (c *Charger) Reset()                 { c.last, c.at = 0, nowhere }

// way is −1 where the charger stands reversed.
func (c *Charger) way() float64 {
	if c.volts < 0 {
		return -1
	}
	return 1
}

// bias returns the current out of plus and its fall with voltage.
func (c *Charger) bias(v float64) (i, g float64) {
	u := c.way() * (c.volts - v) / c.p.Knee
	a, da := softplus(sharpness * u)
	b, db := softplus(sharpness * (u - 1))
	return c.way() * c.amps * (a - b) / sharpness, c.amps * (da - db) / c.p.Knee
}

func (c *Charger) Load(s *circuit.System) {
	c.volts, c.amps = s.Scale*c.voltsAt(s.Time), c.ampsAt(s.Time)
	if c.amps == 0 {
		return
	}
	v := c.limit(s, c.Volts(s.X))
	if c.left(v, c.volts, c.amps) {
		i, g := c.bias(v)
		c.renew(s, -i, g)
	}
	c.load(s, c.port, v)
}

// limit makes an iterate that would leap over the whole knee land in its middle
// first: beyond either end the slope is nearly 0 and says nothing, and iterates
// could go back and forth between the two for ever.
func (c *Charger) limit(s *circuit.System, v float64) float64 {
	const above, below, middle = 0, -1, -0.5 // knees above its voltage
	from, to := c.knees(c.last), c.knees(v)
	if from < below && to > above || from > above && to < below {
		v = c.volts + c.way()*middle*c.p.Knee
		s.Limit()
	}
	c.last = v
	return v
}

// knees is by how many knees v lies above the charger's voltage, as it stands.
func (c *Charger) knees(v float64) float64 {
	return c.way() * (v - c.volts) / c.p.Knee
}

// Current returns the current out of plus.
func (c *Charger) Current(x []float64) float64 {
	i, _ := c.bias(c.Volts(x))
	return i
}

// Power returns what it delivers.
func (c *Charger) Power(x []float64) float64 { return c.Current(x) * c.Volts(x) }

func (c *Charger) Hold(m []float64) []float64 {
	return append(m, c.p.Volts, c.p.Amps, c.from, c.under, c.start, c.last)
}

func (c *Charger) Recall(m []float64) []float64 {
	c.p.Volts, c.p.Amps, c.from, c.under, c.start, c.last = m[0], m[1], m[2], m[3], m[4], m[5]
	c.at = nowhere
	return m[6:]
}
