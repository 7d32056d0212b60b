package cell

import "math"

// NMC811 is the open-circuit voltage of a 5 Ah 21700 cell, NMC811 against
// graphite and SiOx: C.-H. Chen, F. Brosa Planella, K. O'Regan, D. Gastol,
// W. D. Widanage, E. Kendrick, J. Electrochem. Soc. 167 (2020) 080534. The
// half-cell functions are as printed; the end stoichiometries, x .0279 to
// .9014 and y .9084 to .2661, are from memory.
var NMC811 Curve = &formula{chen2020, "Chen et al., J. Electrochem. Soc. 167 (2020) 080534"}

func chen2020(soc float64) (volts, slope float64) {
	const x0, x1, y0, y1 = .0279, .9014, .9084, .2661
	un, dun := chen2020Negative(x0 + soc*(x1-x0))
	up, dup := chen2020Positive(y0 + soc*(y1-y0))
	return up - un, dup*(y1-y0) - dun*(x1-x0)
}

func chen2020Negative(x float64) (u, slope float64) {
	e := 1.9793 * math.Exp(-39.3631*x)
	t1, d1 := tanh(-.0909, 29.8538, x-.1234)
	t2, d2 := tanh(-.04478, 14.9159, x-.2769)
	t3, d3 := tanh(-.0205, 30.4444, x-.6103)
	return e + .2482 + t1 + t2 + t3, -39.3631*e + d1 + d2 + d3
}

func chen2020Positive(y float64) (u, slope float64) {
	t1, d1 := tanh(-.0428, 18.5138, y-.5542)
	t2, d2 := tanh(-17.7326, 15.7890, y-.3117)
	t3, d3 := tanh(17.5842, 15.9308, y-.3120)
	return -.8090*y + 4.4875 + t1 + t2 + t3, -.8090 + d1 + d2 + d3
}

// tanh returns a·tanh(b·x) and its slope.
func tanh(a, b, x float64) (y, slope float64) {
	t := math.Tanh(b * x)
	return a * t, a * b * (1 - t*t)
}
