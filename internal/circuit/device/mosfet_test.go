package device

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestSquareLaw holds the channel far above its threshold against SPICE's
// level 1, worked by hand: K 20 A/V², Vth 1 V, Vgs 4 V.
func TestSquareLaw(t *testing.T) {
	p := NewMOSFET("m", 1, 2, 3, MOSFETParams{K: 20, Threshold: 1}).Params()
	m := p.At(room)
	id, _, _ := m.Channel(4, 4-0.05)
	within(t, "triode", id, 2.975, 1e-12)
	within(t, "on resistance at 50 mV", 0.05/id, 16.806723e-3, 5e-10)
	id, _, _ = m.Channel(4, 4-10)
	within(t, "saturated", id, 90, 1e-9)
}

// TestWeakInversion holds that below threshold the current falls a decade
// every φ·ln 10 and does not depend on the drain beyond a few kT/q.
func TestWeakInversion(t *testing.T) {
	p := NewMOSFET("m", 1, 2, 3, MOSFETParams{K: 20, Threshold: 2, Swing: 1.5}).Params()
	m := p.At(room)
	decade := 1.5 * ThermalVolts(room) * math.Ln10
	a, _, _ := m.Channel(1.2, 1.2-5)
	b, _, _ := m.Channel(1.2-decade, 1.2-decade-5)
	within(t, "a decade", a/b, 10, 1e-3)
	c, _, _ := m.Channel(1.2, 1.2-8)
	within(t, "at 8 V over at 5 V", c/a, 1, 1e-9)
}

// TestChannelShape holds what makes the channel safe to iterate on: its sign is
// the drain's, and it rises with gate and drain everywhere.
func TestChannelShape(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := MOSFETParams{
			K: rapid.Float64Range(1e-3, 1e3).Draw(t, "K"), Threshold: rapid.Float64Range(0.5, 4).Draw(t, "Vth"),
			SeriesOhms: rapid.Float64Range(0, 0.1).Draw(t, "Rs"),
		}.filled()
		m := p.At(rapid.Float64Range(233, 420).Draw(t, "T"))
		vgs, vds := rapid.Float64Range(-20, 20).Draw(t, "vgs"), rapid.Float64Range(-5, 40).Draw(t, "vds")
		id, byGS, byGD := m.Channel(vgs, vgs-vds)
		if id*vds < 0 {
			t.Fatalf("%g A at %g V", id, vds)
		}
		if byGS < 0 || byGD > 0 {
			t.Fatalf("slopes %g by vgs, %g by vgd", byGS, byGD)
		}
	})
}

// sheets are figures of four classes, of no particular part.
var sheets = map[string]MOSFETSheet{
	"40 V N, 6 mΩ": {
		RatedVolts: 40, ThresholdVolts: 1.8, ThresholdTempco: -5e-3,
		On: OnPoint{GateVolts: 10, Ohms: 5e-3, Amps: 20}, Low: OnPoint{GateVolts: 4.5, Ohms: 6.5e-3, Amps: 15}, OnTempco: 4.5e-3,
		Input: 2.4e-9, Output: 500e-12, Reverse: 80e-12, FaradsVolts: 20,
		LeakAmps: 1e-7, GateLeakAmps: 1e-9, DiodeVolts: 0.8, DiodeAmps: 10, Recovery: 25e-9,
	},
	"one resistance": {
		RatedVolts: 20, ThresholdVolts: 0.7, ThresholdTempco: -2.5e-3, On: OnPoint{GateVolts: 4.5, Ohms: 1.5}, OnTempco: 4e-3,
		Input: 60e-12, Output: 20e-12, Reverse: 10e-12, FaradsVolts: 10, DiodeVolts: 0.8, DiodeAmps: 0.1,
	},
	"steep": { // more between the two resistances than a channel's square law with this threshold explains
		RatedVolts: 60, ThresholdVolts: 2.1, ThresholdTempco: -3e-3,
		On: OnPoint{GateVolts: 10, Ohms: 1.7}, Low: OnPoint{GateVolts: 4.5, Ohms: 6}, OnTempco: 6e-3,
		Input: 30e-12, Output: 8e-12, Reverse: 3e-12, FaradsVolts: 25, DiodeVolts: 0.85, DiodeAmps: 0.2,
	},
	"P": {
		Polarity: P, RatedVolts: 30, ThresholdVolts: 1.6, ThresholdTempco: -4e-3, ThresholdAmps: 1e-3,
		On: OnPoint{GateVolts: 10, Ohms: 20e-3}, Low: OnPoint{GateVolts: 4.5, Ohms: 32e-3}, OnTempco: 4e-3,
		Input: 1.4e-9, Output: 250e-12, Reverse: 150e-12, DiodeVolts: 0.75, DiodeAmps: 1,
	},
}

// TestFitMOSFET holds that every fitted transistor gives its sheet's own
// figures back.
func TestFitMOSFET(t *testing.T) {
	for name, s := range sheets {
		t.Run(name, func(t *testing.T) {
			p, err := FitMOSFET(s)
			if err != nil {
				t.Fatal(err)
			}
			m := p.At(room)
			for _, on := range []OnPoint{s.On, s.Low} {
				if on.Ohms == 0 {
					continue
				}
				volts := or(on.Amps*on.Ohms, 1e-4)
				id, _, _ := m.Channel(on.GateVolts, on.GateVolts-volts)
				within(t, "on resistance", volts/id/on.Ohms, 1, 1e-6)
			}
			id, _, _ := m.Channel(s.ThresholdVolts, 0)
			within(t, "threshold current", id/or(s.ThresholdAmps, 250e-6), 1, 1e-6)
			hot := p.OnOhms(s.On.GateVolts, room+100) / p.OnOhms(s.On.GateVolts, room)
			within(t, "resistance at 125 °C over that at 25 °C", hot, 1+100*s.OnTempco, 1e-9)
			fitBodyAndCharges(t, s, p)
		})
	}
}

func fitBodyAndCharges(t *testing.T, s MOSFETSheet, p MOSFETParams) {
	m := p.At(room)
	i, _ := m.Body.At(s.DiodeVolts)
	within(t, "diode current", i/s.DiodeAmps, 1, 1e-9)
	_, reverse := p.MillerCharge(-or(s.FaradsVolts, 15))
	within(t, "c_rss", reverse/s.Reverse, 1, 1e-9)
	within(t, "c_iss", (reverse+p.GateSource)/s.Input, 1, 1e-9)
	within(t, "c_oss", (reverse+p.DrainSource)/s.Output, 1, 1e-9)
	off, _ := m.Bulk(0.8 * s.RatedVolts)
	within(t, "off at 80 % of its rating", off, s.LeakAmps, 1e-9)
	at, _ := m.Bulk(p.Breakdown)
	within(t, "at breakdown", at, p.BreakdownAmps+s.LeakAmps, 1e-9)
	if p.Swing < 1 || p.Swing > 6 || p.SeriesOhms < 0 || p.K <= 0 {
		t.Errorf("swing %g, series %g Ω, K %g", p.Swing, p.SeriesOhms, p.K)
	}
}

// TestFitMOSFETRefuses holds the texts of sheets that cannot be.
func TestFitMOSFETRefuses(t *testing.T) {
	for want, change := range map[string]func(*MOSFETSheet){
		"on resistance is 0 Ω":                 func(s *MOSFETSheet) { s.On.Ohms = 0 },
		"not above the threshold of 12 V":      func(s *MOSFETSheet) { s.ThresholdVolts = 12 },
		"must be more at less gate voltage":    func(s *MOSFETSheet) { s.Low.Ohms = 1e-3 },
		"second on resistance is stated at":    func(s *MOSFETSheet) { s.Low.GateVolts = 1 },
		"is more than c_iss of 2.4e-09 F":      func(s *MOSFETSheet) { s.Reverse = 3e-9 },
		"c_oss of 5e-10 F, of which it is a p": func(s *MOSFETSheet) { s.Reverse = 6e-10 },
	} {
		s := sheets["40 V N, 6 mΩ"]
		change(&s)
		if _, err := FitMOSFET(s); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

// TestGateVoltageMoves holds the trap of few cells: the on resistance of the
// same part rises as its gate falls from 8.4 to 5.6 V, by what the sheet's two
// points say of the part in series.
func TestGateVoltageMoves(t *testing.T) {
	p, err := FitMOSFET(sheets["40 V N, 6 mΩ"])
	if err != nil {
		t.Fatal(err)
	}
	full, empty := p.OnOhms(8.4, room), p.OnOhms(5.6, room)
	if !(empty > full && empty < 6.5e-3 && full > 5e-3) {
		t.Errorf("%g Ω at 8.4 V, %g Ω at 5.6 V", full, empty)
	}
}

// TestParallel holds that two in parallel carry twice what one does, in
// channel, diode, leakage and charge.
func TestParallel(t *testing.T) {
	p, err := FitMOSFET(sheets["40 V N, 6 mΩ"])
	if err != nil {
		t.Fatal(err)
	}
	two := p
	two.Parallel = 2
	for _, x := range [][]float64{{0, 0.1, 8, 0}, {0, 20, 0, 0}, {0, -0.7, 0, 0}, {0, 46, 0, 0}, {0, 5, 2.5, 0}} {
		one, both := newInner(4, NewMOSFET("m", 1, 2, 3, p)), newInner(4, NewMOSFET("m", 1, 2, 3, two))
		one.sys.Gmin, both.sys.Gmin = 0, 0
		one.load(x)
		both.load(x)
		for slot := range one.sys.A[1:] {
			within(t, "conductance", both.sys.A[slot+1], 2*one.sys.A[slot+1], 1e-9*math.Abs(one.sys.A[slot+1]))
		}
		for i := range one.sys.Q {
			within(t, "charge", both.sys.Q[i], 2*one.sys.Q[i], 1e-9*math.Abs(one.sys.Q[i]))
		}
	}
}
