package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Limit is one input of a tolerance stack, between Low and High.
type Limit struct{ Low, Typ, High float64 }

// Symmetric is a limit of ± a fraction around a value.
func Symmetric(typ, fraction float64) Limit {
	d := math.Abs(typ * fraction)
	return Limit{typ - d, typ, typ + d}
}

// WorstCase is the exact range of f over the corners of its inputs, by trying
// all of them: for stacks by hand, where f is monotone in each input.
func WorstCase(f func([]float64) float64, inputs []Limit) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	x := make([]float64, len(inputs))
	for corner := range 1 << len(inputs) {
		for i, in := range inputs {
			x[i] = in.Low
			if corner>>i&1 == 1 {
				x[i] = in.High
			}
		}
		y := f(x)
		low, high = math.Min(low, y), math.Max(high, y)
	}
	return low, high
}

// Linear gives, by first derivatives at the typical values, how far f moves in
// the worst case, Σ|∂f/∂xᵢ·Δᵢ|, and root-sum-square, √Σ(∂f/∂xᵢ·Δᵢ)², with Δᵢ
// half the width of each input. For inputs spread evenly within their limits
// the standard deviation is the second over √3.
func Linear(f func([]float64) float64, inputs []Limit) (worst, rss float64) {
	x := make([]float64, len(inputs))
	for i, in := range inputs {
		x[i] = in.Typ
	}
	sum, squares := 0.0, 0.0
	for i, in := range inputs {
		half := (in.High - in.Low) / 2
		h := half * 1e-4 // small beside the limits, large beside rounding
		if h == 0 {
			continue
		}
		x[i] = in.Typ + h
		up := f(x)
		x[i] = in.Typ - h
		d := (up - f(x)) / (2 * h) * half
		x[i] = in.Typ
		sum, squares = sum+math.Abs(d), squares+d*d
	}
	return sum, math.Sqrt(squares)
}

// Capability gives the process indices Cp and Cpk of a normal process between
// two limits, and the part of it outside, in parts per million.
func Capability(mean, sd, low, high float64) (cp, cpk, ppm float64) {
	n := distuv.Normal{Mu: mean, Sigma: sd}
	cp = (high - low) / (6 * sd)
	cpk = math.Min(high-mean, mean-low) / (3 * sd)
	return cp, cpk, 1e6 * (n.CDF(low) + n.Survival(high))
}

// ToleranceFactor is Howe's two-sided factor k: of a normal lot at least the
// fraction covered lies within mean ± k·s of n samples, with the given
// confidence. W. G. Howe, J. Am. Stat. Assoc. 64 (1969) 610.
func ToleranceFactor(n int, covered, confidence float64) float64 {
	nu := float64(n - 1)
	z := distuv.UnitNormal.Quantile((1 + covered) / 2)
	chi := distuv.ChiSquared{K: nu}.Quantile(1 - confidence)
	return z * math.Sqrt(nu*(1+1/float64(n))/chi)
}

// MeanSamples is how many samples of standard deviation sd bring the mean within
// ± half with the given confidence.
func MeanSamples(sd, half, confidence float64) int {
	z := distuv.UnitNormal.Quantile((1 + confidence) / 2)
	return int(math.Ceil(math.Pow(z*sd/half, 2)))
}
