package deck

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

var update = flag.Bool("update", false, "write the wanted decks anew")

// everything is one of each element, with names that SPICE would misread.
func everything() Deck {
	wire := device.NewWire("L1", 1, 2, 0.01, 1e-6)
	output := device.NewSwitch("U1 do to vdd", 2, 3, device.SwitchParams{OnOhms: 3000})
	return Deck{
		Title:    "one of each\nR1 1 0 1",
		Comments: []string{"for looking at"},
		Nodes:    []string{"B−", "GND", "gate-discharge", "GATE_DISCHARGE", "P-"},
		Elements: []circuit.Element{
			device.NewVoltage("E1", 1, 0, device.VoltageParams{Volts: 3.7}),
			device.NewCurrent("load", 4, 0, device.CurrentParams{}),
			wire, output,
			device.NewWire("joint", 3, 4, 0, 0),
			device.NewResistor("R1", 3, 0, device.ResistorParams{Ohms: 4700, Tempco: 1e-4}),
			device.NewCapacitor("C1", 3, 0, device.CapacitorParams{Farads: 1e-7}),
			device.NewCeramic("C2", 3, 4, device.CeramicParams{Farads: 1e-6, Loss: 0.5, Rated: 16}),
			device.NewSink("U1 supply", 3, 0, device.SinkParams{Amps: 3e-6}),
			device.NewDiode("D1", 0, 3, device.DiodeParams{Sat: 1e-14, Breakdown: 15, Leak: 1e-8}),
			device.NewBJT("Q1", 3, 2, 0, device.BJTParams{Sat: 1e-14, Polarity: device.P, EmitterBreakdown: 6}),
			device.NewMOSFET("Q2", 4, 3, 0, device.MOSFETParams{
				Threshold: 2, K: 50, BodySat: 1e-12, Breakdown: 30, GateSource: 1e-9, Miller: 1e-10, MillerPeak: 5e-10,
			}),
		},
		Scripts: map[string]Script{
			"U1 do to vdd": {{0, 1}, {0.01, 1}, {0.01000005, 0}},
			"U1 supply":    {{0, 3e-6}},
			"load":         {{0, 0}, {1e-3, 10}},
		},
		Near:     []float64{0, 3.7},
		Analysis: Transient{Seconds: 0.02, Step: 1e-5},
		Measures: []Measure{{Name: "off at", What: "when v(pminus)=1 rise=1"}},
	}
}

// TestWrite holds a deck against the wanted text.
func TestWrite(t *testing.T) {
	var b strings.Builder
	if err := Write(&b, everything()); err != nil {
		t.Fatal(err)
	}
	golden := filepath.Join("testdata", "everything.cir")
	if *update {
		if err := os.WriteFile(golden, []byte(b.String()), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if b.String() != string(want) {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

// strange is an element that no deck knows.
type strange struct{}

func (strange) Name() string              { return "X1" }
func (strange) Terminals() []circuit.Node { return nil }
func (strange) Bind(*circuit.Binder)      {}

// TestRefuses wants what cannot be printed named.
func TestRefuses(t *testing.T) {
	wave := func(float64) float64 { return 0 }
	for _, c := range []struct {
		element circuit.Element
		want    string
	}{
		{strange{}, "X1: no SPICE cards for a deck.strange"},
		{device.NewVoltage("V1", 1, 0, device.VoltageParams{Wave: wave}), "V1: its waveform is a function"},
	} {
		err := Write(&strings.Builder{}, Deck{Nodes: []string{"0", "a"}, Elements: []circuit.Element{c.element}})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want %q", err, c.want)
		}
	}
}

// TestNames wants names that no simulator mixes up.
func TestNames(t *testing.T) {
	n := NameNodes([]string{"B-", "gnd", "Tap1", "tap1", "P-", "a-b", "a b", "", "0"})
	want := []string{"0", "gnd_2", "tap1", "tap1_2", "pminus", "a_b", "a_b_2", "_", "0_2"}
	for i, w := range want {
		if got := n.Node(circuit.Node(i)); got != w {
			t.Errorf("node %d is %q, want %q", i, got, w)
		}
	}
	if a, b := n.Element("R1"), n.Element("r1"); a == b {
		t.Errorf("R1 and r1 are both %q", a)
	}
	if got := CardName("R", "R101"); got != "R101" {
		t.Errorf("card of R101 is %q", got)
	}
	if got := CardName("R", "U1 do to vdd"); got != "Ru1_do_to_vdd" {
		t.Errorf("card of an output is %q", got)
	}
	if a, b := n.Element("R1"), n.Element("R1"); a != b {
		t.Errorf("R1 is %q, then %q", a, b)
	}
}
