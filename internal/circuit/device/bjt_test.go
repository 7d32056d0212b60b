package device

import (
	"math"
	"testing"
)

// TestEbersMoll holds the transport equations at a point worked by hand: Is
// 10 fA, βf 100, βr 2, 27 °C, 0.65 V at the base, collector 5 V above it.
func TestEbersMoll(t *testing.T) {
	p := NewBJT("q", 1, 2, 3, BJTParams{Sat: 1e-14, Forward: 100, Reverse: 2, Nominal: SpiceKelvin}).Params()
	m := p.At(SpiceKelvin)
	c := m.Currents(0.65, -5)
	within(t, "collector current", c.CE-c.BC, 8.204693660e-4, 1e-12)
	within(t, "base current", c.BE+c.BC, 8.204693655e-6, 1e-14)
}

// TestSaturation holds the closed form of the saturation voltage, worked by
// hand: 10 mA and 1 mA.
func TestSaturation(t *testing.T) {
	p := NewBJT("q", 1, 2, 3, BJTParams{Sat: 1e-14, Forward: 100, Reverse: 2, Nominal: SpiceKelvin}).Params()
	m := p.At(SpiceKelvin)
	within(t, "collector to emitter", m.SaturationVolts(10e-3, 1e-3), 51.139166e-3, 1e-9)
	if v := m.SaturationVolts(10e-3, 0.1e-3); !math.IsInf(v, 1) {
		t.Errorf("a hundredth of the current at the base of a gain of 100 saturates it at %g V", v)
	}
}

// TestFitBJT holds that a fitted transistor has its sheet's gain and base
// voltage, for both polarities.
func TestFitBJT(t *testing.T) {
	s := BJTSheet{
		Gain: 250, GainTempco: 5e-3, BaseVolts: 0.66, Amps: 2e-3, EmitterVolts: 5,
		LeakAmps: 15e-9, EmitterFarads: 10e-12, CollectorFarads: 4e-12, TransitionHertz: 150e6, StorageSeconds: 200e-9,
	}
	for _, s.Polarity = range []Polarity{N, P} {
		p, err := FitBJT(s)
		if err != nil {
			t.Fatal(err)
		}
		m := p.At(room)
		c := m.Currents(s.BaseVolts, s.BaseVolts-5)
		within(t, "collector current", c.F, s.Amps, 1e-9)
		within(t, "gain", c.F/c.BE, 250, 1e-6)
		hot := p.At(room + 1)
		within(t, "gain a kelvin up", hot.Forward/m.Forward, 1.005, 1e-5)
		within(t, "transit", 1/(2*math.Pi*p.ForwardTransit), 150e6, 1)
		if m.LeakAmps != s.LeakAmps {
			t.Errorf("leakage %g A, want %g", m.LeakAmps, s.LeakAmps)
		}
	}
	if _, err := FitBJT(BJTSheet{Gain: 100}); err == nil {
		t.Error("a sheet without a base voltage was fitted")
	}
}

// TestPolarity holds that a PNP is an NPN with every sign turned.
func TestPolarity(t *testing.T) {
	load := func(pol Polarity, sign float64) []float64 {
		q := NewBJT("q", 1, 2, 3, BJTParams{Polarity: pol, Sat: 1e-14, EmitterBreakdown: 7, Leak: 1e-8})
		x := []float64{0, sign * 4, sign * 0.6, sign * 0.02}
		b := newInner(4, q)
		b.load(x)
		return []float64{q.CollectorCurrent(x) * sign, q.BaseCurrent(x) * sign, q.Power(x)}
	}
	n, p := load(N, 1), load(P, -1)
	for i := range n {
		within(t, "turned", p[i], n[i], 1e-15)
	}
	if n[0] < 1e-5 || n[1] < 1e-7 {
		t.Errorf("nothing flows: %v", n)
	}
}
