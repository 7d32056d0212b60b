package cell

import "math"

// Polymer850 is the cell of M. Chen, G. A. Rincón-Mora, "Accurate electrical
// battery model capable of predicting runtime and I–V performance", IEEE
// Trans. Energy Convers. 21(2), 2006, 504–511: an 850 mAh LCO polymer cell,
// its open-circuit voltage, series resistance and two RC pairs as functions of
// the state of charge s.
var Polymer850 Curve = &formula{chen2006, "Chen and Rincón-Mora, IEEE Trans. Energy Convers. 21(2) 2006, 504-511"}

func chen2006(s float64) (volts, slope float64) {
	e := -1.031 * math.Exp(-35*s)
	return e + 3.685 + .2156*s - .1178*s*s + .3201*s*s*s,
		-35*e + .2156 - 2*.1178*s + 3*.3201*s*s
}

// Polymer850Params returns that cell at state of charge s, its resistances and
// capacitances those at s.
func Polymer850Params(s float64) Params {
	return Params{
		Curve: Polymer850, AmpereHours: .85, SOC: s,
		Ohms: .1562*math.Exp(-24.37*s) + .07446,
		Pairs: [MaxPairs]Pair{
			{Ohms: .3208*math.Exp(-29.14*s) + .04669, Farads: -752.9*math.Exp(-13.51*s) + 703.6},
			{Ohms: 6.603*math.Exp(-155.2*s) + .04984, Farads: -6056*math.Exp(-27.12*s) + 4475},
		},
	}
}
