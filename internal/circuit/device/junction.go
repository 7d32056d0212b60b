package device

import "math"

// Exponential is a junction in series with a resistance at one temperature:
//
//	i = Is·(e^((v − i·R)/w) − 1)
//
// It is kept by the logarithm of Is, so that a breakdown hundreds of slopes
// away still has one. With R > 0 it is solved by Wright's ω:
//
//	i + Is = (w/R)·ω(ln(Is·R/w) + (v + Is·R)/w)
//
// With R = 0 the exponential goes on along its tangent where the current
// leaves all physics (e^40 A), so that no voltage overflows.
type Exponential struct {
	LnSat float64 // ln(Is/A)
	Slope float64 // w, V
	Ohms  float64 // R

	sat     float64 // e^LnSat
	zero    float64 // ln(Is·R/w), where R > 0
	landing float64 // V at which a junction that turns on is entered
}

// NewExponential returns the junction of saturation current e^lnSat.
func NewExponential(lnSat, slope, ohms float64) Exponential {
	e := Exponential{LnSat: lnSat, Slope: slope, Ohms: ohms, sat: math.Exp(lnSat), zero: lnSat + math.Log(ohms/slope)}
	e.landing = e.Volts(max(landingAmps, landingRatio*e.sat))
	return e
}

const (
	tangentFrom  = 40   // ln A
	vanished     = -70  // ln A: 4e-31 A, nothing beside gmin at a nanovolt
	landingAmps  = 1e-9 // where a junction that turns on is entered
	freeSlopes   = 2    // iterates move freely by that many slopes
	landingRatio = 10   // of the saturation current, at least
)

// At returns current and slope at voltage v.
func (e *Exponential) At(v float64) (i, g float64) {
	if e.Ohms > 0 {
		w := wrightOmega(e.zero + (v+e.sat*e.Ohms)/e.Slope)
		return e.Slope/e.Ohms*w - e.sat, w / (1 + w) / e.Ohms
	}
	x := e.LnSat + v/e.Slope
	if x > tangentFrom {
		top := math.Exp(tangentFrom)
		return top*(1+x-tangentFrom) - e.sat, top / e.Slope
	}
	if v < e.Slope && v > -e.Slope {
		d := math.Expm1(v / e.Slope)
		return e.sat * d, e.sat * (d + 1) / e.Slope
	}
	if x < vanished {
		return -e.sat, 0
	}
	i = math.Exp(x)
	return i - e.sat, i / e.Slope
}

// Volts returns the voltage at current i > −Is: the inverse of At.
func (e *Exponential) Volts(i float64) float64 {
	if top := math.Exp(tangentFrom); i > top && e.Ohms == 0 {
		return e.Slope * (tangentFrom - e.LnSat + (i+e.sat)/top - 1)
	}
	return e.Slope*(math.Log(i+e.sat)-e.LnSat) + i*e.Ohms
}

// limit returns how far an iterate may go from old towards v and whether that
// is less than all the way. A junction about to turn on is first entered at
// about a nanoampere: climbing from below gains decades an iteration, coming
// down from above only a factor e. One that is on goes to the voltage at which
// the current that the tangent promises really flows (the pnjlim of SPICE,
// which takes R = 0).
func (e *Exponential) limit(v, old float64) (float64, bool) {
	if v-old <= freeSlopes*e.Slope || v <= 0 {
		return v, false
	}
	if v <= e.landing {
		return v, false
	}
	if old < e.landing {
		return e.landing, true
	}
	i, g := e.At(old)
	to := e.Volts(i + g*(v-old))
	return min(v, to), to < v
}

// depletion is the charge of a junction's capacitance:
//
//	c = C0·(1 − v/Vj)^−M below Fc·Vj, along its tangent above
//
// M = 0 is a constant capacitance.
type depletion struct{ farads, potential, grading float64 }

// tangentShare is the forward bias, as a share of the junction's potential,
// above which its capacitance follows the tangent: SPICE's FC.
const tangentShare = 0.5

func (d depletion) at(v float64) (q, c float64) {
	if d.grading == 0 {
		return d.farads * v, d.farads
	}
	m, vj := d.grading, d.potential
	edge := tangentShare * vj
	if v < edge {
		f := math.Pow(1-v/vj, -m)
		return d.farads * vj / (1 - m) * (1 - (1-v/vj)*f), d.farads * f
	}
	f := math.Pow(1-tangentShare, -m)
	q0 := d.farads * vj / (1 - m) * (1 - (1-tangentShare)*f)
	c0 := d.farads * f
	rate := c0 * m / (vj * (1 - tangentShare))
	u := v - edge
	return q0 + u*(c0+rate*u/2), c0 + rate*u
}
