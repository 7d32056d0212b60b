package cell_test

import (
	"context"
	"math"
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/cell"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/newton"
	"cupel/internal/circuit/transient"
)

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g ± %.1g", what, got, want, tolerance)
	}
}

// start brings elements on the nodes "0", "a", "b" to rest.
func start(t *testing.T, opt transient.Options, elements ...circuit.Element) *transient.Run {
	t.Helper()
	run := transient.New(newton.New([]string{"0", "a", "b"}, append(elements,
		device.NewResistor("hold a", 1, 0, device.ResistorParams{Ohms: 1e9}),
		device.NewResistor("hold b", 2, 0, device.ResistorParams{Ohms: 1e9}))), nil, opt)
	if err := run.Operate(); err != nil {
		t.Fatal(err)
	}
	return run
}

func advance(t *testing.T, run *transient.Run, until float64) {
	t.Helper()
	if err := run.Advance(context.Background(), until); err != nil {
		t.Fatal(err)
	}
}

func disturb(t *testing.T, run *transient.Run) {
	t.Helper()
	if err := run.Disturb(); err != nil {
		t.Fatal(err)
	}
}

// flat is a curve that stays: a cell whose charge does not matter.
type flat float64

func (f flat) At(float64) (float64, float64) { return float64(f), 0 }
func (f flat) Source() string                { return "test" }

// TestTwoPairStep holds the answer of a cell with two RC pairs to a step of
// 0.85 A: parameters at half charge of M. Chen and G. A. Rincón-Mora, IEEE
// Trans. Energy Convers. 21(2), 2006, 504–511; the open-circuit voltage held,
// values of V = OCV − I·(R0 + Σ Ri·(1 − e^(−t/τi))) worked by hand.
func TestTwoPairStep(t *testing.T) {
	p := cell.Polymer850Params(0.5)
	p.Curve = flat(3.803362)
	load := device.NewCurrent("load", 1, 0, device.CurrentParams{})
	run := start(t, transient.Options{Volts: 10e-6, Amps: 10e-6}, cell.New("cell", 1, 0, p), load)
	within(t, "at rest", run.X()[1], 3.803362, 1e-6)
	load.SetAmps(0.85)
	disturb(t, run)
	within(t, "at once", run.X()[1], 3.740071, 2e-6)
	for _, c := range []struct{ seconds, volts float64 }{
		{1, 3.738690}, {10, 3.727787}, {60, 3.696766}, {300, 3.669061}, {5000, 3.658020},
	} {
		advance(t, run, c.seconds)
		within(t, "voltage", run.X()[1], c.volts, 50e-6)
	}
}

// TestPairsAtRest holds that an operating point under load is the one long
// after: pairs carry the current.
func TestPairsAtRest(t *testing.T) {
	p := cell.Polymer850Params(0.5)
	p.Curve = flat(3.803362)
	run := start(t, transient.Options{}, cell.New("cell", 1, 0, p), device.NewCurrent("load", 1, 0, device.CurrentParams{Amps: .85}))
	within(t, "voltage", run.X()[1], 3.658020, 1e-6)
}

// TestCoulombCount holds 0.8 − 1.2 A · 30 min / 2.5 Ah = 0.56, and that the
// voltage is the curve's there.
func TestCoulombCount(t *testing.T) {
	c := cell.New("cell", 1, 0, cell.Params{Curve: cell.NMC811, AmpereHours: 2.5, SOC: 0.8, Ohms: 0.03})
	load := device.NewCurrent("load", 1, 0, device.CurrentParams{})
	run := start(t, transient.Options{}, c, load)
	full, _ := cell.NMC811.At(0.8)
	within(t, "at rest", run.X()[1], full, 1e-6)
	load.SetAmps(1.2)
	disturb(t, run)
	advance(t, run, 1800)
	within(t, "state of charge", c.SOC(run.X()), 0.56, 1e-6)
	left, _ := cell.NMC811.At(0.56)
	within(t, "under load", run.X()[1], left-1.2*0.03, 1e-5)
	within(t, "current", c.Current(run.X()), 1.2, 1e-6)
}

// TestStiffCharge lets a cell charge from a hard voltage through 10 mΩ for ten
// hours: it must settle without ringing, in few steps, at the source's voltage.
func TestStiffCharge(t *testing.T) {
	c := cell.New("cell", 1, 0, cell.Params{Curve: cell.NMC811, AmpereHours: 5, SOC: 0.5, Ohms: 0.01})
	run := start(t, transient.Options{}, c, cell.NewSource("supply", 1, 0, cell.SourceParams{Volts: 4.1, Ohms: 0.01}))
	before := c.SOC(run.X())
	run.Watch = func(*transient.Segment) bool {
		now := c.SOC(run.X())
		if now < before-1e-4 {
			t.Errorf("charge falls from %g to %g at %g s", before, now, run.Time)
		}
		before = now
		return false
	}
	advance(t, run, 36000)
	within(t, "state of charge", c.SOC(run.X()), cell.SOCAt(cell.NMC811, 4.1), 2e-3)
	if run.Steps > 400 {
		t.Errorf("%d steps for ten hours", run.Steps)
	}
}

// TestSetSOC holds that a charge set is the next operating point's, and that
// one not set is kept.
func TestSetSOC(t *testing.T) {
	c := cell.New("cell", 1, 0, cell.Params{Curve: cell.NMC811, AmpereHours: 5, SOC: 0.5, Ohms: 0.01})
	run := start(t, transient.Options{}, c)
	c.SetSOC(0.9)
	for range 2 {
		if err := run.Operate(); err != nil {
			t.Fatal(err)
		}
		within(t, "state of charge", c.SOC(run.X()), 0.9, 1e-9)
	}
}

// TestRewind holds that a run with a cell comes back to where it was, but for
// rounding: the first guess of the step after it differs.
func TestRewind(t *testing.T) {
	c := cell.New("cell", 1, 0, cell.Polymer850Params(0.5))
	load := device.NewCurrent("load", 1, 0, device.CurrentParams{})
	run := start(t, transient.Options{}, c, load)
	load.SetAmps(0.85)
	disturb(t, run)
	advance(t, run, 100)
	mark := run.Snapshot()
	advance(t, run, 500)
	first := run.X()[1]
	run.Rewind(mark)
	advance(t, run, 500)
	within(t, "the second time", run.X()[1], first, 1e-12)
}

// TestSource holds the settable cell: 4.0 V behind 20 mΩ into 0.34 Ω, and off.
func TestSource(t *testing.T) {
	c := cell.NewSource("cell", 1, 0, cell.SourceParams{Volts: 4, Ohms: 0.02})
	run := start(t, transient.Options{}, c, cell.NewResistance("load", 1, 0, 0.38))
	within(t, "current", c.Current(run.X()), 10, 1e-6)
	within(t, "delivers", c.Power(run.X()), 38, 1e-5)
	c.Connect(false)
	disturb(t, run)
	within(t, "taken off", run.X()[1], 0, 1e-6)
	within(t, "taken off", c.Current(run.X()), 0, 0)
}
