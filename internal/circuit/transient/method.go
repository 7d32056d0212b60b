package transient

import "math"

// TR-BDF2 (Bank et al. 1985; the coefficients and the error estimate as in Hosea
// and Shampine, Appl. Numer. Math. 20, 1996): over the step h, the trapezoidal
// rule to t + γh, then the second-order backward difference to t + h. With
// γ = 2 − √2 both stages have the same matrix. L-stable, second order.
//
// For a charge q of rate f = dq/dt:
//
//	stage 1   f_γ = (q_γ − q_n)/(d·h) − f_n
//	stage 2   f_1 = (q_1 − a1·q_γ + a2·q_n)/(d·h)
//	error     e  = 2·k·h·(f_n/γ − f_γ/(γ(1−γ)) + f_1/(1−γ))
//
// with d = γ/2, a1 = 1/(γ(2−γ)), a2 = (1−γ)²/(γ(2−γ)), k = (−3γ²+4γ−2)/(12(2−γ)).
var (
	gamma = 2 - math.Sqrt2
	d     = gamma / 2
	a1    = 1 / (gamma * (2 - gamma))
	a2    = (1 - gamma) * (1 - gamma) / (gamma * (2 - gamma))
	k     = (-3*gamma*gamma + 4*gamma - 2) / (12 * (2 - gamma))

	errN = 2 * k / gamma
	errG = -2 * k / (gamma * (1 - gamma))
	err1 = 2 * k / (1 - gamma)
)

// quadratic returns the weights of the values at t, t+γh and t+h in the
// parabola through them, at t + θh.
func quadratic(theta float64) (w0, wg, w1 float64) {
	w0 = (theta - gamma) * (theta - 1) / gamma
	wg = theta * (theta - 1) / (gamma * (gamma - 1))
	w1 = theta * (theta - gamma) / (1 - gamma)
	return
}

// crossings returns the places θ in (0, 1] where the parabola through
// s0 (at 0), sg (at γ) and s1 (at 1) crosses zero, in order; at most two.
func crossings(s0, sg, s1 float64) (at [2]float64, n int) {
	// s(θ) = s0 + b·θ + c·θ²
	c := ((s1-s0)-(sg-s0)/gamma)/(1-gamma) + 0
	b := (s1 - s0) - c
	if s0 > 0 == (s1 > 0) && s0 > 0 == (sg > 0) && !(c*s0 > 0) {
		return at, 0 // one sign throughout: the parabola bends away from zero
	}
	disc := b*b - 4*c*s0
	if disc < 0 {
		return at, 0
	}
	add := func(theta float64) {
		if theta > 0 && theta <= 1 && !math.IsNaN(theta) {
			at[n] = theta
			n++
		}
	}
	// The stable pair of roots: q/c and s0/q.
	q := -0.5 * (b + math.Copysign(math.Sqrt(disc), b))
	r1, r2 := q/c, s0/q
	if q == 0 {
		r1, r2 = math.NaN(), math.NaN()
	}
	if r1 > r2 || math.IsNaN(r1) {
		r1, r2 = r2, r1
	}
	add(r1)
	if r2 != r1 {
		add(r2)
	}
	return at, n
}
