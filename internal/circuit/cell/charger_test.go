package cell_test

import (
	"math"
	"testing"

	"cupel/internal/circuit/cell"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/transient"
)

// TestChargerCurve holds constant current below, constant voltage at, nothing
// above the charger's voltage; into a source that is set in turn. The soft
// corner leaves e^−10 of the current half a knee above.
func TestChargerCurve(t *testing.T) {
	ch := cell.NewCharger("charger", 1, 0, cell.ChargerParams{Volts: 21, Amps: 2})
	pack := cell.NewSource("pack", 1, 0, cell.SourceParams{Volts: 0, Ohms: 1e-3})
	run := start(t, transient.Options{}, ch, pack)
	for _, c := range []struct{ pack, amps, tolerance float64 }{
		{0, 2, 1e-4}, {15, 2, 1e-4}, {20.8, 2, 1e-3}, {20.97, 1.17, 0.2}, {21.1, 0, 1e-4}, {25, 0, 1e-9},
	} {
		pack.SetVolts(c.pack)
		disturb(t, run)
		within(t, "current", ch.Current(run.X()), c.amps, c.tolerance)
		if i := ch.Current(run.X()); i < 0 {
			t.Errorf("takes %g A back at %g V", -i, c.pack)
		}
	}
}

// TestChargerReversed holds that a charger with its leads exchanged is the same
// charger seen from the other side: it draws from a pack what it can give, and
// nothing once the pack is driven beyond its voltage.
func TestChargerReversed(t *testing.T) {
	ch := cell.NewCharger("charger", 1, 0, cell.ChargerParams{Volts: -21, Amps: 2})
	pack := cell.NewSource("pack", 1, 0, cell.SourceParams{Volts: 0, Ohms: 1e-3})
	run := start(t, transient.Options{}, ch, pack)
	for _, c := range []struct{ pack, amps, tolerance float64 }{
		{18.5, -2, 1e-4}, {0, -2, 1e-4}, {-15, -2, 1e-4}, {-20.97, -1.17, 0.2}, {-21.1, 0, 1e-4}, {-25, 0, 1e-9},
	} {
		pack.SetVolts(c.pack)
		disturb(t, run)
		within(t, "current", ch.Current(run.X()), c.amps, c.tolerance)
	}
}

// TestChargerOpen holds that a charger into nothing stands near its voltage,
// from either side and for any current.
func TestChargerOpen(t *testing.T) {
	for _, amps := range []float64{5e-3, 2, 100} {
		ch := cell.NewCharger("charger", 1, 0, cell.ChargerParams{Volts: 21, Amps: amps})
		run := start(t, transient.Options{}, ch, device.NewResistor("leak", 1, 0, device.ResistorParams{Ohms: 1e6}))
		if v := run.X()[1]; v < 20.95 || v > 21.15 {
			t.Errorf("%g A: open at %g V", amps, v)
		}
		ch.Set(run.Time, 12, amps)
		disturb(t, run)
		if v := run.X()[1]; v < 11.95 || v > 12.15 {
			t.Errorf("%g A: open at %g V, set to 12 V", amps, v)
		}
		ch.Set(run.Time, 40, amps)
		disturb(t, run)
		if v := run.X()[1]; v < 39.95 || v > 40.15 {
			t.Errorf("%g A: open at %g V, set to 40 V", amps, v)
		}
	}
}

// TestChargerSlew holds a ramp of 100 V/s from 0 to 20 V and when it ends.
func TestChargerSlew(t *testing.T) {
	ch := cell.NewCharger("charger", 1, 0, cell.ChargerParams{Volts: 0, Amps: 2, Slew: 100})
	run := start(t, transient.Options{}, ch, cell.NewResistance("load", 1, 0, 1e3))
	ch.Set(run.Time, 20, 2)
	within(t, "settled", ch.Settled(), 0.2, 1e-12)
	run.Break(ch.Settled())
	disturb(t, run)
	advance(t, run, 0.1)
	within(t, "half-way", run.X()[1], 10, 0.1)
	advance(t, run, 0.5)
	within(t, "at its end", run.X()[1], 20, 0.1)
}

// TestChargerRises holds a current limit that is raised over 100 µs and lowered
// at once.
func TestChargerRises(t *testing.T) {
	ch := cell.NewCharger("charger", 1, 0, cell.ChargerParams{Rise: 100e-6})
	pack := cell.NewSource("pack", 1, 0, cell.SourceParams{Volts: 18.5, Ohms: 0.06})
	run := start(t, transient.Options{}, ch, pack)
	for _, c := range []struct{ amps, half, whole float64 }{{40, 20, 40}, {60, 50, 60}, {10, 10, 10}} {
		ch.Set(run.Time, 25, c.amps)
		disturb(t, run)
		settled := ch.Settled()
		run.Break(settled)
		advance(t, run, run.Time+50e-6)
		within(t, "half-way", ch.Current(run.X()), c.half, 1e-3)
		advance(t, run, run.Time+100e-6)
		within(t, "settled", ch.Current(run.X()), c.whole, 1e-3)
	}
}

// TestChargerChargesCell lets a charger fill a cell: constant current first,
// taper after, charge as the curve has it at the charger's voltage.
func TestChargerChargesCell(t *testing.T) {
	c := cell.New("cell", 1, 0, cell.Params{Curve: cell.NMC811, AmpereHours: 2.5, SOC: 0.2, Ohms: 0.03})
	ch := cell.NewCharger("charger", 1, 0, cell.ChargerParams{Volts: 4.2, Amps: 1.25})
	run := start(t, transient.Options{}, c, ch)
	advance(t, run, 1800)
	within(t, "half an hour in", ch.Current(run.X()), 1.25, 1e-3)
	within(t, "charge", c.SOC(run.X()), 0.2+0.25, 1e-3)
	advance(t, run, 6*3600)
	if i := ch.Current(run.X()); i > 0.05*1.25 {
		t.Errorf("still %g A after six hours", i)
	}
	if soc := c.SOC(run.X()); soc < 0.98 || soc > 1.05 {
		t.Errorf("charged to %g", soc)
	}
}

// TestConstantCurrentLoad holds that the load draws its current from a source
// and cannot pull it below 0 V.
func TestConstantCurrentLoad(t *testing.T) {
	pack := cell.NewSource("pack", 1, 0, cell.SourceParams{Volts: 18.5, Ohms: 0.06})
	load := cell.NewConstantCurrent("load", 1, 0, 0)
	run := start(t, transient.Options{}, pack, load)
	for _, c := range []struct{ amps, volts float64 }{{20, 17.3}, {300, 0.5}, {1000, 0}, {1, 18.44}} {
		load.SetAmps(c.amps)
		disturb(t, run)
		if v := run.X()[1]; v < -1e-6 || math.Abs(v-c.volts) > 0.05 {
			t.Errorf("%g A: %g V, want %g", c.amps, v, c.volts)
		}
	}
}

// TestPowerLoad holds that 100 W is drawn at 20 V, and that the load gives way
// at its least voltage.
func TestPowerLoad(t *testing.T) {
	pack := cell.NewSource("pack", 1, 0, cell.SourceParams{Volts: 20, Ohms: 0.1})
	load := cell.NewPower("load", 1, 0, cell.PowerParams{Watts: 100})
	run := start(t, transient.Options{}, pack, load)
	v := run.X()[1]
	within(t, "power", load.Current(run.X())*v, 100*v*v/(v*v+1), 1e-6)
	pack.SetVolts(0.2)
	disturb(t, run)
	if i := load.Current(run.X()); i < 0 || i > 2 {
		t.Errorf("%g A from a dead pack", i)
	}
}

// TestInrush holds the current into an empty capacitor behind a resistance,
// i = V/R·e^(−t/RC), and that it keeps its charge while off.
func TestInrush(t *testing.T) {
	pack := cell.NewSource("pack", 1, 0, cell.SourceParams{Volts: 20, Ohms: 1e-3})
	load := cell.NewInrush("load", 1, 0, cell.InrushParams{Ohms: 0.5 - 1e-3, Farads: 2e-3})
	run := start(t, transient.Options{}, pack, load)
	within(t, "off", load.Current(run.X()), 0, 1e-12)
	load.Connect(true)
	disturb(t, run)
	within(t, "at once", load.Current(run.X()), 40, 1e-3)
	advance(t, run, 1e-3)
	within(t, "after RC", load.Current(run.X()), 40/math.E, 0.02)
	load.Connect(false)
	disturb(t, run)
	kept := load.CapacitorVolts(run.X())
	within(t, "charged to", kept, 20*(1-1/math.E), 0.01)
	advance(t, run, 1)
	within(t, "a second later", load.CapacitorVolts(run.X()), kept, 1e-6)
	if err := run.Operate(); err != nil {
		t.Fatal(err)
	}
	within(t, "at rest", load.CapacitorVolts(run.X()), kept, 1e-6)
}
