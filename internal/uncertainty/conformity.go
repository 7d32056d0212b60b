package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Conformance is the probability that a quantity measured as y with standard
// uncertainty u lies between low and high (either may be infinite), if what may
// be believed of it is normal: JCGM 106:2012, 7.
func Conformance(y, u, low, high float64) float64 {
	n := distuv.Normal{Mu: y, Sigma: u}
	return n.CDF(high) - n.CDF(low)
}

// Guarded reports which of the three statements of a guarded decision holds for
// y between low and high with guard band w on both sides of each limit: inside
// the limits drawn in by w, outside the limits moved out by w, or neither.
func Guarded(y, low, high, w float64) (inside, outside bool) {
	return y >= low+w && y <= high-w, y < low-w || y > high+w
}

// TestUncertaintyRatio is the half width of a specification over the expanded
// uncertainty of the measurement that judges it.
func TestUncertaintyRatio(low, high, expanded float64) float64 {
	return math.Abs(high-low) / 2 / expanded
}
