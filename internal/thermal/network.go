package thermal

import (
	"fmt"
	"math"
)

// Network says how several sources warm each other at rest: K[i][j] is the rise
// of place i for a watt at place j.
type Network struct{ K [][]float64 }

// Losses gives the loss of every place at given rises.
type Losses func(rises []float64) (watts []float64, err error)

// Guess is where to begin to look for rest: the rises, and how the losses grow
// with them where that is known (W/K). Nil is zero, and unknown.
type Guess struct{ Rises, Slopes []float64 }

// Rest is where losses and temperatures agree.
type Rest struct {
	Rises, Watts []float64
	// Slopes are how each loss grows with the rise of its own place.
	Slopes []float64
	// Gain is the largest loop gain: a warmer place loses more, which warms it
	// more. At 1 there is no rest. It grows with the square of the current.
	Gain   float64
	Rounds int // how often the losses were asked for
}

// Runaway says that losses and temperatures find no rest.
type Runaway struct{ Gain float64 }

func (e *Runaway) Error() string {
	if e.Gain >= 1 {
		return fmt.Sprintf("thermal runaway: every kelvin more brings %.2f kelvin more", e.Gain)
	}
	return "thermal runaway: losses and temperatures find no rest"
}

// What the search for rest allows.
const (
	still      = 0.01   // K a rise may still lie from rest
	slopeLeast = 0.05   // K between two looks that give a slope
	slopeStep  = 1.0    // K between two looks for a slope alone
	searchMost = 40     // looks
	hottest    = 1500.0 // K; beyond it nothing is a part any more
	lookMost   = 300.0  // K; losses are looked at no hotter than this at first
)

// Settle finds the rises at which x = K·p(x): Newton's method on rises, with the
// slope of each loss by its own rise taken from two looks (the secant). Where
// losses grow in a straight line, as those of resistances at a constant current
// do, the third look confirms. The error is a *Runaway where there is no rest,
// or that of the losses.
func (n Network) Settle(losses Losses, from Guess) (Rest, error) {
	size := len(n.K)
	r := Rest{Rises: make([]float64, size), Slopes: make([]float64, size)}
	copy(r.Rises, from.Rises)
	copy(r.Slopes, from.Slopes)
	guessed, seen := from.Slopes != nil, false
	var lastRises, lastWatts []float64
	for r.Rounds < searchMost {
		watts, err := losses(r.Rises)
		if err != nil {
			return r, err
		}
		r.Rounds++
		r.Watts = watts
		if lastRises != nil {
			seen = secants(r.Slopes, r.Rises, lastRises, watts, lastWatts) || seen
		}
		lastRises, lastWatts = append([]float64(nil), r.Rises...), watts
		residual := n.residual(r.Rises, watts)
		if largest(residual) < still {
			if !seen {
				err = n.slope(&r, losses)
			}
			r.Gain = n.gain(r.Slopes)
			return r, err
		}
		if seen || guessed {
			if err = n.step(&r, residual); err == nil {
				continue
			}
		}
		if seen {
			return r, err
		}
		// Nothing is known of the slopes, or the guess was wrong: the rises that
		// these losses would lead to, if not too far.
		for i, d := range residual {
			r.Rises[i] = math.Min(lastRises[i]+d, lookMost)
		}
	}
	return r, &Runaway{n.gain(r.Slopes)}
}

// slope takes a second look a little cooler, where the first was at rest already.
func (n Network) slope(r *Rest, losses Losses) error {
	cooler := make([]float64, len(r.Rises))
	for i, x := range r.Rises {
		cooler[i] = x - slopeStep
	}
	watts, err := losses(cooler)
	if err != nil {
		return err
	}
	r.Rounds++
	secants(r.Slopes, r.Rises, cooler, r.Watts, watts)
	return nil
}

// secants updates slopes where two looks lie far enough apart to tell them, and
// reports whether any do.
func secants(slopes, rises, lastRises, watts, lastWatts []float64) (told bool) {
	for i := range slopes {
		if d := rises[i] - lastRises[i]; math.Abs(d) >= slopeLeast {
			slopes[i], told = (watts[i]-lastWatts[i])/d, true
		}
	}
	return told
}

// residual is K·p − x.
func (n Network) residual(rises, watts []float64) []float64 {
	out := make([]float64, len(rises))
	for i, row := range n.K {
		out[i] = dot(row, watts) - rises[i]
	}
	return out
}

func largest(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Max(m, math.Abs(x))
	}
	return m
}

// step is one step of Newton's method: (1 − K·diag(slopes))·dx = residual.
func (n Network) step(r *Rest, residual []float64) error {
	size := len(n.K)
	a := make([][]float64, size)
	for i, row := range n.K {
		a[i] = make([]float64, size+1)
		for j, k := range row {
			a[i][j] = -k * r.Slopes[j]
		}
		a[i][i]++
		a[i][size] = residual[i]
	}
	dx, ok := eliminate(a)
	if !ok {
		return &Runaway{n.gain(r.Slopes)}
	}
	for i, d := range dx {
		// A loss that only ever warms cannot leave a place cooler than its
		// surroundings: such a solution lies on the far side of the runaway.
		if x := r.Rises[i] + d; x < -1 || x > hottest || math.IsNaN(x) {
			return &Runaway{n.gain(r.Slopes)}
		}
	}
	for i, d := range dx {
		r.Rises[i] += d
	}
	return nil
}

// eliminate solves the equations of a, the right side its last column.
func eliminate(a [][]float64) ([]float64, bool) {
	n := len(a)
	for k := range n {
		best := k
		for i := k + 1; i < n; i++ {
			if math.Abs(a[i][k]) > math.Abs(a[best][k]) {
				best = i
			}
		}
		if math.Abs(a[best][k]) < 1e-12 {
			return nil, false
		}
		a[k], a[best] = a[best], a[k]
		for i := k + 1; i < n; i++ {
			f := a[i][k] / a[k][k]
			for j := k; j <= n; j++ {
				a[i][j] -= f * a[k][j]
			}
		}
	}
	x := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		x[i] = a[i][n]
		for j := i + 1; j < n; j++ {
			x[i] -= a[i][j] * x[j]
		}
		x[i] /= a[i][i]
	}
	return x, true
}

// gain is the largest eigenvalue of K·diag(slopes), of the slopes that grow:
// what cools as it warms can only help. The matrix has no negative entry, so the
// power method finds it.
func (n Network) gain(slopes []float64) float64 {
	x := make([]float64, len(n.K))
	for i := range x {
		x[i] = 1
	}
	g := 0.0
	for range 200 {
		y := make([]float64, len(x))
		for i, row := range n.K {
			for j, k := range row {
				y[i] += k * math.Max(slopes[j], 0) * x[j]
			}
		}
		now := largest(y)
		if now == 0 {
			return 0
		}
		for i := range y {
			y[i] /= now
		}
		x = y
		if math.Abs(now-g) < 1e-9*now {
			return now
		}
		g = now
	}
	return g
}
