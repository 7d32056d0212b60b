package thermal

import (
	"math"
	"slices"
)

// Section is one section of a ladder: a capacity, then the resistance that leads
// on towards the surroundings.
type Section struct {
	KelvinPerWatt  float64
	JoulePerKelvin float64
}

// Cauer is a network as a ladder from the source to the surroundings.
type Cauer []Section

// Foster returns the same network as a sum of stages.
//
// With x = √C·T the ladder's equations are those of a symmetric tridiagonal
// matrix A (1/s); its eigenvalues are the rates of the stages, and the squares of
// the eigenvectors' first components, over C₁ and the rate, their resistances.
func (c Cauer) Foster() Foster {
	n := len(c)
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n)
	}
	for i, s := range c {
		g := 1 / s.KelvinPerWatt
		a[i][i] += g / s.JoulePerKelvin
		if i+1 < n {
			a[i+1][i+1] += g / c[i+1].JoulePerKelvin
			off := -g / math.Sqrt(s.JoulePerKelvin*c[i+1].JoulePerKelvin)
			a[i][i+1], a[i+1][i] = off, off
		}
	}
	rates, first := symmetric(a)
	var f Foster
	for i, rate := range rates {
		f = append(f, Stage{first[i] * first[i] / (c[0].JoulePerKelvin * rate), 1 / rate})
	}
	slices.SortFunc(f, func(a, b Stage) int { return sign(a.Seconds - b.Seconds) })
	return f
}

func sign(v float64) int {
	switch {
	case v < 0:
		return -1
	case v > 0:
		return 1
	}
	return 0
}

// Cauer returns the same network as a ladder.
//
// The stages' rates with their weights R/τ are the spectrum of the ladder's
// matrix, so Lanczos' method, kept orthogonal in full, finds the ladder (Golub and
// Van Loan, Matrix Computations, from memory). It does without the polynomials
// of a continued fraction, which lose all digits beyond six stages or so.
func (f Foster) Cauer() Cauer {
	n := len(f)
	rates, q := make([]float64, n), make([]float64, n)
	total := 0.0
	for i, s := range f {
		rates[i] = 1 / s.Seconds
		q[i] = s.KelvinPerWatt / s.Seconds
		total += q[i]
	}
	for i := range q {
		q[i] = math.Sqrt(q[i] / total)
	}
	alpha, beta := lanczos(rates, q)
	return ladder(alpha, beta, 1/total)
}

// lanczos makes the diagonal matrix of rates tridiagonal, beginning at q.
func lanczos(rates, q []float64) (alpha, beta []float64) {
	n := len(rates)
	basis := [][]float64{q}
	for j := range n {
		v := make([]float64, n)
		for i := range v {
			v[i] = rates[i] * basis[j][i]
		}
		alpha = append(alpha, dot(v, basis[j]))
		for range 2 { // once loses digits, twice is enough
			for _, b := range basis {
				p := dot(v, b)
				for i := range v {
					v[i] -= p * b[i]
				}
			}
		}
		norm := math.Sqrt(dot(v, v))
		if j+1 == n || norm < 1e-14*alpha[0] {
			break
		}
		for i := range v {
			v[i] /= norm
		}
		beta, basis = append(beta, norm), append(basis, v)
	}
	return alpha, beta
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

// ladder reads capacities and resistances off the tridiagonal matrix: αₖ =
// (1/Rₖ₋₁ + 1/Rₖ)/Cₖ, βₖ = 1/(Rₖ·√(Cₖ·Cₖ₊₁)).
func ladder(alpha, beta []float64, capacity float64) Cauer {
	var c Cauer
	before := 0.0 // 1/R of the section before
	for k := range alpha {
		g := alpha[k]*capacity - before
		c = append(c, Section{1 / g, capacity})
		if k < len(beta) {
			capacity = g * g / (beta[k] * beta[k] * capacity)
		}
		before = g
	}
	return c
}

// symmetric returns the eigenvalues of a symmetric matrix and the first component
// of each eigenvector, by Jacobi's rotations. It overwrites a.
func symmetric(a [][]float64) (values, first []float64) {
	n := len(a)
	first = make([]float64, n)
	if n > 0 {
		first[0] = 1 // the first row of the rotations so far
	}
	for range 60 {
		off := 0.0
		for p := range n {
			for q := p + 1; q < n; q++ {
				if math.Abs(a[p][q]) <= 1e-17*math.Sqrt(math.Abs(a[p][p]*a[q][q])) {
					continue
				}
				off += math.Abs(a[p][q])
				rotate(a, first, p, q)
			}
		}
		if off == 0 {
			break
		}
	}
	values = make([]float64, n)
	for i := range values {
		values[i] = a[i][i]
	}
	return values, first
}

// rotate makes a[p][q] zero.
func rotate(a [][]float64, first []float64, p, q int) {
	theta := (a[q][q] - a[p][p]) / (2 * a[p][q])
	t := 1 / (math.Abs(theta) + math.Hypot(theta, 1))
	if theta < 0 {
		t = -t
	}
	c := 1 / math.Hypot(t, 1)
	s := t * c
	app, aqq, apq := a[p][p], a[q][q], a[p][q]
	a[p][p], a[q][q] = app-t*apq, aqq+t*apq
	a[p][q], a[q][p] = 0, 0
	for k := range a {
		if k == p || k == q {
			continue
		}
		x, y := a[k][p], a[k][q]
		a[k][p], a[k][q] = c*x-s*y, s*x+c*y
		a[p][k], a[q][k] = a[k][p], a[k][q]
	}
	first[p], first[q] = c*first[p]-s*first[q], s*first[p]+c*first[q]
}
