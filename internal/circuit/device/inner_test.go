package device

import "cupel/internal/circuit"

// inner is one nonlinear element alone, for the tests that see its insides.
type inner struct {
	e   circuit.Nonlinear
	sys *circuit.System
}

func newInner(nodes int, e circuit.Nonlinear) *inner {
	l := circuit.Lay(nodes, []circuit.Element{e})
	return &inner{e, l.NewSystem()}
}

// load linearises at x from rest until the limiting has come to rest.
func (b *inner) load(x []float64) {
	copy(b.sys.X, x)
	b.e.Reset()
	for range 100 {
		if h, ok := b.e.(circuit.Holder); ok { // off the last tangent
			h.Recall(h.Hold(nil))
		}
		clear(b.sys.A)
		clear(b.sys.B)
		b.e.Load(b.sys)
		if !b.sys.Limited() {
			return
		}
	}
	panic("limiting never came to rest")
}
