package uncertainty

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// The outer percentiles of a range: those of ±3 σ, were it normal.
const (
	OuterLow  = 0.00135
	OuterHigh = 1 - OuterLow
)

// LeastSamples is the smallest number of samples of which a fraction p, or 1−p,
// is a whole sample: 740 for OuterLow. Below it the outermost sample is all
// there is, and it estimates another percentile.
func LeastSamples(p float64) int { return int(1 / math.Min(p, 1-p)) }

// LeastBounded is the smallest number of samples whose lowest bounds the
// percentile p from outside with the given confidence: 1−(1−p)ⁿ ≥ confidence,
// 2 218 for OuterLow at 95 %. For p above one half it is the highest that
// bounds.
func LeastBounded(p, confidence float64) int {
	p = math.Min(p, 1-p)
	return int(math.Ceil(math.Log(1-confidence) / math.Log1p(-p)))
}

// Percentile is the p-th percentile of sorted values: the smallest value that at
// least a fraction p of them do not exceed. It is an order statistic, one of the
// values themselves, so that merging samples in any way gives the same bits.
func Percentile(sorted []float64, p float64) float64 {
	n := len(sorted)
	k := int(math.Ceil(p*float64(n) - 1e-9)) // a hair, that 0.5·n is not above itself
	return sorted[min(max(k, 1), n)-1]
}

// PercentileBounds are the ranks, counted from 0, of the order statistics of n
// samples that bound the percentile p from below and above, each with the given
// confidence, whatever the distribution. ok is false where n is too small for
// one of them. The number of samples below the percentile is binomial (n, p):
// x₍ᵣ₎ ≤ ξ has the probability P(B ≥ r), x₍ₛ₎ ≥ ξ has P(B ≤ s−1).
func PercentileBounds(n int, p, confidence float64) (lower, upper int, ok bool) {
	// P(B ≤ k), by the incomplete beta function, falls with p and grows with k.
	atMost := func(k int) float64 { return binomialCDF(k, n, p) }
	// The largest r with P(B ≤ r−1) ≤ 1−confidence.
	r := searchFirst(n+1, func(k int) bool { return atMost(k) > 1-confidence }) // first k with P(B ≤ k) too likely
	// The smallest s with P(B ≤ s−1) ≥ confidence.
	s := searchFirst(n+1, func(k int) bool { return atMost(k) >= confidence }) + 1
	return r - 1, s - 1, r >= 1 && s <= n
}

// searchFirst is the first of 0 … n−1 for which f holds, n if there is none.
func searchFirst(n int, f func(int) bool) int {
	lo, hi := 0, n
	for lo < hi {
		if m := (lo + hi) / 2; f(m) {
			hi = m
		} else {
			lo = m + 1
		}
	}
	return lo
}

// binomialCDF is P(B ≤ k) for n draws of probability p.
func binomialCDF(k, n int, p float64) float64 {
	switch {
	case k < 0:
		return 0
	case k >= n:
		return 1
	}
	return distuv.Beta{Alpha: float64(n - k), Beta: float64(k + 1)}.CDF(1 - p)
}

// Sample describes values by what needs no distribution.
type Sample struct {
	N        int
	Mean, SD float64 // SD is NaN for fewer than two
	Min, Max float64
	// Low, Mid and High are the percentiles OuterLow, 50 % and OuterHigh. The
	// outer ones are NaN below LeastSamples.
	Low, Mid, High float64
	// LowBounds and HighBounds hold the outer percentiles, each end a one-sided
	// bound of 95 %. Bounded is false below LeastBounded.
	LowBounds, HighBounds [2]float64
	Bounded               bool
}

// boundConfidence is the confidence of each end of a percentile's interval.
const boundConfidence = 0.95

// Describe describes values, whose order does not matter. There must be some.
func Describe(values []float64) Sample {
	x := slices.Sorted(slices.Values(values))
	nan := math.NaN()
	s := Sample{N: len(x), SD: nan, Min: x[0], Max: x[len(x)-1], Low: nan, High: nan, Mid: Percentile(x, 0.5)}
	s.Mean, s.SD = meanSD(x)
	if s.N >= LeastSamples(OuterLow) {
		s.Low, s.High = Percentile(x, OuterLow), Percentile(x, OuterHigh)
	}
	a, b, low := PercentileBounds(s.N, OuterLow, boundConfidence)
	c, d, high := PercentileBounds(s.N, OuterHigh, boundConfidence)
	if s.Bounded = low && high; s.Bounded {
		s.LowBounds, s.HighBounds = [2]float64{x[a], x[b]}, [2]float64{x[c], x[d]}
	}
	return s
}

// meanSD adds up in the order of the sorted values, about the lowest of them,
// so that neither the order of sampling nor a large common part shows.
func meanSD(sorted []float64) (mean, sd float64) {
	base, n := sorted[0], float64(len(sorted))
	sum := 0.0
	for _, v := range sorted {
		sum += v - base
	}
	off := sum / n
	if n < 2 {
		return base + off, math.NaN()
	}
	sq := 0.0
	for _, v := range sorted {
		d := v - base - off
		sq += d * d
	}
	return base + off, math.Sqrt(sq / (n - 1))
}
