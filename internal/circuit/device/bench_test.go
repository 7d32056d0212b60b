package device_test

import (
	"testing"

	"cupel/internal/circuit"
)

// BenchmarkLoad times one evaluation and one load along the tangent of every
// nonlinear element.
func BenchmarkLoad(b *testing.B) {
	for _, e := range nonlinear {
		for _, way := range []string{"evaluated", "on its tangent"} {
			b.Run(e.name+"/"+way, func(b *testing.B) {
				bench := newBench(e.nodes, e.make())
				bench.load([]float64{0, 0.6, 3, 0.1}[:e.nodes])
				n := bench.element.(circuit.Nonlinear)
				for b.Loop() {
					if way == "evaluated" {
						n.Reset()
					}
					n.Load(bench.sys)
				}
			})
		}
	}
}
