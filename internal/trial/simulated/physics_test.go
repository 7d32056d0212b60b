package simulated_test

import (
	"context"
	"math"
	"testing"

	"cupel/internal/board/boardtest"
	"cupel/internal/trial/rig"
)

// What parts do beyond their ratings and their plain equations, seen on whole
// boards: each is a pair, a board that has it and one that has not.

// tapOff puts a resistance into the lead of tap 2; 100 MΩ is a joint that came
// loose.
func tapOff(ohms string) edit {
	return both(word("T2: tap2", "T2: lead2"), word("\nparts:\n", "\nparts:\n  R91: {value: "+ohms+", pins: [lead2, tap2]}\n"))
}

// With tap 2 open nothing but the ICs of cells 2 and 3 decide what each sees.
// Their balancers take turns: the one that bleeds pulls the tap over until its
// own supply is gone, then the other one starts. No protector sees too much for
// longer than a tenth of a second, and a cell at 4.6 V is charged on.
func TestOpenTapHidesOvercharge(t *testing.T) {
	for _, c := range []struct {
		lead string
		open bool
	}{{"100 MΩ", true}, {"10 mΩ", false}} {
		s := on(t, sluice, tapOff(c.lead))
		s.wait(0.5)
		rec, err := s.Capture(context.Background(), rig.Capture{
			Cause:   rig.Cause{Cell: 2, Volts: 4.6},
			Points:  []rig.Point{{Kind: rig.NetVolts, Part: "tap2"}},
			Seconds: 3,
		})
		s.must(err)
		low, high, turns := math.Inf(1), math.Inf(-1), 0
		for j, at := range rec.Times {
			if at > 1 {
				low, high = min(low, rec.Values[0][j]), max(high, rec.Values[0][j])
			}
		}
		for _, e := range rec.Events {
			if (e.Part == "U202" || e.Part == "U302") && e.What == rig.Sets+"BAL" {
				turns++
			}
		}
		trips := !math.IsNaN(first(rec, "U201", rig.Sets+"OV"))
		charges := s.charges()
		if c.open && !(high-low > 4 && turns > 10 && !trips && charges) {
			t.Errorf("open: tap 2 between %.2f and %.2f V, %d turns, overcharge seen: %v, charges: %v; want it thrown to and fro, and charging",
				low, high, turns, trips, charges)
		}
		if !c.open && !(high-low < 0.2 && turns <= 1 && trips && !charges) {
			t.Errorf("joined: tap 2 between %.2f and %.2f V, %d turns, overcharge seen: %v, charges: %v; want it still, and no charging",
				low, high, turns, trips, charges)
		}
	}
}

// Without balancers an open tap lies where the two ICs' equal currents leave it,
// midway: an empty cell beside a full one is not seen.
func TestOpenTapHidesOverdischarge(t *testing.T) {
	for _, c := range []struct {
		lead string
		open bool
	}{{"100 MΩ", true}, {"10 mΩ", false}} {
		s := made(t, boardtest.Spec{Topology: boardtest.Chain, Cells: 4}, tapOff(c.lead))
		s.wait(0.5)
		s.cell(3, 4.1)
		s.cell(2, 2.0)
		s.wait(1)
		sees, on := s.net("tap2")-s.net("tap1"), s.conducts()
		if c.open && !(sees > 2.6 && on) {
			t.Errorf("open: protector of cell 2 sees %.2f V, discharges: %v", sees, on)
		}
		if !c.open && !(math.Abs(sees-2) < 0.01 && !on) {
			t.Errorf("joined: protector of cell 2 sees %.2f V, discharges: %v", sees, on)
		}
	}
}

// A charger of far too many volts is held off as long as the switched-off bank
// stands the difference. Beyond, the bank breaks down and the full cell is
// charged on with all the charger gives.
func TestWrongChargerBreaksThrough(t *testing.T) {
	const amps, stands = 5, 46 // V where 40 V FETs of the sheet break down
	for _, c := range []struct {
		volts   float64
		through bool
	}{{60, false}, {75, true}} {
		s := on(t, sluice)
		s.wait(0.5)
		s.charger(c.volts, amps)
		s.cell(1, 4.3)
		s.wait(2)
		i, v := s.get(rig.Point{Kind: rig.ChargeAmps}), s.get(rig.Point{Kind: rig.BankVolts, Part: "charge"})
		pack := 4*3.7 + 4.3
		if !c.through && !(i < 1e-3 && math.Abs(v-(c.volts-pack)) < 0.2) {
			t.Errorf("%g V: %.3g A flow with the bank off, which stands %.1f V", c.volts, i, v)
		}
		if c.through && !(i > 0.99*amps && math.Abs(v-stands) < 1) {
			t.Errorf("%g V: %.3g A flow with the bank off, which stands %.1f V; want %d A at about %d V", c.volts, i, v, amps, stands)
		}
	}
}

// A charger with its leads exchanged stands in series with the pack: a strong one
// is cut as an overcurrent, and then the bank has to stand both voltages; a weak
// one empties the pack with what it gives, unseen.
func TestReversedCharger(t *testing.T) {
	for _, c := range []struct {
		volts, amps float64
		cut, stands bool
	}{{21, 5, false, false}, {21, 60, true, true}, {36, 60, true, false}} {
		s := on(t, sluice)
		s.wait(0.5)
		s.charger(-c.volts, c.amps)
		s.wait(0.2)
		drawn, v := s.get(rig.Point{Kind: rig.CellAmps, N: 3}), s.get(rig.Point{Kind: rig.BankVolts, Part: "discharge"})
		both := 5*3.7 + c.volts
		switch {
		case !c.cut && !(math.Abs(drawn-c.amps) < 0.01 && v < 0.1):
			t.Errorf("%g V, %g A reversed: %.3g A flow, bank at %.2f V; want all of it", c.volts, c.amps, drawn, v)
		case c.stands && !(drawn < 1e-3 && math.Abs(v-both) < 0.5):
			t.Errorf("%g V, %g A reversed: %.3g A flow, bank at %.2f V; want none, and %.1f V", c.volts, c.amps, drawn, v, both)
		case c.cut && !c.stands && !(drawn > 1 && v > 40 && v < both-2):
			t.Errorf("%g V, %g A reversed: %.3g A flow, bank at %.2f V; want it broken down below %.1f V", c.volts, c.amps, drawn, v, both)
		}
	}
}

// turnOff is the end of a short: what current, bank and gate did.
type turnOff struct {
	times, amps, drain, gate []float64
	joules                   float64
}

func (s *stand) turnOff(l rig.Load) turnOff {
	s.t.Helper()
	rec, err := s.Capture(context.Background(), rig.Capture{
		Cause: rig.Cause{Load: &l},
		Points: []rig.Point{
			{Kind: rig.LoadAmps},
			{Kind: rig.BankVolts, Part: "discharge"},
			{Kind: rig.GateVolts, Part: "discharge"},
			{Kind: rig.BankJoules, Part: "discharge"},
		},
		Seconds: 1e-3,
	})
	s.must(err)
	return turnOff{rec.Times, rec.Values[0], rec.Values[1], rec.Values[2], rec.Values[3][len(rec.Times)-1]}
}

// rise is how long the bank took from one voltage to another and how far its gate
// fell meanwhile.
func (k turnOff) rise(from, to float64) (seconds, volts float64) {
	start, gate := math.NaN(), 0.
	for j, v := range k.drain {
		if k.times[j] < 50e-6 { // the short's beginning
			continue
		}
		if math.IsNaN(start) && v >= from {
			start, gate = k.times[j], k.gate[j]
		}
		if v >= to {
			return k.times[j] - start, gate - k.gate[j]
		}
	}
	return math.NaN(), math.NaN()
}

// While the drain rises its charge flows through the gate's resistor and holds the
// gate still: the Miller plateau. With as large a capacitance from gate to source
// alone the gate runs down and takes the drain along.
func TestMillerPlateau(t *testing.T) {
	bare := sheetOf(t, "nfet-40v-6m", "nfet-bare", "c_iss: {value: typ 2.2 nF", "c_iss: {value: typ 20 pF", "c_rss: {value: typ 150 pF", "c_rss: {value: typ 1 pF")
	outside := both(in("Q5", "nfet-40v-6m", "nfet-bare"), word("\nparts:\n", "\nparts:\n  C91: {value: 4.4 nF C0G, pins: [gate-discharge, bminus]}\n"))
	loop := rig.Load{Kind: rig.Short, Value: noted, Lead: rig.Lead{Ohms: 10e-3, Henry: 3e-6}}
	for _, c := range []struct {
		name    string
		s       *stand
		plateau bool
	}{{"its own capacitances", on(t, sluice), true}, {"all from gate to source", own(t, sluice, bare, outside), false}} {
		c.s.wait(0.5)
		seconds, volts := c.s.turnOff(loop).rise(2.5, 7)
		// 6 V over 3.3 kΩ · 4.4 nF are 0.4 V/µs.
		if speed := volts / seconds; !(speed < 0.05e6 || speed > 0.2e6) || c.plateau != (speed < 0.05e6) {
			t.Errorf("%s: while the drain rises from 2.5 to 7 V, in %.3g s, the gate falls %.3g V", c.name, seconds, volts)
		}
	}
}

// Long leads drive the bank into breakdown when it cuts: its voltage stands still
// there until the leads have lost their energy, and the bank takes more than was in
// them, for the pack goes on feeding:
//
//	t = L·I/(V_br − V),  E = ½·L·I²·V_br/(V_br − V)
//
// with the pack's V of 18.5 V less what cells, leads and short drop. Short leads do
// not. I and V_br are those of the run.
func TestAvalanche(t *testing.T) {
	for _, c := range []struct {
		henry     float64
		avalanche bool
	}{{10e-6, true}, {1e-6, false}} {
		s := on(t, sluice)
		s.wait(0.5)
		k := s.turnOff(rig.Load{Kind: rig.Short, Value: noted, Lead: rig.Lead{Ohms: 10e-3, Henry: c.henry}})
		var peak, stays, burnt, enters float64
		for j := range k.times[1:] {
			peak = max(peak, k.drain[j])
			if dt := k.times[j+1] - k.times[j]; k.drain[j] > 44 {
				enters = max(enters, k.amps[j])
				stays += dt
				burnt += dt * k.drain[j] * k.amps[j]
			}
		}
		if !c.avalanche {
			if !(peak < 40 && burnt == 0) {
				t.Errorf("%g H: %.1f V and %.3g J in breakdown", c.henry, peak, burnt)
			}
			continue
		}
		// The drop falls with the current: half of it, in the mean.
		ohms := 5*12e-3 + noted + 10e-3 // of cells, short, leads
		feed := 18.5 - ohms*enters/2
		if want := c.henry * enters / (peak - feed); math.Abs(stays/want-1) > 0.1 {
			t.Errorf("%g H: %.3g s in breakdown, want %.3g s", c.henry, stays, want)
		}
		if want := c.henry * enters * enters / 2 * peak / (peak - feed); math.Abs(burnt/want-1) > 0.1 {
			t.Errorf("%g H: %.3g J in breakdown, want %.3g J", c.henry, burnt, want)
		}
		if enters < 100 || peak < 44 || peak > 50 {
			t.Errorf("%g H: enters breakdown with %.0f A, at most %.1f V", c.henry, enters, peak)
		}
	}
}

// A class II capacitor of a low rating has lost so much at the cell's voltage that
// the protector starves before it can cut; one without the loss lasts.
func TestBiasEatsTheFilter(t *testing.T) {
	for _, c := range []struct {
		value string
		cuts  bool
	}{{"480 nF 6.3 V X7R", false}, {"480 nF 16 V X7R", true}, {"480 nF 6.3 V C0G", true}} {
		s := on(t, sluice, in("C[2-5]01", "1 µF ±10 % 16 V X7R", c.value), in("C101", "2.2 µF ±10 % 16 V X7R", c.value))
		s.wait(0.3)
		k := s.short(noted, 3e-3)
		if cuts := k.half < cutWithin; cuts != c.cuts {
			t.Errorf("%s: half current at %.3g s, lowest supply %.2f V", c.value, k.half, k.supply)
		}
	}
}

// A transistor that conducts while all is well must first empty its base before it
// says anything else: storage time delays the cut. One that starts to conduct at a
// fault has nothing stored.
func TestStorageTime(t *testing.T) {
	for _, c := range []struct {
		signal boardtest.Signal
		delays bool
	}{{boardtest.Fine, true}, {boardtest.Fault, false}} {
		const plain = "npn-60v-100ma"
		spec := boardtest.Spec{Topology: boardtest.Chain, Cells: 3, Signal: c.signal}
		slow := sheetOf(t, plain, "npn-slow", "t_s: typ 250 ns", "t_s: typ 2 µs")
		var after [2]float64
		for i, s := range []*stand{made(t, spec), madeWith(t, spec, slow, word(plain, "npn-slow"))} {
			s.wait(0.5)
			s.amps(5)
			s.wait(0.1)
			k := s.strikeCause(rig.Cause{Cell: 3, Volts: 2.0}, 0.2)
			after[i] = k.half - first(k.rec, "U3", rig.Sets+"UV")
		}
		if later := after[1] - after[0]; !(math.Abs(later) < 0.5e-6 || later > 2e-6) || c.delays != (later > 2e-6) {
			t.Errorf("signal %d: cut after %.4g s, with 2 µs of storage in place of 250 ns after %.4g s", c.signal, after[0], after[1])
		}
	}
}
