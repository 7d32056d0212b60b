package claim

import (
	"math"

	"cupel/internal/quantity"
)

// limits are the stated limits; an open side is infinite.
type limits struct{ min, max float64 }

// limitsOf takes the limits out of q. A bare figure ("60 A") states none.
func limitsOf(q quantity.Quantity) (limits, bool) {
	l := limits{math.Inf(-1), math.Inf(1)}
	if bare(q) {
		return l, false
	}
	if !math.IsNaN(q.Min) {
		l.min = q.Min
	}
	if !math.IsNaN(q.Max) {
		l.max = q.Max
	}
	return l, !math.IsInf(l.min, 0) || !math.IsInf(l.max, 0)
}

// bare reports whether q is one figure without any limit.
func bare(q quantity.Quantity) bool {
	return math.IsNaN(q.Min) && math.IsNaN(q.Max) || q.Min == q.Max
}

// margin is how far [low, high] stays inside the nearer limit; negative by as
// much as it goes beyond.
func (l limits) margin(low, high float64) float64 {
	return math.Min(low-l.min, l.max-high)
}

// judge compares the range [low, high] with the limits: wholly inside, wholly
// outside, or across one of them. A range that touches a limit is inside.
func (l limits) judge(low, high float64) Verdict {
	switch {
	case low >= l.min && high <= l.max:
		return Meets
	case high < l.min || low > l.max:
		return Fails
	}
	return CannotTell
}

// guarded compares a value of expanded uncertainty u with the limits, drawn in
// by u for acceptance and moved out by u for rejection; between the two nothing
// can be told. It is the non-binary statement with guard band w = U of
// ILAC-G8:09/2019, 4.2.3 (guarded acceptance and rejection of JCGM 106:2012),
// its two conditional statements taken together as "cannot tell".
func (l limits) guarded(v, u float64) Verdict { return l.judge(v-u, v+u) }

// simple compares the value alone: simple acceptance, w = 0, of the same
// pages. At the limit it is wrong half the time.
func (l limits) simple(v float64) Verdict { return l.judge(v, v) }
