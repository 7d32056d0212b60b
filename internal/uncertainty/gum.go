package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Contribution is one input of a measurement: its standard uncertainty, how the
// result answers to it, and how well the uncertainty itself is known.
type Contribution struct {
	Name        string
	U           float64 // standard uncertainty of the input
	Sensitivity float64 // ∂result/∂input
	// Freedom is the degrees of freedom of U; 0 means +Inf, as for limits that
	// are taken for certain.
	Freedom float64
}

// u is the contribution to the result.
func (c Contribution) u() float64 { return math.Abs(c.U * c.Sensitivity) }

// Budget is what a result's uncertainty is made of.
type Budget []Contribution

// Combined is the combined standard uncertainty of independent inputs:
// u² = Σ(cᵢuᵢ)², JCGM 100:2008 (10).
func (b Budget) Combined() float64 {
	sum := 0.0
	for _, c := range b {
		sum += c.u() * c.u()
	}
	return math.Sqrt(sum)
}

// Freedom is the effective degrees of freedom by Welch and Satterthwaite:
// ν = u⁴/Σ((cᵢuᵢ)⁴/νᵢ), JCGM 100:2008 (G.2b).
func (b Budget) Freedom() float64 {
	u, sum := b.Combined(), 0.0
	for _, c := range b {
		if c.Freedom > 0 {
			sum += math.Pow(c.u(), 4) / c.Freedom
		}
	}
	if sum == 0 {
		return math.Inf(1)
	}
	return math.Pow(u, 4) / sum
}

// Expanded is the uncertainty that encloses a fraction p of what may be
// believed of the result: the combined one times Coverage at the effective
// degrees of freedom, truncated to a whole number as JCGM 100:2008, G.4.1 has it.
func (b Budget) Expanded(p float64) float64 {
	return Coverage(p, math.Floor(b.Freedom())) * b.Combined()
}

// Coverage is the factor t such that a fraction p lies within ±t standard
// uncertainties: Student's distribution, the normal one for infinite freedom.
func Coverage(p, freedom float64) float64 {
	q := (1 + p) / 2
	if math.IsInf(freedom, 1) {
		return distuv.UnitNormal.Quantile(q)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: freedom}.Quantile(q)
}

// CombinedCorrelated is the combined standard uncertainty of inputs whose
// correlation coefficients are r: u² = ΣΣ cᵢcⱼuᵢuⱼrᵢⱼ, JCGM 100:2008 (16).
// r(i, j) is asked for i < j only.
func (b Budget) CombinedCorrelated(r func(i, j int) float64) float64 {
	sum := 0.0
	for i, c := range b {
		sum += c.u() * c.u()
		for j := i + 1; j < len(b); j++ {
			sum += 2 * c.Sensitivity * c.U * b[j].Sensitivity * b[j].U * r(i, j)
		}
	}
	return math.Sqrt(math.Max(0, sum))
}

// Repeated is the mean of repeated readings with the standard uncertainty of
// that mean, s/√n, and its degrees of freedom n−1 (type A).
func Repeated(readings []float64) (mean, u, freedom float64) {
	mean, s := stat.MeanStdDev(readings, nil)
	n := float64(len(readings))
	return mean, s / math.Sqrt(n), n - 1
}

// MeanCorrelation is the correlation coefficient of the means of readings taken
// in pairs, JCGM 100:2008 (17) and (14).
func MeanCorrelation(x, y []float64) float64 { return stat.Correlation(x, y, nil) }

// Standard uncertainties of what is known by limits alone (type B).

// Rectangular is that of limits ±a with nothing known inside them.
func Rectangular(a float64) float64 { return a / math.Sqrt(3) }

// Triangular is that of limits ±a with the middle likelier than the ends.
func Triangular(a float64) float64 { return a / math.Sqrt(6) }

// UShaped is that of limits ±a approached by a sine.
func UShaped(a float64) float64 { return a / math.Sqrt2 }

// Resolution is that of a display that steps by q.
func Resolution(q float64) float64 { return q / math.Sqrt(12) }
