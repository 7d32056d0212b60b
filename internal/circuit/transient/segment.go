package transient

// Segment is one accepted step.
type Segment struct {
	Start, Step float64 // s
	X0, Xg, X1  []float64
}

// At puts the unknowns at Start + θ·Step into x.
func (g *Segment) At(theta float64, x []float64) {
	w0, wg, w1 := quadratic(theta)
	for i := range x {
		x[i] = w0*g.X0[i] + wg*g.Xg[i] + w1*g.X1[i]
	}
}

// Inner is where between 0 and 1 the inner point of a segment lies.
var Inner = gamma

// Integral integrates over the segment what has the values f0, fg and f1 at its
// start, inner point and end, by the parabola through them.
func (g *Segment) Integral(f0, fg, f1 float64) float64 {
	w0 := (gamma/2 - 1.0/6) / gamma
	wg := 1 / (6 * gamma * (1 - gamma))
	w1 := (1.0/3 - gamma/2) / (1 - gamma)
	return g.Step * (w0*f0 + wg*fg + w1*f1)
}
