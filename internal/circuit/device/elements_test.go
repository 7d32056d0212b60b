package device_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// nonlinear is every nonlinear element, with parameters that use all its terms.
// Its terminals are nodes 1, 2, 3.
var nonlinear = []struct {
	name  string
	nodes int
	slack float64 // S, by which a bend in the slope may fool a difference
	make  func() circuit.Nonlinear
}{
	{"ceramic", 3, 0, func() circuit.Nonlinear {
		return device.NewCeramic("c", 1, 2, device.CeramicParams{Farads: 1e-6, Loss: 0.6, Rated: 16})
	}},
	{"sink", 3, 3e-8, func() circuit.Nonlinear {
		return device.NewSink("k", 1, 2, device.SinkParams{Amps: 3e-6})
	}},
	{"diode", 3, 0, func() circuit.Nonlinear {
		return device.NewDiode("d", 1, 2, device.DiodeParams{Sat: 1e-9, N: 1.8, Leak: 1e-7, Farads: 1e-11, Grading: .4, Transit: 1e-9})
	}},
	{"diode with resistance", 3, 0, func() circuit.Nonlinear {
		return device.NewDiode("d", 1, 2, device.DiodeParams{Sat: 1e-7, Ohms: 0.03, Gap: .69, Farads: 1e-10, Breakdown: 44, BreakdownOhms: .1})
	}},
	{"zener", 3, 0, func() circuit.Nonlinear {
		return device.NewDiode("z", 1, 2, device.DiodeParams{Sat: 1e-13, Breakdown: 2.4, BreakdownAmps: 5e-3, BreakdownSlope: .2, Leak: 1e-6})
	}},
	{"npn", 4, 0, func() circuit.Nonlinear { return device.NewBJT("q", 1, 2, 3, bjt(device.N)) }},
	{"pnp", 4, 0, func() circuit.Nonlinear { return device.NewBJT("q", 1, 2, 3, bjt(device.P)) }},
	{"nfet", 4, 0, func() circuit.Nonlinear { return device.NewMOSFET("m", 1, 2, 3, fet(device.N)) }},
	{"pfet", 4, 0, func() circuit.Nonlinear { return device.NewMOSFET("m", 1, 2, 3, fet(device.P)) }},
}

func bjt(p device.Polarity) device.BJTParams {
	return device.BJTParams{
		Polarity: p, Sat: 1e-14, Forward: 200, Reverse: 4, XTB: 1.5, EmitterBreakdown: 7, Leak: 1e-8,
		EmitterFarads: 1e-11, CollectorFarads: 5e-12, ForwardTransit: 1e-9, ReverseTransit: 5e-8,
	}
}

func fet(p device.Polarity) device.MOSFETParams {
	return device.MOSFETParams{
		Polarity: p, Parallel: 2, Threshold: 1.8, ThresholdTempco: -4e-3, K: 100, SeriesOhms: 2e-3, ResistanceRise: 4e-3,
		BodySat: 1e-11, BodyOhms: 3e-3, Transit: 2e-8, Breakdown: 33, BreakdownOhms: 8e-3, Leak: 1e-7, GateOhms: 2e10,
		GateSource: 2e-9, DrainSource: 6e-10, Miller: 1e-10, MillerPeak: 1.5e-9,
	}
}

// unknowns draws voltages that put junctions in all their regions.
func unknowns(t *rapid.T, n int, reach float64) []float64 {
	x := make([]float64, n)
	for i := 1; i < n; i++ {
		x[i] = rapid.Float64Range(-reach, reach).Draw(t, "v")
	}
	return x
}

// TestJacobian holds the matrix of every nonlinear element, charges included,
// against the central difference of its currents. The difference errs by a third
// of what a doubled step moves it; the rest is rounding, of the currents' own
// size over the step.
func TestJacobian(t *testing.T) {
	for _, e := range nonlinear {
		t.Run(e.name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				b := newBench(e.nodes, e.make())
				b.sys.Kelvin = rapid.Float64Range(233, 400).Draw(t, "kelvin")
				b.sys.Alpha = rapid.SampledFrom([]float64{0, 1, 1e6}).Draw(t, "alpha")
				x := unknowns(t, e.nodes, rapid.SampledFrom([]float64{0.3, 0.8, 8, 60}).Draw(t, "reach"))
				checkJacobian(t, b, x, e.slack)
			})
		})
	}
}

func checkJacobian(t *rapid.T, b *bench, x []float64, slack float64) {
	const h = 1e-5
	j := b.jacobian(x)
	for col := 1; col < len(x); col++ {
		fine, rounding := b.difference(x, col, h)
		coarse, _ := b.difference(x, col, 2*h)
		for row := 1; row < b.layout.Nodes; row++ {
			got, want := j[[2]circuit.Node{circuit.Node(row), circuit.Node(col)}], fine[row]
			if !near(got, want, 1e-5, math.Abs(coarse[row]-want)+rounding[row]+slack+unseenSiemens) {
				t.Fatalf("row %d by %d at %v: %g, difference says %g", row, col, x, got, want)
			}
		}
	}
}

// difference is the central difference of the currents by one unknown, with
// its rounding.
func (b *bench) difference(x []float64, col int, h float64) (slope, rounding []float64) {
	up, down := slices.Clone(x), slices.Clone(x)
	up[col] += h
	down[col] -= h
	fu, ru := b.residual(up)
	fd, rd := b.residual(down)
	slope, rounding = make([]float64, len(fu)), make([]float64, len(fu))
	for i := range fu {
		slope[i], rounding[i] = (fu[i]-fd[i])/(2*h), (ru[i]+rd[i])/h
	}
	return slope, rounding
}

// unseen is a current far below gmin at a millivolt: what ω leaves of a
// saturation current where it should leave nothing.
const (
	unseen        = 1e-18 // A
	unseenSiemens = 1e-15 // S, a thousandth of gmin
)

// TestPassive holds that at rest no element delivers power, sums its currents
// to nothing over its terminals, and stays a number, up to ±100 V.
func TestPassive(t *testing.T) {
	for _, e := range nonlinear {
		t.Run(e.name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				b := newBench(e.nodes, e.make())
				b.sys.Kelvin = rapid.Float64Range(233, 400).Draw(t, "kelvin")
				x := unknowns(t, e.nodes, rapid.SampledFrom([]float64{1e-3, 1, 10, 100}).Draw(t, "reach"))
				f, rounding := b.residual(x)
				power, size := 0., 0.
				for i := range f[:b.layout.Nodes] {
					power += x[i] * f[i]
					size += math.Abs(x[i]) * (rounding[i] + unseen)
				}
				if !(power >= -size) || math.IsInf(power, 0) {
					t.Fatalf("delivers %g W at %v, rounding %g", -power, x, size)
				}
				if math.Abs(f[0]) > rounding[0]+unseen {
					t.Fatalf("%g A to the reference, which it does not touch, at %v", f[0], x)
				}
			})
		})
	}
}

// TestLoadAllocatesNothing counts what a load puts on the heap.
func TestLoadAllocatesNothing(t *testing.T) {
	for _, e := range nonlinear {
		b := newBench(e.nodes, e.make())
		n := b.element.(circuit.Nonlinear)
		b.sys.X[1] = 0.7
		if got := testing.AllocsPerRun(100, func() { n.Load(b.sys) }); got != 0 {
			t.Errorf("%s: %g allocations a load", e.name, got)
		}
	}
	for name, l := range linear() {
		b := newBench(5, l)
		run := func() { l.LoadMatrix(b.sys); l.LoadSource(b.sys); l.Store(b.sys) }
		if got := testing.AllocsPerRun(100, run); got != 0 {
			t.Errorf("%s: %g allocations a load", name, got)
		}
	}
}

func linear() map[string]circuit.Linear {
	return map[string]circuit.Linear{
		"resistor":         device.NewResistor("r", 1, 2, device.ResistorParams{Ohms: 1e3}),
		"capacitor":        device.NewCapacitor("c", 1, 2, device.CapacitorParams{Farads: 1e-6}),
		"inductor":         device.NewInductor("l", 1, 2, device.InductorParams{Henry: 1e-6}),
		"voltage":          device.NewVoltage("v", 1, 2, device.VoltageParams{Volts: 1}),
		"current":          device.NewCurrent("i", 1, 2, device.CurrentParams{Amps: 1}),
		"transconductance": device.NewTransconductance("g", 1, 2, 3, 4, 1e-3),
		"switch":           device.NewSwitch("s", 1, 2, device.SwitchParams{OnOhms: 1}),
		"thermistor":       device.NewThermistor("th", 1, 2, device.ThermistorParams{Ohms: 1e4, Beta: 3435}),
		"fuse":             device.NewFuse("f", 1, 2, device.FuseParams{Ohms: .01, RatedAmps: 10, BlowAmps: 30, BlowSeconds: 1}),
	}
}

// TestHoldRecall holds that every element with a memory takes back exactly what
// it gave, and no more.
func TestHoldRecall(t *testing.T) {
	check := func(name string, e any) {
		h, ok := e.(circuit.Holder)
		if !ok {
			return
		}
		m := h.Hold([]float64{7})
		rest := h.Recall(append(m[1:len(m):len(m)], 8))
		if m[0] != 7 || len(rest) != 1 || rest[0] != 8 {
			t.Errorf("%s: held %v, left %v", name, m, rest)
		}
	}
	for _, e := range nonlinear {
		check(e.name, e.make())
	}
	for name, e := range linear() {
		check(name, e)
	}
}
