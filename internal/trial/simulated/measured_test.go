package simulated_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// figure is one thing that a rough simulation measured on a starting point of a
// demo board, and what the demo board gives here.
type figure struct {
	board, what string
	there       string  // as noted then
	here        float64 // in unit
	unit        string
	digits      int     // after the point, on the page
	within      float64 // of here, in unit: what the search resolves, or 1 to 2 %
	why         string  // it is what it is, or differs
}

// Why so many figures lie a little off.
const (
	leak    = "leakage of the generic sheets"
	same    = "the same within its resolution"
	avalan  = "the sheets' capacitances fall as the voltage rises, so the end of the turn-off is faster"
	follow  = "Q7 lets cs no higher than 1.55 V under supply1; what was noted fits 1.25 V"
	middles = "what the other cells had was not noted: 3.0 V here"
	slowOut = "R_ol of the sheet is 3 kΩ; what was noted fits a slower output"
)

var figures = []figure{
	{sluice, "drain at rest, cell 1", "6.03", 6.05, "µA", 2, 0.03, leak},
	{sluice, "drain at rest, cell 2", "6.03", 6.05, "µA", 2, 0.03, leak},
	{sluice, "drain at rest, cell 3", "6.03", 6.05, "µA", 2, 0.03, leak},
	{sluice, "drain at rest, cell 4", "5.02", 5.01, "µA", 2, 0.03, same},
	{sluice, "drain at rest, cell 5", "5.02", 5.01, "µA", 2, 0.03, same},
	{sluice, "overcurrent, 0.1 s", "28.9", 28.85, "A", 1, 0.15, same + "; over 17 ms it takes 30.4 A, for the gates follow the sagging tap 3 only in 4 ms"},
	{sluice, "overcurrent's delay at 1.2×", "10", 10.00, "ms", 2, 0.02, same},
	{sluice, "from its end to half the current", "30", 30.2, "µs", 0, 1.5, same},
	{sluice, "load removed to release", "53", 56.5, "ms", 1, 1.5, "R_vms of the sheet is 50 kΩ: P− falls until cs is at 90 mV, and 2 ms more"},
	{sluice, "residual load that holds it", "10.2", 10.1, "MΩ", 1, 0.3, "the closed form is tested beside it"},
	{sluice, "full, load held 4 s, supply of U101", "4.172", 4.168, "V", 3, 0.004, "Q101 takes a little more through R101"},
	{sluice, "held off at 25 V and 19.76 V of cells, P−", "−5.24", -5.25, "V", 2, 0.03, same},
	{sluice, "held off, current", "42", 41.9, "µA", 1, 1, same},
	{sluice, "then charger removed, P−", "0.405", 0.370, "V", 3, 0.01, "body diode of the sheet at microamperes"},
	{sluice, "then charger removed, between the banks", "0", 0.000, "V", 3, 0.001, same},
	{sluice, "then 2 A, drop of the body diode", "", 0.726, "V", 3, 0.02, "noted as accepted only"},
	{sluice, "cell 1 tripped low, cell 1", "58.8", 56.6, "µA", 1, 1, middles},
	{sluice, "cell 1 tripped low, cell 2", "13.5", 13.3, "µA", 1, 0.3, middles},
	{sluice, "cell 1 tripped low, cell 5", "4.5", 5.0, "µA", 1, 0.1, "3 µA and 2 µA of the two ICs, whatever the cell has"},
	{sluice, "cell 5 tripped low, cell 1", "29", 27.7, "µA", 1, 0.6, middles},
	{sluice, "cell 5 tripped low, cell 4", "20", 18.7, "µA", 1, 0.5, middles},
	{sluice, "cell 5 tripped low, cell 5", "27", 26.5, "µA", 1, 0.6, middles},
	{sluice, "overcurrent held, cell 1", "147", 141.7, "µA", 1, 3, follow},
	{sluice, "overcurrent held, cell 2", "69", 63.1, "µA", 1, 1.3, follow},
	{sluice, "overcurrent held, cell 5", "65", 58.9, "µA", 1, 1.3, follow},
	{sluice, "short, cells 12 mΩ at 3.7 V, peak", "229", 229.3, "A", 1, 1, same},
	{sluice, "short, cells 12 mΩ at 3.7 V, off", "283", 281.6, "µs", 0, 4, same},
	{sluice, "short, cells 12 mΩ at 3.7 V, P−", "30.3", 35.2, "V", 1, 0.7, avalan},
	{sluice, "short, cells 12 mΩ at 3.7 V, loss", "80", 78.5, "mJ", 1, 2, same},
	{sluice, "short, cells 12 mΩ at 4.2 V, peak", "263", 263.3, "A", 1, 1, same},
	{sluice, "short, cells 12 mΩ at 4.2 V, off", "286", 284.1, "µs", 0, 4, same},
	{sluice, "short, cells 12 mΩ at 4.2 V, P−", "33.5", 38.9, "V", 1, 0.8, avalan},
	{sluice, "short, cells 12 mΩ at 4.2 V, loss", "97", 95.0, "mJ", 1, 2, same},
	{sluice, "short, cells 30 mΩ at 2.8 V, peak", "81", 80.6, "A", 1, 0.5, same},
	{sluice, "short, cells 30 mΩ at 2.8 V, off", "282", 279.9, "µs", 0, 4, same},

	{hive, "drain at rest, cell 1", "19.03", 21.38, "µA", 2, 0.2, "R10 of 2.2 MΩ takes 1.7 µA more, every sense input 0.3 µA"},
	{hive, "drain at rest, cell 3", "19.03", 20.78, "µA", 2, 0.2, "R10"},
	{hive, "overcurrent", "39.9", 40.05, "A", 1, 0.15, "100 mV over 2.5 mΩ"},
	{hive, "load removed to release", "19.7", 15.1, "ms", 1, 0.5, "V_vmr of the sheet is 1.0 V; what was noted fits 0.45 V"},
	{hive, "residual load that holds it", "1 to 3", 0.49, "MΩ", 2, 0.02, "V_vmr; the closed form is tested beside it"},
	{hive, "short, cells 12 mΩ at 3.7 V, peak", "199", 200.0, "A", 1, 1, same},
	{hive, "short, cells 12 mΩ at 3.7 V, off", "382", 320, "µs", 0, 6, slowOut},
	{hive, "short, cells 12 mΩ at 3.7 V, loss", "134", 37.2, "mJ", 1, 1.5, slowOut},
	{hive, "short, cells 12 mΩ at 3.7 V, supply", "≥ 7.2", 10.8, "V", 1, 0.2, "C1 of 10 µF in place of 1 µF"},
	{hive, "short, cells 30 mΩ at 3.7 V, peak", "101", 101.4, "A", 1, 0.7, same},
	{hive, "short, cells 30 mΩ at 3.7 V, off", "361", 333, "µs", 0, 6, slowOut},
	{hive, "short, cells 30 mΩ at 2.8 V, peak", "76", 76.6, "A", 1, 0.5, same},
	{hive, "short, cells 30 mΩ at 2.8 V, off", "10", 10.05, "ms", 2, 0.05, "below the 80 A of the short stage: overcurrent cuts"},
	{hive, "short, cells 30 mΩ at 2.8 V, loss", "1400", 149, "mJ", 0, 6, "with C1 of 10 µF the gates keep 3.8 V, and the sheet's FET is on with that"},
	{hive, "short, cells 30 mΩ at 2.8 V, supply", "3.41", 3.80, "V", 2, 0.1, "C1"},
	{hive, "overcharged, 13.2 V charger, 11.86 V of cells, C−", "−1.34", -1.42, "V", 2, 0.03, "20 nA flow, so the charger stands 80 mV above its 13.2 V"},
	{hive, "overcharged, 10 A drawn, drop", "40.7", 44.6, "mV", 1, 0.5, "the sheet has 4 mΩ a FET at 10 V and no less with 11 V"},
}

// lab checks figures of one board as they are measured, each once.
type lab struct {
	t     *testing.T
	board string
	seen  map[string]bool
}

func newLab(t *testing.T, board string) *lab { return &lab{t, board, map[string]bool{}} }

func (l *lab) figure(what string, got float64) {
	l.t.Helper()
	for _, f := range figures {
		if f.board != l.board || f.what != what {
			continue
		}
		l.seen[what] = true
		if !(math.Abs(got-f.here) <= f.within) {
			l.t.Errorf("%s: %s is %.5g %s, want %g ± %g", l.board, what, got, f.unit, f.here, f.within)
		}
		return
	}
	l.t.Errorf("no figure is called %q", what)
}

// done complains about figures that nothing measured.
func (l *lab) done() {
	for _, f := range figures {
		if f.board == l.board && !l.seen[f.what] {
			l.t.Errorf("%s: %s was not measured", l.board, f.what)
		}
	}
}

func TestMeasuredOnSluice(t *testing.T) {
	l := newLab(t, sluice)
	s := on(t, sluice)
	s.wait(0.5)
	for k, i := range s.drain() {
		l.figure(fmt.Sprintf("drain at rest, cell %d", k+1), i*1e6)
	}
	rest := s.Mark()
	l.sluiceOvercurrent(s, rest)
	l.sluiceHeldOff(s, rest)
	l.sluiceDrains(s, rest)
	for _, c := range []struct {
		name        string
		ohms, volts float64
		all         bool
	}{{"12 mΩ at 3.7 V", 12e-3, 3.7, true}, {"12 mΩ at 4.2 V", 12e-3, 4.2, true}, {"30 mΩ at 2.8 V", 30e-3, 2.8, false}} {
		k := shortOf(t, sluice, c.ohms, c.volts)
		name := "short, cells " + c.name + ", "
		l.figure(name+"peak", k.peak)
		l.figure(name+"off", k.half*1e6)
		if c.all {
			l.figure(name+"P−", k.volts)
			l.figure(name+"loss", k.joules*1e3)
		}
		if k.events(rig.Sets+"BO") > 0 {
			t.Errorf("cells %s: a protector browns out", c.name)
		}
	}
	l.done()
}

// noted is the short that the starting points were shorted with: 5 mΩ, beside a
// loop of 10 mΩ and 1 µH. It follows from the peak currents noted.
const noted = 5e-3

// shortOf shorts a board whose cells have been at volts for a while.
func shortOf(t *testing.T, board string, cellOhms, volts float64, edits ...edit) strike {
	t.Helper()
	s := with(t, simulated.Options{CellOhms: cellOhms}, board, edits...)
	s.all(volts)
	s.wait(0.3)
	return s.short(noted, 30e-3)
}

// trips is the smallest current between from and to that is cut within seconds,
// to a tenth of an ampere.
func (s *stand) trips(rest rig.Mark, from, to, seconds float64) float64 {
	s.t.Helper()
	for to-from > 0.1 {
		i := (from + to) / 2
		s.Rewind(rest)
		if k := s.draw(i, seconds); math.IsNaN(k.half) {
			from = i
		} else {
			to = i
		}
	}
	return (from + to) / 2
}

// holds is the largest residual load that keeps a tripped board off for 2 s, to
// 2 %, Ω.
func (s *stand) holds(tripped rig.Mark, from, to float64) float64 {
	s.t.Helper()
	for to > 1.02*from {
		r := math.Sqrt(from * to)
		s.Rewind(tripped)
		s.ohms(r)
		s.wait(2)
		if s.conducts() {
			to = r
		} else {
			from = r
		}
	}
	return math.Sqrt(from * to)
}

func (l *lab) sluiceOvercurrent(s *stand, rest rig.Mark) {
	l.figure("overcurrent, 0.1 s", s.trips(rest, 27, 31, 0.1))
	s.Rewind(rest)
	k := s.draw(1.2*28.85, 30e-3)
	flag := first(k.rec, "U101", rig.Sets+"OC1")
	l.figure("overcurrent's delay at 1.2×", flag*1e3)
	l.figure("from its end to half the current", (k.half-flag)*1e6)
	tripped := s.Mark()
	k = s.draw(0, 0.5)
	l.figure("load removed to release", first(k.rec, "U101", rig.Clears+"OC1")*1e3)
	if !s.conducts() || k.events(rig.Sets) != 1 { // do-high, once
		l.t.Errorf("after its release the board is on %v, %v", s.conducts(), k.rec.Events)
	}
	held := s.holds(tripped, 5e6, 30e6)
	l.figure("residual load that holds it", held/1e6)
	// Closed form: R13 beside R12, the 50 kΩ from cs to vss and Q7 between them,
	// which passes µA without a drop, hold P− up by the load's current; cs lets go at
	// 0.9 × 100 mV.
	below := 1 / (1/4.7e6 + 1/(2.2e3+50e3))
	minus := 0.09 * (2.2e3 + 50e3) / 50e3
	if want := below * (18.5/minus - 1); math.Abs(held-want) > 0.03*want {
		l.t.Errorf("a residual load of %.3g MΩ holds the board, by the closed form %.3g MΩ", held/1e6, want/1e6)
	}

	s.Rewind(rest)
	s.all(4.2)
	s.wait(1)
	k = s.strike(rig.Load{Kind: rig.Resistance, Value: 0.1}, 4)
	l.figure("full, load held 4 s, supply of U101", s.net("supply1"))
	if n := k.events(rig.Sets + "OV"); n > 0 {
		l.t.Error("a load held on a full pack makes an overcharge")
	}
}

func (l *lab) sluiceHeldOff(s *stand, rest rig.Mark) {
	s.Rewind(rest)
	s.all(3.865)
	s.cell(1, 4.30)
	s.charger(25, 5e-3)
	s.wait(2)
	l.figure("held off at 25 V and 19.76 V of cells, P−", s.net("pminus"))
	l.figure("held off, current", s.get(rig.Point{Kind: rig.ChargeAmps})*1e6)
	off := rig.Charger{}
	k := s.strikeCause(rig.Cause{Charger: &off}, 1)
	l.figure("then charger removed, P−", s.net("pminus"))
	l.figure("then charger removed, between the banks", s.net("middle"))
	if n := k.events(rig.Sets+"OC") + k.events(rig.Sets+"SC"); n > 0 {
		l.t.Errorf("removing the charger makes an overcurrent: %v", k.rec.Events)
	}
	s.amps(2)
	s.wait(0.5)
	l.figure("then 2 A, drop of the body diode", s.net("pminus"))
}

func (l *lab) sluiceDrains(s *stand, rest rig.Mark) {
	for _, c := range []struct {
		name    string
		cell    int
		volts   float64 // of the other cells
		figures []int
	}{
		{"cell 1 tripped low", 1, 3.0, []int{1, 2, 5}},
		{"cell 5 tripped low", 5, 3.0, []int{1, 4, 5}},
		{"overcurrent held", 0, 3.7, []int{1, 2, 5}},
	} {
		s.Rewind(rest)
		s.all(c.volts)
		if c.cell > 0 {
			s.cell(c.cell, 2.3)
		} else {
			s.ohms(0.1)
		}
		s.wait(1)
		is := s.drain()
		for _, k := range c.figures {
			l.figure(fmt.Sprintf("%s, cell %d", c.name, k), is[k-1]*1e6)
		}
		if c.cell == 0 {
			continue
		}
		s.charger(5*3.0+1, 50e-3)
		s.cell(c.cell, 3.2)
		s.wait(0.5)
		s.charger(0, 0)
		if !s.conducts() || !s.charges() {
			l.t.Errorf("cell %d: charged to 3.2 V, the board does not come back", c.cell)
		}
	}
}

func TestMeasuredOnHive(t *testing.T) {
	l := newLab(t, hive)
	s := on(t, hive)
	s.wait(0.5)
	is := s.drain()
	l.figure("drain at rest, cell 1", is[0]*1e6)
	l.figure("drain at rest, cell 3", is[2]*1e6)
	rest := s.Mark()
	l.figure("overcurrent", s.trips(rest, 38, 42, 0.05))
	s.Rewind(rest)
	s.draw(48, 30e-3)
	tripped := s.Mark()
	k := s.draw(0, 0.5)
	l.figure("load removed to release", first(k.rec, "U1", rig.Clears+"OC1")*1e3)
	if !s.conducts() {
		t.Error("the board does not come back after an overcurrent")
	}
	held := s.holds(tripped, 0.1e6, 3e6)
	l.figure("residual load that holds it", held/1e6)
	// Closed form: R14 beside R11 and the 50 kΩ from vm to vss; vm lets go at 1.0 V.
	below := 1 / (1/4.7e6 + 1/(10e3+50e3))
	if want := below * (11.1/(1.0*60/50) - 1); math.Abs(held-want) > 0.03*want {
		t.Errorf("a residual load of %.3g MΩ holds the board, by the closed form %.3g MΩ", held/1e6, want/1e6)
	}
	l.hiveShorts()
	l.hiveCells(s, rest)
	l.done()
}

func (l *lab) hiveShorts() {
	k := shortOf(l.t, hive, 12e-3, 3.7)
	l.figure("short, cells 12 mΩ at 3.7 V, peak", k.peak)
	l.figure("short, cells 12 mΩ at 3.7 V, off", k.half*1e6)
	l.figure("short, cells 12 mΩ at 3.7 V, loss", k.joules*1e3)
	l.figure("short, cells 12 mΩ at 3.7 V, supply", k.supply)
	k = shortOf(l.t, hive, 30e-3, 3.7)
	l.figure("short, cells 30 mΩ at 3.7 V, peak", k.peak)
	l.figure("short, cells 30 mΩ at 3.7 V, off", k.half*1e6)
	k = shortOf(l.t, hive, 30e-3, 2.8)
	l.figure("short, cells 30 mΩ at 2.8 V, peak", k.peak)
	l.figure("short, cells 30 mΩ at 2.8 V, off", k.half*1e3)
	l.figure("short, cells 30 mΩ at 2.8 V, loss", k.joules*1e3)
	l.figure("short, cells 30 mΩ at 2.8 V, supply", k.supply)
}

func (l *lab) hiveCells(s *stand, rest rig.Mark) {
	s.Rewind(rest)
	s.all(3.78)
	s.cell(1, 4.30)
	s.wait(1.5)
	s.charger(13.2, 1)
	s.wait(1)
	l.figure("overcharged, 13.2 V charger, 11.86 V of cells, C−", s.net("cminus"))
	s.amps(10)
	s.wait(0.5)
	l.figure("overcharged, 10 A drawn, drop", s.net("pminus")*1e3)

	s.Rewind(rest)
	s.cell(1, 2.3)
	s.wait(0.5)
	s.charger(12, 1)
	for _, c := range []struct {
		volts float64
		on    bool
	}{{2.3, false}, {2.9, false}, {3.1, true}} {
		s.cell(1, c.volts)
		s.wait(0.5)
		if high := s.net("gate-discharge") > 5; high != c.on {
			l.t.Errorf("cell 1 tripped low and charged to %g V: discharge gates on %v, want %v", c.volts, high, c.on)
		}
	}
}

// TestPathInBothDirections holds that at rest both demo boards carry an ampere
// either way with a few millivolts.
func TestPathInBothDirections(t *testing.T) {
	for _, name := range []string{sluice, hive} {
		s := on(t, name)
		s.wait(0.5)
		if !s.conducts() || !s.charges() {
			t.Errorf("%s does not conduct at rest", name)
		}
	}
}

var fixDocs = flag.Bool("fixdocs", false, "write the table of docs/demo-boards.md anew")

const (
	page      = "../../../docs/demo-boards.md"
	pageBegin = "<!-- figures: written by TestDemoBoardsPage -fixdocs -->\n"
	pageEnd   = "<!-- end of figures -->\n"
)

// TestDemoBoardsPage holds that the page's table is that of the figures above.
func TestDemoBoardsPage(t *testing.T) {
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, ok := strings.Cut(string(text), pageBegin)
	table, tail, closed := strings.Cut(rest, pageEnd)
	if !ok || !closed {
		t.Fatalf("%s has no place for its table", page)
	}
	want := figuresTable()
	if table == want {
		return
	}
	if !*fixDocs {
		t.Fatalf("%s does not show the figures as tested; run: go test ./internal/trial/simulated -run DemoBoardsPage -fixdocs", page)
	}
	if err := os.WriteFile(page, []byte(head+pageBegin+want+pageEnd+tail), 0o644); err != nil {
		t.Fatal(err)
	}
}

func figuresTable() string {
	var b strings.Builder
	for _, board := range []string{sluice, hive} {
		fmt.Fprintf(&b, "\n### %s\n\n| figure | measured there | computed here | why |\n|---|---|---|---|\n", board)
		for _, f := range figures {
			if f.board == board {
				there := "–"
				if f.there != "" {
					there = f.there + " " + f.unit
				}
				here := strings.Replace(fmt.Sprintf("%.*f", f.digits, f.here), "-", "−", 1)
				fmt.Fprintf(&b, "| %s | %s | %s %s | %s |\n", f.what, there, here, f.unit, f.why)
			}
		}
	}
	return b.String() + "\n"
}

// TestCurrentTrials runs the trials of currents as a person does. The chain has
// to be held until its gates have followed the sagging cells; a charger's edge may
// not cut by itself; the stack protector's charge gates open through a pull-down.
func TestCurrentTrials(t *testing.T) {
	for _, c := range []struct {
		board          string
		tr             trial.Trial
		amps, within   float64
		delay, notMore float64 // s
	}{
		{sluice, trial.DischargeOvercurrent{}, 28.8, 0.4, 9.9e-3, 10.2e-3},
		{sluice, trial.ChargeOvercurrent{}, 39.2, 0.8, 9.9e-3, 10.4e-3},
		{hive, trial.DischargeOvercurrent{}, 40, 0.4, 9.9e-3, 10.3e-3},
		{hive, trial.ChargeOvercurrent{}, 40, 0.5, 15e-3, 30e-3},
	} {
		rs := on(t, c.board).run(c.tr, 0)
		current, delay := pick(t, rs, protection.Current, ""), pick(t, rs, protection.Delay, "")
		if current.Outcome != protection.Found || !(math.Abs(current.Value-c.amps) <= c.within) {
			t.Errorf("%s, %s: %s %g A, want %g A", c.board, c.tr.Word(), current.Outcome, current.Value, c.amps)
		}
		if delay.Outcome != protection.Found || !(delay.Value >= c.delay && delay.Value <= c.notMore) {
			t.Errorf("%s, %s: %s after %g s, want %g s to %g s", c.board, c.tr.Word(), delay.Outcome, delay.Value, c.delay, c.notMore)
		}
	}
}

// TestFirstConnection joins the taps from B− upwards: on the chain no pin comes
// beyond its limits and the board is on at the end; on the stack protector the
// sense inputs that wait for their taps do.
func TestFirstConnection(t *testing.T) {
	for board, want := range map[string][]string{sluice: nil, hive: {"U1.v2", "U1.v3"}} {
		s := on(t, board)
		var beyond []string
		for _, r := range s.run(trial.FirstConnection{}, 0) {
			if r.Word == "beyond limits" {
				beyond = append(beyond, r.Step)
			}
			if r.Quantity == protection.StateAfter && r.Word != "on" {
				t.Errorf("%s: joined in order, the %s direction is %s", board, r.Port, r.Word)
			}
		}
		if !slices.Equal(beyond, want) {
			t.Errorf("%s: pins beyond their limits %v, want %v", board, beyond, want)
		}
	}
}

// TestPinLimitsCountFromTheirPin holds that a pin whose limit is stated over the
// supply is read over the supply: co stands at it, and not 3.7 V above ground.
func TestPinLimitsCountFromTheirPin(t *testing.T) {
	s := on(t, sluice)
	if v := s.get(rig.Point{Kind: rig.PinStress, Part: "U201", Pin: "co"}); !(math.Abs(v) < 0.01) {
		t.Errorf("U201.co is read as %.3f V over its supply at rest", v)
	}
	if v := s.get(rig.Point{Kind: rig.PinStress, Part: "U201", Pin: "vdd"}); !(math.Abs(v-3.7) < 0.01) {
		t.Errorf("U201.vdd is read as %.3f V over vss at rest", v)
	}
}
