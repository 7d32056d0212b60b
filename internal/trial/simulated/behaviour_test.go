package simulated_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"

	"cupel/internal/board/boardtest"
	"cupel/internal/catalog/generic"
	"cupel/internal/dossier"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// Behaviours of whole boards that the state machines alone do not show.

// sheetOf is a generic sheet under a name of its own, with words exchanged:
// pairs of old and new.
func sheetOf(t testing.TB, from, name string, words ...string) map[string]string {
	t.Helper()
	text, ok := generic.Text(from)
	if !ok {
		t.Fatalf("no sheet %s", from)
	}
	out := strings.Replace(string(text), "sheet: "+from, "sheet: "+name, 1)
	for i := 0; i < len(words); i += 2 {
		if !strings.Contains(out, words[i]) {
			t.Fatalf("%s has no %q", from, words[i])
		}
		out = strings.Replace(out, words[i], words[i+1], 1)
	}
	return map[string]string{name: out}
}

// word exchanges a word of the whole text.
func word(old, new string) edit {
	return func(t testing.TB, text string) string {
		t.Helper()
		if !strings.Contains(text, old) {
			t.Fatalf("no %q in the board", old)
		}
		return strings.ReplaceAll(text, old, new)
	}
}

// own puts a demo board with sheets of its own on a rig.
func own(t testing.TB, board string, sheets map[string]string, edits ...edit) *stand {
	t.Helper()
	d := edited(t, board, sheets, edits...)
	r, err := simulated.New(d.Board, elaborator(d), simulated.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return &stand{t, r, d.Board.Cells}
}

// madeWith is made with sheets of its own.
func madeWith(t testing.TB, spec boardtest.Spec, sheets map[string]string, edits ...edit) *stand {
	t.Helper()
	tree := fstest.MapFS{"board.yaml": {Data: []byte(both(edits...)(t, boardtest.Text(spec)))}}
	for name, text := range sheets {
		tree["parts/"+name+".yaml"] = &fstest.MapFile{Data: []byte(text)}
	}
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Findings.Err(); err != nil {
		t.Fatal(err)
	}
	r, err := simulated.New(d.Board, elaborator(d), simulated.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return &stand{t, r, d.Board.Cells}
}

// A part that starts in power-down leaves a new board off until a charger wakes
// it. One that looks for the charger at P− does not see it at a port of its own.
func TestConnectedBoardNeedsWake(t *testing.T) {
	// Released by its voltage it would wake: P− is still low when it starts.
	sleepy := sheetOf(t, "stack-protector-3c-4v25", "sleepy",
		"power_down: no", "power_down: yes\n  start: needs charger", "uv_auto: yes", "uv_auto: no")
	rename := word("stack-protector-3c-4v25", "sleepy")
	for _, c := range []struct {
		name string
		s    *stand
		wake string
	}{
		{"one port", madeWith(t, boardtest.Spec{Topology: boardtest.Stack, Cells: 3}, sleepy, rename), "yes"},
		{"a port for the charger", own(t, hive, sleepy, rename), "a charger does not wake it"},
	} {
		for _, r := range c.s.run(trial.FirstConnection{}, 0) {
			switch {
			case r.Quantity == protection.WakeNeeded && r.Word != c.wake:
				t.Errorf("%s: wake needed %q, want %q", c.name, r.Word, c.wake)
			case r.Quantity == protection.StateAfter && r.Port == "discharge" && r.Word == "on":
				t.Errorf("%s: discharges before it was woken", c.name)
			}
		}
	}
}

// Taps joined out of order put more on some pin than taps joined in order, and
// never less: the order in turn is one of those tried.
func TestOrdersOfConnection(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("many joinings")
	}
	peaks := func(f trial.FirstConnection) map[string]float64 {
		all := map[string]float64{}
		for _, r := range on(t, hive).run(f, 0) {
			if r.Quantity == protection.PeakPinVoltage {
				all[r.Step] = r.Value
			}
		}
		return all
	}
	inOrder := peaks(trial.FirstConnection{})
	any := peaks(trial.FirstConnection{Orders: 4, Source: func(i int) rand.Source { return rand.NewPCG(1, uint64(i)) }})
	worse := false
	for pin, v := range inOrder {
		if math.Abs(any[pin]) < math.Abs(v)-1e-6 {
			t.Errorf("%s: %.3f V over all orders, %.3f V in order", pin, any[pin], v)
		}
		worse = worse || math.Abs(any[pin]) > math.Abs(v)+0.5
	}
	if !worse || len(inOrder) == 0 {
		t.Error("no order puts more on any pin than joining from below")
	}
}

// An empty pack on a charger: a part that allows 0 V charging lets the charger in,
// one that inhibits it does not.
func TestZeroVoltCharge(t *testing.T) {
	for _, c := range []struct {
		rule   string
		passes bool
	}{{"allow", true}, {"inhibit", false}} {
		name := "zero-" + c.rule
		s := madeWith(t, boardtest.Spec{Topology: boardtest.Stack, Cells: 3},
			sheetOf(t, "stack-protector-3c-4v25", name, "rules:", "rules:\n  zero_volt: "+c.rule), word("stack-protector-3c-4v25", name))
		s.all(0.15)
		s.wait(0.1)
		s.charger(12, 0.5)
		s.wait(50e-3)
		i := s.get(rig.Point{Kind: rig.ChargeAmps})
		if c.passes != (i > 0.1) || !c.passes && i > 10e-3 {
			t.Errorf("%s: %.4g A into cells of 0.15 V", c.rule, i)
		}
	}
}

// The upper part of a cascade has no banks of its own: what it says on its
// control pins must cut both directions.
func TestCascadeSpeaks(t *testing.T) {
	s := made(t, boardtest.Spec{Topology: boardtest.Cascade, Cells: 9, Port: boardtest.Separate})
	if !s.charges() || !s.conducts() {
		t.Fatal("a cascade at rest is not on")
	}
	rest := s.Mark()
	for _, c := range []struct {
		volts             float64
		charges, conducts bool
	}{{4.4, false, true}, {2.2, true, false}} {
		s.Rewind(rest)
		s.cell(9, c.volts)
		s.wait(3)
		if got := s.charges(); got != c.charges {
			t.Errorf("top cell at %g V: charges %t", c.volts, got)
		}
		if got := s.conducts(); got != c.conducts {
			t.Errorf("top cell at %g V: discharges %t", c.volts, got)
		}
	}
}

// A stack protector that bleeds through its own switches reads its cells in
// pauses. The cell that is high is bled, its neighbours are not.
func TestBalanceInside(t *testing.T) {
	s := made(t, boardtest.Spec{Topology: boardtest.Stack, Cells: 5, Balance: true},
		word("100 nF 25 V X7R", "10 nF 25 V X7R")) // with 100 nF it has not recovered by the end of a pause
	k := s.strikeCause(rig.Cause{Cell: 2, Volts: 4.23}, 2)
	for cell := 1; cell <= 5; cell++ {
		want := 0
		if cell == 2 {
			want = 1
		}
		if n := k.events(fmt.Sprintf("%sBAL%d", rig.Sets, cell)); n != want {
			t.Errorf("cell %d begins to be bled %d times, want %d", cell, n, want)
		}
	}
	if n := k.events(rig.Sets + "pause"); n < 10 || n > 20 {
		t.Errorf("%d pauses in two seconds, want one every 100 ms", n)
	}
	s.wait(50e-3) // between pauses
	// Through the filter resistors of 1 kΩ at either end and 10 Ω of the switch.
	if i, want := s.get(rig.Point{Kind: rig.BleedAmps, N: 2}), 4.23/2010; !(math.Abs(i/want-1) < 0.05) {
		t.Errorf("cell 2 is bled with %.4g A, want %.4g", i, want)
	}
}

// A neck of copper trips earlier warm: by its tempco, 3930 ppm/K.
func TestCopperNeckWarm(t *testing.T) {
	t.Parallel()
	s := made(t, boardtest.Spec{Topology: boardtest.Stack, Cells: 4, Sense: boardtest.Neck, Sensor: boardtest.NoSensor})
	trip := map[float64]float64{}
	for _, kelvin := range []float64{298.15, 338.15} {
		s.must(s.SetTemperature(kelvin))
		trip[kelvin] = firstOf(s.results(trial.DischargeOvercurrent{}, 0), protection.Current).Value
	}
	if got, want := trip[298.15]/trip[338.15], 1+3930e-6*40; !(math.Abs(got/want-1) < 0.02) {
		t.Errorf("%.3g A at 25 °C, %.3g A at 65 °C: a factor of %.4f, want %.4f", trip[298.15], trip[338.15], got, want)
	}
}

// Warm, the thermistor cuts, and cooler it lets go again: with a hysteresis.
func TestThermistorCutsAndRecovers(t *testing.T) {
	t.Parallel()
	s := on(t, hive)
	var cut, release float64
	for _, job := range (trial.Temperature{}).Jobs(s.Can()) {
		rs, _, err := job.Run(t.Context(), s.Rig)
		s.must(err)
		for _, r := range rs {
			if r.Outcome != protection.Found || r.Port != "discharge" || r.Value < 300 {
				continue // what is not found, or cold
			}
			switch r.Quantity {
			case protection.CutTemperature:
				cut = r.Value
			case protection.ReleaseTemperature:
				release = r.Value
			}
		}
	}
	// The sheet's ratio of 0.205 with 10 kΩ and the table of the thermistor: 65 °C.
	if !(math.Abs(cut-338) < 4 && release < cut-1 && release > cut-15) {
		t.Errorf("discharging is cut at %.1f K and back at %.1f K", cut, release)
	}
}

// The heater fuse of a second-level detector parts for good. No trial makes it
// unless it was asked to; asked to, an overcharged cell does.
func TestHeaterFuseIsSpared(t *testing.T) {
	t.Parallel()
	spec := boardtest.Spec{Topology: boardtest.Stack, Cells: 4, Secondary: true}
	for _, actuate := range []bool{false, true} {
		s := put(t, simulated.Options{Actuate: actuate}, boardtest.Text(spec))
		if !actuate {
			for _, tr := range []trial.Trial{trial.Overcharge{}, trial.SupplyCurrent{}} {
				for _, j := range tr.Jobs(s.Can()) {
					_, _, err := j.Run(t.Context(), s.Rig)
					s.must(err)
				}
			}
			s.must(s.MakeSafe())
			s.all(3.7)
			s.wait(3)
			if !s.conducts() {
				t.Error("after the trials the board is off")
			}
			continue
		}
		k := s.strikeCause(rig.Cause{Cell: 2, Volts: 4.6}, 12)
		if k.events(rig.Parts) != 1 {
			t.Errorf("a cell at 4.6 V for 12 s: the fuse parts %d times", k.events(rig.Parts))
		}
		s.all(3.7)
		s.wait(1)
		if s.conducts() {
			t.Error("the board discharges through a fuse that has parted")
		}
	}
}

// A part that went to sleep over an empty cell stays off when the cell has
// recovered, whatever a load does; a charger wakes it.
func TestWhoCanWake(t *testing.T) {
	// The load stays while the cell empties, so that P− rises and it powers down.
	s := own(t, sluice, nil, in("U101", "cell-protector-4v25-auto", "cell-protector-4v25"))
	s.ohms(1e3)
	if k := s.strikeCause(rig.Cause{Cell: 1, Volts: 2.2}, 2); k.events(rig.Sets+"PD") != 1 {
		t.Errorf("with the load on an empty cell U101 powers down %d times", k.events(rig.Sets+"PD"))
	}
	s.ohms(math.Inf(1))
	s.wait(1)
	s.cell(1, 3.7)
	s.wait(2)
	if s.conducts() {
		t.Error("asleep, the board came back by itself")
	}
	s.charger(21, 0.05)
	s.wait(1)
	s.charger(0, 0)
	s.wait(1)
	if !s.conducts() {
		t.Error("a charger did not wake the board")
	}
}
