package deck_test

import (
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/circuittest/spice"
	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/protector"
)

// TestLogicInNgspice takes a cell's voltage and a current slowly past their
// thresholds and back. The emulated latches must set and let go where the sheet
// says, each way by its own threshold and delay.
func TestLogicInNgspice(t *testing.T) {
	spice.Need(t)
	m, err := protector.NewCell(protector.CellSpec{
		VOv: 4.25, VOvr: 4.1, TOv: 2e-3, TOvr: 1e-3, VUv: 2.5, VUvr: 3, UvAuto: true, TUv: 3e-3, TUvr: 1e-3,
		VOc1: 0.1, VOcr: 0.05, TOc1: 2e-3, TOcr: 1e-3, Roh: 3e3, Rol: 3e3, I: 3e-6,
	})
	if err != nil {
		t.Fatal(err)
	}
	d := emulatedCell(m)
	d.Scripts = map[string]deck.Script{
		"cell": {{0, 3.7}, {1e-3, 4.2}, {3e-3, 4.3}, {10e-3, 4.3}, {16e-3, 4.0}, {30e-3, 4.0}, {40e-3, 2.4}, {60e-3, 2.4}, {80e-3, 3.4}, {100e-3, 3.4}},
		"cs":   {{0, 0}, {84e-3, 0}, {85e-3, 0.2}, {90e-3, 0.2}, {92e-3, 0}, {100e-3, 0}},
	}
	want := map[string]float64{}
	for _, c := range []struct {
		name, link, way string
		crosses, delay  float64 // s, on the script
	}{
		{"ov_sets", "co to vdd", "fall=1", 2e-3, 2e-3},
		{"ov_clears", "co to vdd", "rise=1", 14e-3, 1e-3},
		{"uv_sets", "do to vdd", "fall=1", 39.375e-3, 3e-3},
		{"uv_clears", "do to vdd", "rise=1", 72e-3, 1e-3},
		{"oc_sets", "do to vdd", "fall=2", 84.5e-3, 2e-3},
		{"oc_clears", "do to vdd", "rise=2", 91.5e-3, 1e-3},
	} {
		node := "script_u1_" + strings.ReplaceAll(c.link, " ", "_")
		d.Measures = append(d.Measures, deck.Measure{Name: c.name, What: fmt.Sprintf("when v(%s)=0.5 %s", node, c.way)})
		want[c.name] = c.crosses + c.delay
	}
	var text strings.Builder
	if err := deck.Write(&text, d); err != nil {
		t.Fatal(err)
	}
	got := spice.Run(t, text.String())
	for name, at := range want {
		// Within the largest step of the deck.
		if v, ok := got.Measured[name]; !ok || math.Abs(v-at) > 1.5*d.Analysis.(deck.Transient).Step {
			t.Errorf("%s at %.6g s (%t), want %.6g s", name, v, ok, at)
		}
	}
	bothConduct(t, got, "v(script_u1_do_to_vdd)", "v(script_u1_do_to_vss)")
	bothConduct(t, got, "v(script_u1_co_to_vdd)", "v(script_u1_co_to_cs)")
}

// TestSharedRetryIsRefused wants an error where an emulation would rest between
// set and cleared; one stage alone has its retry emulated.
func TestSharedRetryIsRefused(t *testing.T) {
	for _, stages := range []int{1, 2} {
		spec := protector.CellSpec{VOc1: 0.1, TOc1: 2e-3, OcRelease: protector.OcRetry, TRetry: 10e-3, Roh: 3e3, Rol: 3e3}
		if stages == 2 {
			spec.VSc, spec.TSc = 0.5, 0.5e-3
		}
		m, err := protector.NewCell(spec)
		if err != nil {
			t.Fatal(err)
		}
		err = deck.Write(io.Discard, emulatedCell(m))
		if refused := err != nil && strings.Contains(err.Error(), "share one retry"); refused != (stages == 2) {
			t.Errorf("%d stages: %v", stages, err)
		}
	}
}

// bothConduct complains where the two switches of an output conduct together.
func bothConduct(t *testing.T, r spice.Results, high, low string) {
	t.Helper()
	for i, h := range r.Vectors[high] {
		if l := r.Vectors[low][i]; h > 0.01 && l > 0.01 {
			t.Fatalf("%s %.3f and %s %.3f at %.9g s", high, h, low, l, r.Vectors["time"][i])
		}
	}
	if len(r.Vectors[high]) == 0 {
		t.Fatalf("no %s", high)
	}
}

// emulatedCell is a single-cell protector on sources that scripts move.
func emulatedCell(m protector.Machine) deck.Deck {
	at := map[string]circuit.Node{"vdd": 1, "vss": 0, "cs": 2, "do": 3, "co": 4}
	u := deck.LogicUnit{Part: "U1", Machine: m}
	for _, pin := range m.Pins() {
		u.Nodes = append(u.Nodes, at[pin])
	}
	truth := make(protector.Truth, len(m.Comparators()))
	protector.Evaluate(m.Comparators(), []float64{3.7, 0, 0, 0, 0}, truth) // vdd is the first pin
	m.Start(&u.State, 0, truth)
	d := deck.Deck{
		Title: "a cell protector as latches", Nodes: []string{"0", "vdd", "cs", "do", "co"},
		Elements: []circuit.Element{
			device.NewVoltage("cell", 1, 0, device.VoltageParams{Volts: 3.7}),
			device.NewVoltage("cs", 2, 0, device.VoltageParams{}),
			device.NewResistor("R1", 3, 0, device.ResistorParams{Ohms: 1e6}),
			device.NewResistor("R2", 4, 0, device.ResistorParams{Ohms: 1e6}),
		},
		Analysis: deck.Transient{Seconds: 0.1, Step: 10e-6},
	}
	for _, l := range m.Links() {
		u.Links = append(u.Links, "U1 "+l.Name)
		d.Elements = append(d.Elements, device.NewSwitch("U1 "+l.Name, u.Nodes[l.From], u.Nodes[l.To], device.SwitchParams{OnOhms: l.Ohms}))
	}
	d.Logic = []deck.LogicUnit{u}
	return d
}
