package simulated_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"cupel/internal/board/boardtest"
	"cupel/internal/circuit"
	"cupel/internal/dossier"
	"cupel/internal/elaborate"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// put puts a board's text on a rig.
func put(t testing.TB, opt simulated.Options, text string, edits ...edit) *stand {
	t.Helper()
	text = both(edits...)(t, text)
	d, err := dossier.Read(fstest.MapFS{"board.yaml": {Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Findings.Err(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	r, err := simulated.New(d.Board, elaborator(d), opt)
	if err != nil {
		t.Fatalf("%s: %v", d.Board.Name, err)
	}
	return &stand{t, r, d.Board.Cells}
}

// made puts a board of the generator on a rig.
func made(t testing.TB, s boardtest.Spec, edits ...edit) *stand {
	t.Helper()
	return put(t, simulated.Options{}, boardtest.Text(s), edits...)
}

// results runs the jobs of a trial that concern a cell; 0: all that concern none.
// The board stands as before then.
func (s *stand) results(tr trial.Trial, cell int) []trial.Result {
	s.t.Helper()
	at := s.Mark()
	defer s.Rewind(at)
	var all []trial.Result
	for _, j := range tr.Jobs(s.Can()) {
		if j.Cell == cell {
			rs, _, err := j.Run(context.Background(), s.Rig)
			s.must(err)
			all = append(all, rs...)
		}
	}
	return all
}

// first is the first result of a quantity.
func firstOf(rs []trial.Result, q protection.Quantity) trial.Result {
	for _, r := range rs {
		if r.Quantity == q {
			return r
		}
	}
	return trial.Result{Outcome: "missing"}
}

// expectedSpecs are random boards whose figures are held against their sheets.
// CUPEL_BOARDS sets how many.
func expectedSpecs(t *testing.T) []boardtest.Spec {
	t.Helper()
	n := 5
	if testing.Short() {
		n = 2
	}
	if s := os.Getenv("CUPEL_BOARDS"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatal(err)
		}
	}
	var out []boardtest.Spec
	for i := range n {
		out = append(out, boardtest.Random(rand.New(rand.NewPCG(uint64(i), 11))))
	}
	return out
}

// watcher is the protector that watches a cell, and the pins it does it with.
func watcher(c *elaborate.Circuit, cell int) (u elaborate.Unit, top, bottom string, ok bool) {
	for _, u := range c.Units {
		i := slices.Index(u.Cells, cell)
		switch {
		case i < 0 || u.CellSpec == nil && u.StackSpec == nil:
		case u.CellSpec != nil:
			return u, "vdd", "vss", true
		case i == 0:
			return u, "v1", "vss", true
		default:
			return u, fmt.Sprintf("v%d", i+1), fmt.Sprintf("v%d", i), true
		}
	}
	return u, "", "", false
}

// lost is how much less than its cell a protector sees with the cell at volts:
// the drop of its currents over its filter.
func (s *stand) lost(cell int, volts float64) float64 {
	s.t.Helper()
	u, top, bottom, ok := watcher(s.Circuit(), cell)
	if !ok {
		s.t.Fatalf("nothing watches cell %d", cell)
	}
	at := s.Mark()
	defer s.Rewind(at)
	s.cell(cell, volts)
	s.wait(20e-3) // the filters settle; no delay of a cell voltage is so short
	pin := func(name string) float64 { return s.get(rig.Point{Kind: rig.PinVolts, Part: u.Part, Pin: name}) }
	return volts - (pin(top) - pin(bottom))
}

// TestThresholdsAreTheSheets holds every cell's overcharge and overdischarge
// against the sheet of the part that watches it: equal within the resolution of
// the search, once the drop over the filter is counted.
func TestThresholdsAreTheSheets(t *testing.T) {
	for _, spec := range expectedSpecs(t) {
		s := made(t, spec)
		for _, cell := range slices.Compact([]int{1, (s.cells + 1) / 2, s.cells}) {
			u, _, _, _ := watcher(s.Circuit(), cell)
			of := u.CellSpec
			if u.StackSpec != nil {
				of = &u.StackSpec.CellSpec
			}
			for _, c := range []struct {
				tr    trial.Trial
				volts float64
				near  float64 // from where the filter's drop is read
				res   float64
			}{{trial.Overcharge{}, of.VOv, -5e-3, 2e-3}, {trial.Overdischarge{}, of.VUv, 5e-3, 5e-3}} {
				want := c.volts + s.lost(cell, c.volts+c.near)
				r := firstOf(s.results(c.tr, cell), protection.Detect)
				if r.Outcome != protection.Found || math.Abs(r.Value-want) > c.res {
					t.Errorf("%s: %s of cell %d %s at %.4f V (%s), its sheet and filter say %.4f V",
						spec.Name(), c.tr.Word(), cell, r.Outcome, r.Value, r.Note, want)
				}
			}
		}
	}
}

// sensedOhms is what a board senses its current by, from the sheets: the shunt,
// or the banks at the gate voltages they stand at while the cells sag under a
// current that is just not cut.
func (s *stand) sensedOhms(spec boardtest.Spec, amps float64) float64 {
	s.t.Helper()
	at := s.Mark()
	defer s.Rewind(at)
	s.amps(amps)
	s.wait(55e-3) // slow gates have followed the cells, and no cell has been low for long
	if len(s.Circuit().Shunts) > 0 {
		return s.Circuit().Shunts[0].Params().Ohms
	}
	ohms := 0.0
	for _, b := range s.Circuit().Banks {
		if b.Name == "discharge" || spec.Sense == boardtest.Banks {
			vgs := s.get(rig.Point{Kind: rig.GateVolts, Part: b.Name})
			for _, f := range b.FETs {
				ohms += f.Params().OnOhms(math.Abs(vgs), circuit.RoomKelvin)
			}
		}
	}
	return ohms
}

// TestOvercurrentIsWhatIsSensed holds the current of the first stage against
// V_oc over the sensed resistance, within 5 %.
func TestOvercurrentIsWhatIsSensed(t *testing.T) {
	for _, spec := range expectedSpecs(t) {
		s := made(t, spec)
		s.all(s.Can().CellMiddle)
		s.wait(0.2)
		u, _, _, _ := watcher(s.Circuit(), 1)
		v := 0.0
		if u.StackSpec != nil {
			v = u.StackSpec.VOc1
		} else {
			v = u.CellSpec.VOc1
		}
		at := s.Mark()
		rs, _, err := trial.DischargeOvercurrent{}.Jobs(s.Can())[0].Run(context.Background(), s.Rig)
		s.must(err)
		s.Rewind(at)
		r := firstOf(rs, protection.Current)
		want := v / s.sensedOhms(spec, 0.98*r.Low)
		most := float64(s.cells) * s.Can().CellMiddle / (float64(s.cells) * s.Can().CellOhms)
		switch {
		case want > 0.4*most && r.Outcome != protection.Found && r.Note != "":
			// The cells sag too far before it acts, and that is said.
		case r.Outcome != protection.Found || math.Abs(r.Value/want-1) > 0.05:
			t.Errorf("%s: overcurrent %s at %.2f A (%s), the sensed resistance says %.2f A", spec.Name(), r.Outcome, r.Value, r.Note, want)
		}
	}
}

// shifterOf finds the transistor that carries "cut" from an output down.
func shifterOf(text, out string) string {
	for _, l := range strings.Split(text, "\n") {
		if strings.Contains(l, "c: "+out+",") {
			return strings.TrimSpace(strings.SplitN(l, ":", 2)[0])
		}
	}
	return ""
}

// TestLostShifter takes one upper shifter's transistor out of chains of both
// signals: where it says "fault" exactly that cell's overdischarge is lost and
// nothing tells; where it says "fine" the board is off at once.
func TestLostShifter(t *testing.T) {
	for _, spec := range []boardtest.Spec{
		{Cells: 4}, {Cells: 7, Sense: boardtest.OneBank, Port: boardtest.Half}, {Cells: 4, High: true}, {Cells: 13, Sense: boardtest.Banks, Phosphate: true},
	} {
		text, gone := boardtest.Text(spec), spec.Cells-1
		s := made(t, spec, without(shifterOf(text, fmt.Sprintf("out-do%d", gone))))
		for _, cell := range []int{1, gone, spec.Cells} {
			r := firstOf(s.results(trial.Overdischarge{}, cell), protection.Detect)
			if (r.Outcome == protection.Found) == (cell == gone) {
				t.Errorf("%s, without the shifter of cell %d: overdischarge of cell %d %s", spec.Name(), gone, cell, r.Outcome)
			}
		}
		if !s.conducts() {
			t.Errorf("%s, without the shifter of cell %d: the board is off, so somebody would notice", spec.Name(), gone)
		}
		spec.Signal = boardtest.Fine
		text = boardtest.Text(spec)
		if s := made(t, spec); !s.conducts() {
			t.Errorf("%s: off at rest", spec.Name())
		}
		if s := made(t, spec, without(shifterOf(text, fmt.Sprintf("passed%d", gone)))); s.conducts() {
			t.Errorf("%s, without what passes \"well\" on at cell %d: still on", spec.Name(), gone)
		}
	}
}

// TestPortsAreWhatTheyAre holds, for each port, what an overcharge leaves of
// discharging and an overdischarge of charging: with both banks in one line the
// body diode of the bank that is off carries the other direction.
func TestPortsAreWhatTheyAre(t *testing.T) {
	for _, c := range []struct {
		port                   boardtest.Port
		afterOV, afterUV, both string // discharge after overcharge, charge after overdischarge
	}{
		{boardtest.Common, "diode", "diode", "one line for both"},
		{boardtest.Separate, "on", "on", "a charge bank of its own"},
		{boardtest.Half, "on", "diode", "the charger behind both banks"},
	} {
		for _, topology := range []boardtest.Topology{boardtest.Chain, boardtest.Stack, boardtest.Cascade} {
			spec := boardtest.Spec{Topology: topology, Cells: 4, Port: c.port}
			if topology == boardtest.Cascade {
				spec.Cells = 10
			}
			s := made(t, spec)
			s.cell(spec.Cells, 4.35)
			s.wait(2.5)
			if got := s.direction(false); got != c.afterOV {
				t.Errorf("%s: discharging is %s after overcharge, want %s: %s", spec.Name(), got, c.afterOV, c.both)
			}
			if got := s.direction(true); got != "open" {
				t.Errorf("%s: charging is %s after overcharge", spec.Name(), got)
			}
			s.cell(spec.Cells, 2.3)
			s.wait(1)
			if got := s.direction(true); got != c.afterUV {
				t.Errorf("%s: charging is %s after overdischarge, want %s: %s", spec.Name(), got, c.afterUV, c.both)
			}
			if got := s.direction(false); got != "open" {
				t.Errorf("%s: discharging is %s after overdischarge", spec.Name(), got)
			}
		}
	}
}

// direction is the state of a direction by a probe of 5 mA, in the words of the
// trials; the probe is gone afterwards.
func (s *stand) direction(charging bool) string {
	s.t.Helper()
	pack := 0.0
	for k := 1; k <= s.cells; k++ {
		pack += s.get(rig.Point{Kind: rig.CellVolts, N: k})
	}
	amps, drop, avail := rig.Point{Kind: rig.LoadAmps}, rig.Point{Kind: rig.MinusDrop}, pack
	if charging {
		amps, drop, avail = rig.Point{Kind: rig.ChargeAmps}, rig.Point{Kind: rig.ChargeDrop}, 1.5
		s.charger(pack+1.5, 5e-3)
	} else {
		s.ohms(pack / 5e-3)
	}
	s.wait(0.1)
	i, v := s.get(amps), math.Abs(s.get(drop))
	if charging {
		s.charger(0, 0)
	} else {
		s.ohms(math.Inf(1))
	}
	s.wait(3e-3)
	switch {
	case i > 4e-3 && v < 0.2:
		return "on"
	case i > 4e-3 && v < 1.2:
		return "diode"
	case i < 0.5e-3 && v > 0.8*avail:
		return "open"
	}
	return fmt.Sprintf("undefined (%.3g A, %.3g V)", i, v)
}
