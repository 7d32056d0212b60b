package device

import (
	"testing"
)

// TestFitDiode holds that a fitted diode has its sheet's forward points and
// leakage.
func TestFitDiode(t *testing.T) {
	for name, s := range map[string]DiodeSheet{
		"small signal": {ForwardVolts: 0.62, ForwardAmps: 1e-3, HighVolts: 1, HighAmps: 0.1, LeakAmps: 25e-9, RatedVolts: 75, Farads: 2e-12, Recovery: 4e-9},
		"one point":    {ForwardVolts: 0.62, ForwardAmps: 1e-3, LeakAmps: 25e-9, RatedVolts: 75},
		"Schottky":     {ForwardVolts: 0.3, ForwardAmps: 0.1, HighVolts: 0.48, HighAmps: 3, N: 1.05, LeakAmps: 50e-6, RatedVolts: 40},
		"low leakage":  {ForwardVolts: 0.7, ForwardAmps: 1e-3, HighVolts: 1, HighAmps: 50e-3, LeakAmps: 3e-12, RatedVolts: 45},
		"no room for a resistance": {
			ForwardVolts: 0.6, ForwardAmps: 1e-3, HighVolts: 0.7, HighAmps: 0.1, LeakAmps: 1e-8, RatedVolts: 75,
		},
	} {
		p, err := FitDiode(s)
		if err != nil {
			t.Fatal(name, err)
		}
		m := p.At(room)
		i, _ := m.Forward.At(s.ForwardVolts)
		within(t, name+": forward current", i/s.ForwardAmps, 1, 1e-9)
		if s.HighAmps > 0 {
			i, _ = m.Forward.At(s.HighVolts)
			within(t, name+": high forward current", i/s.HighAmps, 1, 1e-9)
		}
		back, _ := m.Current(-0.8 * s.RatedVolts)
		within(t, name+": leakage", back/s.LeakAmps, -1, 1e-9)
		if p.Ohms < 0 {
			t.Errorf("%s: %g Ω", name, p.Ohms)
		}
		if metal := p.Gap == schottkyGap; metal != (name == "Schottky") {
			t.Errorf("%s: taken for a band gap of %g eV", name, p.Gap)
		}
	}
	if _, err := FitDiode(DiodeSheet{ForwardVolts: 0.6}); err == nil {
		t.Error("a sheet without a forward current was fitted")
	}
}

// TestSchottkyLeaksHot holds that the leakage of a fitted part at 60 °C is that
// of its figure, doubled every 10 K, beside its own saturation current.
func TestSchottkyLeaksHot(t *testing.T) {
	p, err := FitDiode(DiodeSheet{ForwardVolts: 0.62, ForwardAmps: 1e-3, LeakAmps: 1e-6, LeakDouble: 10, RatedVolts: 75})
	if err != nil {
		t.Fatal(err)
	}
	m := p.At(room + 40)
	i, _ := m.Current(-50)
	within(t, "leakage at 65 °C", i, -16*p.Leak-m.Forward.sat, 1e-12)
}

// TestFitZener holds breakdown voltage and slopes of fitted zeners: with room
// for a series resistance both slopes, without that at the test current.
func TestFitZener(t *testing.T) {
	slope := func(m *DiodeModel, amps float64) float64 {
		_, g := m.Breakdown.At(m.Breakdown.Volts(amps))
		return 1 / g
	}
	for name, s := range map[string]ZenerSheet{
		"15 V":         {Volts: 15, Amps: 5e-3, Ohms: 30, KneeAmps: 1e-3, KneeOhms: 110, LeakAmps: 5e-8, Tempco: 11e-3},
		"steep knee":   {Volts: 15, Amps: 5e-3, Ohms: 10, KneeAmps: 1e-3, KneeOhms: 200, LeakAmps: 5e-8, Tempco: 11e-3},
		"low":          {Volts: 2.4, Amps: 5e-3, Ohms: 85, LeakAmps: 20e-6, Tempco: -2e-3},
		"a power part": {Volts: 24, Amps: 10e-3, Ohms: 25, LeakAmps: 1e-6},
	} {
		p, err := FitZener(s)
		if err != nil {
			t.Fatal(name, err)
		}
		m := p.At(room)
		i, _ := m.Breakdown.At(s.Volts)
		within(t, name+": current at the breakdown voltage", i/s.Amps, 1, 1e-9)
		// The reverse saturation of the exponential, e^(−V/w) of the current,
		// shows in the slope of a low zener.
		within(t, name+": slope", slope(&m, s.Amps)/s.Ohms, 1, 5e-3)
		if name == "15 V" {
			within(t, name+": slope at the knee", slope(&m, s.KneeAmps)/s.KneeOhms, 1, 1e-6)
		}
		hot := p.At(room + 10)
		within(t, name+": 10 K up", hot.Breakdown.Volts(s.Amps)-s.Volts, 10*s.Tempco, 1e-6)
		i, _ = m.Current(0)
		within(t, name+": at 0 V", i, 0, 1e-24)
	}
	fitZenerEnds(t)
	if _, err := FitZener(ZenerSheet{Volts: 15}); err == nil {
		t.Error("a sheet without a test current was fitted")
	}
}

// fitZenerEnds holds the two ends of knees: a soft one may not leak more than
// its sheet says, a sharp one is not sharper than the solver can follow.
func fitZenerEnds(t *testing.T) {
	soft := ZenerSheet{Volts: 3.3, Amps: 5e-3, Ohms: 85, KneeAmps: 1e-3, KneeOhms: 350, LeakAmps: 1e-6, LeakVolts: 1}
	p, err := FitZener(soft)
	if err != nil {
		t.Fatal(err)
	}
	m := p.At(room)
	i, _ := m.Current(-1)
	within(t, "soft knee: leakage at 1 V", i/-1e-6, 1, 0.05)
	sharp := ZenerSheet{Volts: 24, Amps: 1e-3, Ohms: 0.5, LeakAmps: 1e-7, LeakVolts: 20}
	if p, err = FitZener(sharp); err != nil {
		t.Fatal(err)
	}
	if p.BreakdownSlope != sharpest || p.BreakdownOhms != 0.5 {
		t.Errorf("sharp knee: %g V, %g Ω", p.BreakdownSlope, p.BreakdownOhms)
	}
}
