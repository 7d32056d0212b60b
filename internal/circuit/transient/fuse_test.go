package transient_test

import (
	"context"
	"math"
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/newton"
	"cupel/internal/circuit/transient"
)

// fused is a fuse behind a stiff source and a resistance.
type fused struct {
	source *device.Voltage
	fuse   *device.Fuse
	run    *transient.Run
	parted float64 // s; NaN while whole
}

func newFused(t *testing.T, ohms, henry float64, p device.FuseParams) *fused {
	t.Helper()
	f := &fused{parted: math.NaN()}
	f.source = device.NewVoltage("V", 1, 0, device.VoltageParams{})
	f.fuse = device.NewFuse("F1", 1, 2, p)
	elements := []circuit.Element{
		f.source, f.fuse,
		device.NewResistor("R", 3, 0, device.ResistorParams{Ohms: ohms}),
		device.NewInductor("L", 2, 3, device.InductorParams{Ohms: 1e-3, Henry: henry}),
		device.NewResistor("damping", 2, 3, device.ResistorParams{Ohms: 47}),
	}
	f.run = transient.New(newton.New([]string{"0", "in", "out", "load"}, elements), nil, transient.Options{})
	f.run.Fuses = []transient.Fuse{f.fuse}
	f.run.Parted = func(at float64, _ transient.Fuse) { f.parted = at }
	if err := f.run.Operate(); err != nil {
		t.Fatal(err)
	}
	return f
}

func (f *fused) drive(t *testing.T, volts, seconds float64) {
	t.Helper()
	f.source.SetVolts(volts)
	if err := f.run.Disturb(); err != nil {
		t.Fatal(err)
	}
	if err := f.run.Advance(context.Background(), f.run.Time+seconds); err != nil {
		t.Fatal(err)
	}
}

var thirty = device.FuseParams{Ohms: 2e-3, RatedAmps: 30, BlowAmps: 90, BlowSeconds: 2}

// A fuse parts when its curve says: t = −τ·ln(1 − (1.25·I/i)²), the closed form
// of its heat under a constant current, and nothing flows after.
func TestFuseParts(t *testing.T) {
	hold := 1.25 * thirty.RatedAmps
	tau := -thirty.BlowSeconds / math.Log1p(-hold*hold/thirty.BlowAmps/thirty.BlowAmps)
	for _, amps := range []float64{40, 60, 90, 300, 3000} {
		f := newFused(t, 10e-3, 0, thirty)
		f.drive(t, amps*13e-3, 100)
		want := -tau * math.Log1p(-hold*hold/amps/amps)
		if !(math.Abs(f.parted-want) < 1e-3*want) {
			t.Errorf("at %g A it parts after %g s, want %g s", amps, f.parted, want)
		}
		if i := f.fuse.Current(f.run.X()); !f.fuse.Blown() || math.Abs(i) > 1e-9 {
			t.Errorf("at %g A: blown %v, and %g A flow", amps, f.fuse.Blown(), i)
		}
	}
}

// It carries its rating for ever, and cools between pulses that together would
// part it.
func TestFuseCarries(t *testing.T) {
	f := newFused(t, 10e-3, 0, thirty)
	f.drive(t, 30*13e-3, 3600)
	for range 20 {
		f.drive(t, 0, 60)
		f.drive(t, 90*13e-3, 1.5)
	}
	if f.fuse.Blown() {
		t.Errorf("it parted at %g s", f.parted)
	}
	f.drive(t, 90*13e-3, 1)
	if !f.fuse.Blown() {
		t.Error("2.5 s without a pause do not part it")
	}
}

// A coil behind it keeps its current at the instant it parts, and the run goes
// on from there; a rewound run has the fuse whole again.
func TestFuseRewinds(t *testing.T) {
	f := newFused(t, 10e-3, 1e-6, thirty)
	before := f.run.Snapshot()
	f.drive(t, 300*13e-3, 1)
	at := f.parted
	if !f.fuse.Blown() {
		t.Fatal("it did not part")
	}
	f.source.SetVolts(0)
	f.run.Rewind(before)
	if f.fuse.Blown() {
		t.Error("blown after the rewind")
	}
	f.drive(t, 300*13e-3, 1)
	if f.parted != at {
		t.Errorf("it parts at %.17g s, the first time at %.17g s", f.parted, at)
	}
}
