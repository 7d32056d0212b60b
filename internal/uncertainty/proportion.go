package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// ClopperPearson bounds the probability of what happened k times in n, with at
// least the given confidence for both bounds together: C. J. Clopper and
// E. S. Pearson, Biometrika 26 (1934) 404. Bounds at 0 and 1 are exact.
func ClopperPearson(k, n int, confidence float64) (low, high float64) {
	tail := (1 - confidence) / 2
	return lowerProportion(k, n, tail), UpperProportion(k, n, 1-tail)
}

// lowerProportion is the probability at which k or more in n have the
// probability tail.
func lowerProportion(k, n int, tail float64) float64 {
	if k == 0 {
		return 0
	}
	return distuv.Beta{Alpha: float64(k), Beta: float64(n - k + 1)}.Quantile(tail)
}

// UpperProportion is the upper bound alone, with the confidence on that side.
func UpperProportion(k, n int, confidence float64) float64 {
	if k == n {
		return 1
	}
	return distuv.Beta{Alpha: float64(k + 1), Beta: float64(n - k)}.Quantile(confidence)
}

// ZeroFailures is how many must be tried without a failure to show with the
// given confidence that at least the fraction reliability is good.
func ZeroFailures(confidence, reliability float64) int {
	return int(math.Ceil(math.Log(1-confidence)/math.Log(reliability) - 1e-9))
}

// Shown is the reliability that n tries without a failure show.
func Shown(n int, confidence float64) float64 { return math.Pow(1-confidence, 1/float64(n)) }
