package quantity

import "math"

// Low is the lower limit, or the nominal value when no lower limit was given.
func (q Quantity) Low() float64 {
	if math.IsNaN(q.Min) {
		return q.Nominal()
	}
	return q.Min
}

// High is the upper limit, or the nominal value when no upper limit was given.
func (q Quantity) High() float64 {
	if math.IsNaN(q.Max) {
		return q.Nominal()
	}
	return q.Max
}

// Tolerance is how far the limits are below and above the nominal value, both
// as positive numbers in SI units. ok is false when a limit is missing.
func (q Quantity) Tolerance() (down, up float64, ok bool) {
	n := q.Nominal()
	down, up = n-q.Min, q.Max-n
	return down, up, !math.IsNaN(down) && !math.IsNaN(up)
}

// Within reports whether v is not outside the limits that were given.
func (q Quantity) Within(v float64) bool { return !(v < q.Min) && !(v > q.Max) }

// Equal reports whether p and q have the same dimension and the same numbers,
// however they were written.
func (q Quantity) Equal(p Quantity) bool {
	return q.Dim == p.Dim && same(q.Min, p.Min) && same(q.Typ, p.Typ) && same(q.Max, p.Max)
}

func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
