package elaborate_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/circuittest/spice"
	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/newton"
	"cupel/internal/circuit/transient"
	"cupel/internal/dossier/demo"
)

const (
	shortAt = 20e-6  // s
	runFor  = 400e-6 // s; the demo boards cut a short within 350 µs
)

// TestSpiceShortCut shorts every sound demo board and holds the whole event against
// ngspice, which is told by scripts when each output of each protection IC
// moved: peak current, when the current has halved, the highest voltage of P−
// and the lowest supply of the part that cuts.
func TestSpiceShortCut(t *testing.T) {
	if testing.Short() {
		t.Skip("ngspice takes seconds over a short")
	}
	spice.Need(t)
	for _, name := range demo.Sound() { // a planted fault leaves a short on for milliseconds
		t.Run(name, func(t *testing.T) {
			s := newShort(t, name)
			got := s.run(t, transient.Options{})
			out := spice.Run(t, s.deck(t, got["i_peak"]/2))
			for _, f := range []struct {
				name     string
				relative float64
				absolute float64
			}{
				{"i_peak", 1e-3, 0},
				{"t_half", 0, 100e-9}, // the deck's steps at the edge are tens of nanoseconds
				{"v_peak", 2e-3, 0},
			} {
				want, ok := out.Measured[f.name]
				if !ok {
					t.Errorf("ngspice measured no %s\n%s", f.name, out.Log)
				} else if off := math.Abs(got[f.name] - want); !(off <= f.relative*math.Abs(want)+f.absolute) {
					t.Errorf("%s = %.8g, want %.8g", f.name, got[f.name], want)
				}
				t.Logf("%s = %.8g, ngspice %.8g", f.name, got[f.name], want)
			}
		})
	}
}

// short is a board whose load port is about to be closed through 12 mΩ, 10 mΩ
// of leads and 1 µH.
type short struct {
	name     string
	nodes    []string
	elements []circuit.Element
	units    []*transient.Unit
	closes   *device.Switch
	ammeter  *device.Voltage
	minus    circuit.Node
	scripts  deck.Scripts
	near     []float64
}

func newShort(t *testing.T, name string) *short {
	t.Helper()
	b, c := demoCircuit(t, name, circuit.RoomKelvin)
	s := &short{name: name, units: transientUnits(c), scripts: deck.Scripts{}}
	s.nodes = append(slices.Clone(c.Nodes), "short-a", "short-b")
	a := circuit.Node(len(c.Nodes))
	s.minus = pad(b, c, "P-")
	s.closes = device.NewSwitch("short", pad(b, c, "P+"), a, device.SwitchParams{OnOhms: 12e-3})
	s.ammeter = device.NewVoltage("ammeter", a, a+1, device.VoltageParams{})
	s.elements = append(slices.Clone(c.Elements), around(b, c, scene{cell1: 3.7, other: 3.7})...)
	s.elements = append(s.elements, s.closes, s.ammeter, device.NewWire("leads", a+1, s.minus, 10e-3, 1e-6))
	return s
}

// run runs the short on Cupel, with its state machines, and keeps what they did.
func (s *short) run(t *testing.T, opt transient.Options) map[string]float64 {
	t.Helper()
	run := transient.New(newton.New(s.nodes, s.elements), s.units, opt)
	check := func(err error) {
		if err != nil {
			t.Helper()
			t.Fatal(err)
		}
	}
	check(run.Operate())
	s.near = slices.Clone(run.X())
	s.scripts.Note(0, s.elements)
	run.Log = func(at float64, _ *transient.Unit) { s.scripts.Note(at, s.elements) }
	figures := s.follow(run)
	check(run.Advance(context.Background(), shortAt))
	s.closes.Set(true)
	s.scripts.Note(shortAt, s.elements)
	run.Solver().Touch()
	check(run.Disturb())
	check(run.Advance(context.Background(), runFor))
	return figures
}

// follow takes the figures as the run goes.
func (s *short) follow(run *transient.Run) map[string]float64 {
	f := map[string]float64{"i_peak": 0, "v_peak": 0, "t_half": math.NaN()}
	x := make([]float64, len(run.X()))
	run.Watch = func(g *transient.Segment) bool {
		for k := 1; k <= 20; k++ {
			g.At(float64(k)/20, x)
			i := s.ammeter.Current(x)
			f["i_peak"], f["v_peak"] = max(f["i_peak"], i), max(f["v_peak"], x[s.minus])
			if math.IsNaN(f["t_half"]) && g.Start > shortAt+50e-6 && i < f["i_peak"]/2 {
				f["t_half"] = g.Start + g.Step*float64(k)/20
			}
		}
		return false
	}
	return f
}

func (s *short) deck(t *testing.T, half float64) string {
	t.Helper()
	var b strings.Builder
	minus := deck.NameNodes(s.nodes).Node(s.minus)
	err := deck.Write(&b, deck.Deck{
		Title: s.name + " shorted", Nodes: s.nodes, Elements: s.elements, Scripts: s.scripts, Near: rough(s.near),
		Analysis: deck.Transient{Seconds: runFor, Step: 1e-6},
		Measures: []deck.Measure{
			{Name: "i_peak", What: "max i(vammeter)"},
			{Name: "v_peak", What: fmt.Sprintf("max v(%s)", minus)},
			{Name: "t_half", What: fmt.Sprintf("when i(vammeter)=%g fall=1", half)},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}
