package device_test

import (
	"math"
	"slices"

	"cupel/internal/circuit"
)

// bench is one element alone: what flows into it at given unknowns.
type bench struct {
	element circuit.Element
	layout  circuit.Layout
	sys     *circuit.System
}

func newBench(nodes int, e circuit.Element) *bench {
	l := circuit.Lay(nodes, []circuit.Element{e})
	return &bench{e, l, l.NewSystem()}
}

// load linearises at x from rest, so that no tangent of an earlier load is
// carried on, again until the element's limiting has come to rest.
func (b *bench) load(x []float64) {
	copy(b.sys.X, x)
	if e, ok := b.element.(circuit.Nonlinear); ok {
		e.Reset()
	}
	for range 200 {
		b.forget()
		clear(b.sys.A)
		clear(b.sys.B)
		switch e := b.element.(type) {
		case circuit.Linear:
			e.LoadMatrix(b.sys)
			e.LoadSource(b.sys)
			e.Store(b.sys)
		case circuit.Nonlinear:
			e.Load(b.sys)
		}
		if !b.sys.Limited() {
			return
		}
	}
	panic("limiting never came to rest")
}

// forget takes the element off its last tangent and leaves it its last
// iterate, as a rewound run does.
func (b *bench) forget() {
	if h, ok := b.element.(circuit.Holder); ok {
		h.Recall(h.Hold(nil))
	}
}

// residual returns A·x − B at x, the current that leaves each unknown into the
// element, and how far each may be off by rounding.
func (b *bench) residual(x []float64) (r, rounding []float64) {
	b.load(x)
	r, rounding = make([]float64, len(x)), make([]float64, len(x))
	reach := max(-slices.Min(x), slices.Max(x))
	for slot, e := range b.layout.Entries {
		if slot > 0 {
			r[e[0]] += b.sys.A[slot] * x[e[1]]
			rounding[e[0]] += epsilon * math.Abs(b.sys.A[slot]) * reach
		}
	}
	for i := range r {
		r[i] -= b.sys.B[i]
		rounding[i] += epsilon * math.Abs(b.sys.B[i])
	}
	r[0] = 0
	for i := 1; i < b.layout.Nodes; i++ {
		r[0] -= r[i]
		rounding[0] += rounding[i]
	}
	return r, rounding
}

// epsilon is a few units in the last place.
const epsilon = 1e-15

// jacobian returns the matrix loaded at x.
func (b *bench) jacobian(x []float64) map[[2]circuit.Node]float64 {
	b.load(x)
	j := map[[2]circuit.Node]float64{}
	for slot, e := range b.layout.Entries {
		if slot > 0 {
			j[e] = b.sys.A[slot]
		}
	}
	return j
}

// near compares within a relative and an absolute tolerance.
func near(got, want, relative, absolute float64) bool {
	return math.Abs(got-want) <= relative*math.Max(math.Abs(got), math.Abs(want))+absolute
}
