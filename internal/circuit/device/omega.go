package device

import "math"

// wrightOmega returns ω(z), the solution of ω + ln ω = z for real z: a
// junction in series with a resistance, solved in closed form.
//
// Method: a start by region, then one or two steps of the fourth-order
// iteration of Fritsch, Shafer and Crowley (CACM 16, 1973, algorithm 443),
// as Lawrence, Corless and Jeffrey use it for ω (ACM TOMS 38, 2012, algorithm
// 917); both from memory, tested against the defining equation. Accurate to a
// few units in the last place; e^z where z < −37.
func wrightOmega(z float64) float64 {
	if z < -37 {
		return math.Exp(z) // ω = e^(z−ω), and ω < 1e-16
	}
	w := omegaStart(z)
	for range 3 {
		r := z - w - math.Log(w)
		if math.Abs(r) <= 4e-16*(1+math.Abs(z)) {
			break
		}
		t := 2 * (1 + w) * (1 + w + 2./3*r)
		w *= 1 + r/(1+w)*(t-r)/(t-2*r)
	}
	return w
}

func omegaStart(z float64) float64 {
	switch {
	case z < -2:
		e := math.Exp(z)
		return e * (1 - e)
	case z < math.Pi:
		// Taylor's series about z = 1, where ω = 1.
		d := z - 1
		return 1 + d/2 + d*d/16 - d*d*d/192
	}
	l := math.Log(z)
	return z - l + l/z
}

// softplus returns ln(1 + e^x) and its slope 1/(1 + e^−x), without overflow.
func softplus(x float64) (y, slope float64) {
	if x > 0 {
		e := math.Exp(-x)
		return x + math.Log1p(e), 1 / (1 + e)
	}
	e := math.Exp(x)
	return math.Log1p(e), e / (1 + e)
}
