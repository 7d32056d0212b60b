package conductor

import "math"

// Ounce is the foil thickness of one ounce of copper a square foot as it is
// usually counted (34.8 µm nominal).
const Ounce = 35e-6 // m

// Track is a straight piece of copper foil. It gives its heat to the board, so
// it has no surface of its own: see [Layer] for how warm it gets.
func Track(width, thickness, length float64) Piece {
	return Piece{Material: Copper, Area: width * thickness, Length: length}
}

// Layer says where in a board a track lies.
type Layer int

// The layers.
const (
	Outer Layer = iota
	Inner
)

// The fit to the chart of IPC-2221 that is usually published, from memory: it is
// a fit to a chart and not the standard's text,
//
//	I = k·ΔT^0.44·A^0.725,  A in mil²
const (
	outerFactor   = 0.048
	innerFactor   = 0.024
	riseExponent  = 0.44
	areaExponent  = 0.725
	squareMil     = mil * mil
	chartAmps     = 35        // A; the range the chart is usually said to cover
	chartWidth    = 400 * mil // m
	chartLeast    = 10.       // K
	chartMost     = 100.      // K
	newerMostRise = 2000.     // K; where the search for the newer fit's rise ends
)

func (l Layer) factor() float64 {
	if l == Inner {
		return innerFactor
	}
	return outerFactor
}

// Amps is the current for a rise, by the fit to IPC-2221.
func (l Layer) Amps(rise, area float64) float64 {
	return l.factor() * math.Pow(rise, riseExponent) * math.Pow(area/squareMil, areaExponent)
}

// Area is the cross section a current needs for a rise, by the same fit.
func (l Layer) Area(amps, rise float64) float64 {
	return squareMil * math.Pow(amps/(l.factor()*math.Pow(rise, riseExponent)), 1/areaExponent)
}

// Rise is that of a track above its board, by the same fit.
func (l Layer) Rise(amps, area float64) float64 {
	return math.Pow(amps/(l.factor()*math.Pow(area/squareMil, areaExponent)), 1/riseExponent)
}

// OnChart reports whether current, width and rise lie where the chart of IPC-2221
// is usually said to hold: up to 35 A and 400 mil, 10 to 100 K.
func OnChart(amps, width, rise float64) bool {
	return amps <= chartAmps && width <= chartWidth && rise >= chartLeast && rise <= chartMost
}

// NewerArea is the cross section a current needs for a rise by an unofficial
// public fit to newer measurements (those that IPC-2152 rests on, from memory),
//
//	A = (117.555·ΔT^−0.913 + 1.15)·I^(0.84·ΔT^−0.108 + 1.159),  A in mil²
//
// Inner and outer layers are alike in it.
func NewerArea(amps, rise float64) float64 {
	c := 117.555*math.Pow(rise, -0.913) + 1.15
	return squareMil * c * math.Pow(amps, 0.84*math.Pow(rise, -0.108)+1.159)
}

// NewerRise is the rise by that fit: +Inf where no rise up to 2000 K is enough.
// More rise needs less area, so it is found by halving.
func NewerRise(amps, area float64) float64 {
	low, high := 1e-3, newerMostRise
	if NewerArea(amps, high) > area {
		return math.Inf(1)
	}
	for range 60 {
		mid := math.Sqrt(low * high)
		if NewerArea(amps, mid) > area {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}
