package simulated_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// Each trap of these boards is a pair: the edit that brings it, and the board as
// it is, or another edit, where it must be gone. Numbers that hang on fine detail
// are held within a factor; what happens is held exactly.

// Edits of sluice-5s that bring a trap.
var (
	// The sense resistor alone, without the follower.
	withoutFollower = both(without("Q7"), in("R12", "sense-far", "sense"))
	senseAtMinus    = in("R12", "middle", "pminus")
	// Gates fed from the whole pack, and clamps that stand in for the lower feed.
	pullUpsAtTop = both(in("R3|R11", "tap3", "tap5"), in("D2|D3", "zener-15v-350mw", "zener-12v-350mw"))
	smallFilters = both(in("C[2-5]01", "1 µF", "100 nF"), in("C101", "2.2 µF", "100 nF"))
)

// emittersOnTaps takes the shifters' current past the supply filters.
func emittersOnTaps() edit {
	var all []edit
	for k := 1; k <= 5; k++ {
		all = append(all, in(fmt.Sprintf("Q%d0[12]", k), fmt.Sprintf("e: supply%d", k), fmt.Sprintf("e: tap%d", k)))
	}
	return both(all...)
}

// A load that holds P− up feeds R12's current through cs into the supply of the
// lowest protector, unless Q7 stands in the way.
func TestTrapFalseOvercharge(t *testing.T) {
	for _, c := range []struct {
		name string
		edit edit
		trap bool
	}{{"R12 alone", withoutFollower, true}, {"with Q7", both(), false}} {
		s := on(t, sluice, c.edit)
		s.all(4.2)
		s.wait(0.5)
		k := s.strike(rig.Load{Kind: rig.Resistance, Value: 0.1}, 1.5)
		v, ov := s.net("supply1"), first(k.rec, "U101", rig.Sets+"OV")
		if c.trap && !(v > 5.5 && v < 6.5 && math.Abs(ov-1) < 0.01) {
			t.Errorf("%s: supply1 at %.2f V, overcharge at %.3f s; want about 6.1 V, at 1.0 s", c.name, v, ov)
		}
		if !c.trap && !(v < 4.2 && math.IsNaN(ov)) {
			t.Errorf("%s: supply1 at %.2f V, overcharge at %.3f s; want less than the cell, and none", c.name, v, ov)
		}
	}
}

// Without C6 the gates' own charge lifts P− when the load has gone: release, trip,
// release, and the board stays off.
func TestTrapChatterAfterOvercurrent(t *testing.T) {
	for _, c := range []struct {
		name string
		edit edit
		trap bool
	}{{"without C6", without("C6"), true}, {"with C6", both(), false}} {
		s := on(t, sluice, c.edit)
		s.wait(0.5)
		s.draw(35, 30e-3)
		k := s.draw(0, 1)
		again, on := k.events(rig.Sets+"SC"), s.conducts()
		if c.trap != (again > 3) || c.trap == on {
			t.Errorf("%s: %d shorts after the load had gone, on at the end: %v", c.name, again, on)
		}
	}
}

// With cs at P− the body diode of a charge bank that is off makes an overcurrent
// of nothing, and the load of an overcharged pack is refused.
func TestTrapSenseAtMinus(t *testing.T) {
	for _, c := range []struct {
		name string
		edit edit
		trap bool
	}{{"cs from P−", senseAtMinus, true}, {"cs from between the banks", both(), false}} {
		s := on(t, sluice, c.edit)
		s.cell(1, 4.30)
		s.charger(25, 5e-3)
		s.wait(1.5)
		off := rig.Charger{}
		k := s.strikeCause(rig.Cause{Charger: &off}, 0.5)
		trips := k.events(rig.Sets+"OC") + k.events(rig.Sets+"SC")
		s.amps(2)
		s.wait(0.1)
		minus := s.net("pminus")
		if c.trap && !(trips > 0 && minus > 15) {
			t.Errorf("%s: %d overcurrents, P− at %.2f V under 2 A; want at least one, and no current", c.name, trips, minus)
		}
		if !c.trap && !(trips == 0 && minus > 0.5 && minus < 1.0) {
			t.Errorf("%s: %d overcurrents, P− at %.2f V under 2 A; want none, and a diode's drop", c.name, trips, minus)
		}
	}
}

// Gates fed from the top tap hold P− up through the clamps of a charge bank when
// the load has gone, and want more current of Q1 than an empty cell gives.
func TestTrapPullUpsAtTheTop(t *testing.T) {
	for _, c := range []struct {
		name string
		edit edit
		trap bool
	}{{"pull-ups at tap 5, 12 V clamps", pullUpsAtTop, true}, {"pull-ups at tap 3", both(), false}} {
		s := on(t, sluice, c.edit)
		s.wait(0.5)
		s.draw(60, 30e-3)
		s.amps(0)
		s.wait(5)
		on, minus := s.conducts(), s.net("pminus")
		if on == c.trap {
			t.Errorf("%s: on again 5 s after an overcurrent: %v, P− at %.3f V", c.name, on, minus)
		}
		k := shortOf(t, sluice, 30e-3, 2.8, c.edit)
		if cut := !math.IsNaN(k.half); cut == c.trap {
			t.Errorf("%s: short of 30 mΩ cells at 2.8 V cut: %v", c.name, cut)
		}
		if c.trap && !(k.joules > 3) {
			t.Errorf("%s: a short that is not cut burns %.2g J in 30 ms, want several", c.name, k.joules)
		}
	}
}

// A supply filter that does not outlast the short stage's delay starves the
// protectors; the bank dies slowly on what its gates still have.
func TestTrapSupplyFilters(t *testing.T) {
	small := shortOf(t, sluice, 12e-3, 3.7, smallFilters)
	if n := small.events(rig.Sets + "BO"); n < 5 {
		t.Errorf("100 nF: %d protectors brown out, want all five", n)
	}
	if !(small.joules > 1.5 && (math.IsNaN(small.half) || small.half > 3e-3)) {
		t.Errorf("100 nF: off after %.3g s with %.3g J, want milliseconds and joules", small.half, small.joules)
	}
	if k := shortOf(t, sluice, 12e-3, 3.7); k.events(rig.Sets+"BO") > 0 || !(k.half < 400e-6 && k.joules < 0.12) {
		t.Errorf("as it is: off after %.3g s with %.3g J, browned out: %d", k.half, k.joules, k.events(rig.Sets+"BO"))
	}
}

// The follower passes the sense voltage only while its gate, the supply, stands
// above its threshold: with 1 µF a dead short of resistive cells lets go of the
// comparator before its delay is over.
func TestTrapFollowerStarves(t *testing.T) {
	for _, c := range []struct {
		name string
		edit edit
		trap bool
	}{{"C101 of 1 µF", in("C101", "2.2 µF", "1 µF"), true}, {"C101 of 2.2 µF", both(), false}} {
		s := with(t, simulated.Options{CellOhms: 30e-3}, sluice, c.edit)
		s.all(2.8)
		s.wait(0.3)
		k := s.short(1e-3, 30e-3)
		if slow := !(k.half < 1e-3); slow != c.trap {
			t.Errorf("%s: off after %.3g s", c.name, k.half)
		}
	}
}

// Shifters whose emitters stand on the taps sag with the cells; on the filtered
// supplies they do not.
func TestTrapEmittersOnTheTaps(t *testing.T) {
	if k := shortOf(t, sluice, 30e-3, 2.8, emittersOnTaps()); !(k.half > 3e-3 && k.joules > 0.5) {
		t.Errorf("emitters on the taps: off after %.3g s with %.3g J, want milliseconds", k.half, k.joules)
	}
	if k := shortOf(t, sluice, 30e-3, 2.8); !(k.half < 400e-6) {
		t.Errorf("emitters on the supplies: off after %.3g s", k.half)
	}
}

// largestShifter is the largest R105 in place of 47 kΩ with which a short is cut
// within a millisecond, to 5 %, Ω.
func largestShifter(t *testing.T, cellOhms, volts float64) float64 {
	from, to := 100e3, 10e6
	for to > 1.05*from {
		r := math.Sqrt(from * to)
		k := shortOf(t, sluice, cellOhms, volts, in("R105", "47 kΩ", fmt.Sprintf("%.0f kΩ", r/1e3)))
		if k.half < 1e-3 {
			from = r
		} else {
			to = r
		}
	}
	return math.Sqrt(from * to)
}

// The collector resistor of the bottom shifter has a largest value with which a
// short is still cut, and it moves with the cells' voltage and resistance.
func TestTrapBottomShifter(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("tens of shorts")
	}
	full, half := largestShifter(t, 12e-3, 4.2), largestShifter(t, 12e-3, 3.7)
	low, tired := largestShifter(t, 12e-3, 2.8), largestShifter(t, 30e-3, 2.8)
	t.Logf("cuts within 1 ms up to %.3g, %.3g, %.3g MΩ at 4.2, 3.7, 2.8 V of 12 mΩ; %.3g MΩ at 2.8 V of 30 mΩ", full/1e6, half/1e6, low/1e6, tired/1e6)
	if !(full > 1.05*half && half > 1.05*low && low > 1.05*tired) {
		t.Error("the border does not fall with the cells' voltage and resistance")
	}
	if tired < 5*47e3 {
		t.Errorf("47 kΩ is near the border of %.3g kΩ", tired/1e3)
	}
}

// With resistive cells the dead short is below the short stage, and the ten
// milliseconds of overcurrent cost more than the hard short of good cells. The
// sweep names the currents between which that is so.
func TestTrapDeadShortIsEasy(t *testing.T) {
	t.Parallel()
	good := shortOf(t, sluice, 12e-3, 3.7)
	poor := shortOf(t, sluice, 60e-3, 3.7)
	if !(poor.half > 5e-3 && poor.joules > 5*good.joules && poor.peak < good.peak/3) {
		t.Errorf("60 mΩ cells: %.3g A, %.3g s, %.3g J beside %.3g A, %.3g s, %.3g J", poor.peak, poor.half, poor.joules, good.peak, good.half, good.joules)
	}
	for _, c := range []struct {
		ohms float64
		low  float64 // of the dead zone, A
		high float64
	}{{12e-3, 40, 100}, {60e-3, 40, 62}} {
		s := with(t, simulated.Options{CellOhms: c.ohms}, sluice)
		rs := s.run(trial.LoadShort{}, 0)
		from, to := pick(t, rs, protection.DeadZoneFrom, ""), pick(t, rs, protection.DeadZoneTo, "")
		if !(from.Value > c.low && to.Value < c.high && from.Value < to.Value) {
			t.Errorf("cells of %g Ω: dead zone %g A to %g A, want within %g A to %g A", c.ohms, from.Value, to.Value, c.low, c.high)
		}
	}
}

// run runs one job of a trial.
func (s *stand) run(tr trial.Trial, job int) []trial.Result {
	s.t.Helper()
	rs, _, err := tr.Jobs(s.Can())[job].Run(context.Background(), s.Rig)
	s.must(err)
	return rs
}

// pick takes the one result of a quantity at a step.
func pick(t testing.TB, rs []trial.Result, q protection.Quantity, step string) trial.Result {
	t.Helper()
	for _, r := range rs {
		if r.Quantity == q && r.Step == step {
			return r
		}
	}
	t.Fatalf("no %s in %d results", q, len(rs))
	return trial.Result{}
}

// Gates fed by few cells: the trip current hangs on how full those are. A shunt
// does not know of gates.
func TestTrapGateDriveMovesTheTrip(t *testing.T) {
	t.Parallel()
	ratio := func(board string, from, to float64, edits ...edit) float64 {
		var at []float64
		for _, v := range []float64{2.8, 4.2} {
			s := on(t, board, edits...)
			s.all(v)
			s.wait(0.3)
			at = append(at, s.trips(s.Mark(), from, to, 40e-3))
		}
		return at[1] / at[0]
	}
	twoCells := ratio(sluice, 2, 70, in("R3|R11", "tap3", "tap2"))
	threeCells := ratio(sluice, 2, 70)
	shunt := ratio(hive, 20, 60)
	t.Logf("trip at 4.2 V over trip at 2.8 V: %.2f from two cells, %.2f from three, %.3f with a shunt", twoCells, threeCells, shunt)
	if !(twoCells > 2 && threeCells > 1.5 && threeCells < twoCells && math.Abs(shunt-1) < 0.01) {
		t.Error("want more than 2 from two cells, less from three, 1 with a shunt")
	}
}

// After an overdischarge trip the lowest cells, which feed the shifter and the
// gates' pull-ups, go on draining fastest. At rest all are within 1.1 µA.
func TestTrapUnequalDrainAfterOverdischarge(t *testing.T) {
	s := on(t, sluice)
	s.wait(0.5)
	if is := s.drain(); !(is[0]-is[4] < 1.1e-6) {
		t.Errorf("at rest cell 1 gives %.3g A, cell 5 %.3g A", is[0], is[4])
	}
	s.cell(1, 2.3)
	s.wait(1)
	if is := s.drain(); !(is[0] > 8*is[4] && is[1] > 2*is[4]) {
		t.Errorf("after overdischarge the cells give %.3g A", is)
	}
}

// A balancer that reads its cell through the resistance its bleed flows in
// starts and stops itself, once that drop exceeds its hysteresis of 30 mV: 0.31 Ω
// at 96 mA.
func TestTrapBalancerChatters(t *testing.T) {
	lead := func(ohms string) edit {
		return both(
			func(t testing.TB, text string) string { return strings.Replace(text, "T1: tap1,", "T1: lead1,", 1) },
			line("R101", "R101: {value: 330 Ω, pins: [tap1, supply1]}\nR91: {value: "+ohms+", pins: [lead1, tap1]}"),
		)
	}
	for _, c := range []struct {
		name string
		edit edit
		trap bool
	}{{"lead of 0.4 Ω", lead("0.4 Ω"), true}, {"lead of 0.2 Ω", lead("0.2 Ω"), false}} {
		s := on(t, sluice, c.edit)
		rs := s.run(trial.Balance{}, 0)
		start := pick(t, rs, protection.Start, "")
		if got := start.Outcome == protection.Chatters; got != c.trap {
			t.Errorf("%s: balancing %s at %g V", c.name, start.Outcome, start.Value)
		}
		if c.trap {
			if hz := pick(t, rs, protection.ChatterRate, ""); !(hz.Value > 5 && hz.Value < 20) {
				t.Errorf("%s: chatters at %g Hz, want about one in 0.1 s", c.name, hz.Value)
			}
		}
	}
}

// While the charge bank is off a load's current flows through its body diode.
func TestTrapBodyDiode(t *testing.T) {
	for _, c := range []struct {
		volts     float64
		low, high float64 // V of P− under 5 A
	}{{4.30, 0.6, 1.0}, {4.10, 0, 0.05}} {
		s := on(t, sluice)
		s.cell(1, c.volts)
		s.wait(1.5)
		s.amps(5)
		s.wait(0.1)
		if v := s.net("pminus"); !(v >= c.low && v <= c.high) {
			t.Errorf("cell 1 at %g V, 5 A: P− at %.3f V, want %g to %g V", c.volts, v, c.low, c.high)
		}
	}
}

// One part of a level shifter open: that cell is no longer protected, the board
// works as ever, and the other cells' protection too.
func TestTrapOneShifterOpen(t *testing.T) {
	for _, c := range []struct {
		part  string // "" is the board as it is
		volts float64
		trips func(*stand) bool
	}{
		{"", 2.3, (*stand).conducts},
		{"R303", 2.3, (*stand).conducts},
		{"R305", 2.3, (*stand).conducts},
		{"Q301", 2.3, (*stand).conducts},
		{"", 4.35, (*stand).charges},
		{"R306", 4.35, (*stand).charges},
		{"R308", 4.35, (*stand).charges},
		{"Q302", 4.35, (*stand).charges},
	} {
		change := both()
		if c.part != "" {
			change = without(c.part)
		}
		s := on(t, sluice, change)
		s.wait(0.5)
		if is := s.drain(); !s.conducts() || !s.charges() || !(is[0] < 6.3e-6) {
			t.Errorf("without %s the board shows it at rest: %.3g A", c.part, is)
		}
		rest := s.Mark()
		for cell := 1; cell <= 5; cell++ {
			s.Rewind(rest)
			s.cell(cell, c.volts)
			s.wait(1.5)
			if got, want := c.trips(s), c.part != "" && cell == 3; got != want {
				t.Errorf("without %q, cell %d at %g V: still on %v, want %v", c.part, cell, c.volts, got, want)
			}
		}
	}
	s := on(t, sluice, without("R303"))
	if got := pick(t, s.run(trial.Overdischarge{}, 2), protection.Detect, ""); got.Outcome != protection.NoneFound {
		t.Errorf("without R303 the trial of cell 3 ends with %s", got.Outcome)
	}
}

// A Schottky diode over hive-3s's load, in place of the rectifier, leaks enough to
// hold load-detect up for ever; and 1 µF at its protector starves it in a short of
// tired cells.
func TestTrapsOfHive(t *testing.T) {
	for _, c := range []struct {
		name string
		edit edit
		trap bool
	}{{"Schottky diode", in("D1", "diode-600v-3a", "schottky-40v-3a"), true}, {"rectifier", both(), false}} {
		s := on(t, hive, c.edit)
		s.wait(0.5)
		s.draw(48, 30e-3)
		s.amps(0)
		s.wait(5)
		if on := s.conducts(); on == c.trap {
			t.Errorf("%s: on again 5 s after an overcurrent: %v", c.name, on)
		}
	}
	small := both(in("R1", "1 kΩ", "330 Ω"), in("C1", "10 µF", "1 µF"))
	if k := shortOf(t, hive, 30e-3, 2.8, small); !math.IsNaN(k.half) || k.events(rig.Sets+"BO") == 0 {
		t.Errorf("330 Ω and 1 µF: a short of 30 mΩ cells at 2.8 V is cut after %.3g s, browned out %d times", k.half, k.events(rig.Sets+"BO"))
	}
	if k := shortOf(t, hive, 30e-3, 2.8); !(k.half < 12e-3) || k.events(rig.Sets+"BO") > 0 {
		t.Errorf("as it is: cut after %.3g s, browned out %d times", k.half, k.events(rig.Sets+"BO"))
	}
}

// No protector sees the current: cs of the lowest lies on its vss. Near a short the
// supplies collapse and the gates fall with them, which is no overcurrent
// protection and must not be given as one, with a current and a delay.
func TestTrapBlindBoard(t *testing.T) {
	for _, job := range (trial.DischargeOvercurrent{}).Jobs(on(t, sluice).Can()) {
		s := on(t, sluice, in("U101", "cs: sense", "cs: bminus"))
		results, _, err := job.Run(t.Context(), s.Rig)
		s.must(err)
		for _, r := range results {
			if r.Outcome == protection.Found {
				t.Errorf("%s: %s %s = %g %s, although nothing sees the current", job.Name, r.Stage, r.Quantity, r.Value, r.Unit)
			}
			if strings.Contains(r.Note, "no protection acted") && !strings.Contains(r.Note, "supply of U201") {
				t.Errorf("%s: %s does not name whose supply collapsed: %q", job.Name, r.Quantity, r.Note)
			}
		}
	}
}
