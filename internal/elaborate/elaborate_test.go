package elaborate

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"cupel/internal/catalog"
	"cupel/internal/catalog/generic"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
	"cupel/internal/quantity"

	"github.com/google/go-cmp/cmp"
)

func TestBoardsWithoutAFinding(t *testing.T) {
	for _, name := range []string{"chain-5s.yaml", "stack-3s.yaml"} {
		c, list := elaborated(t, load(t, name))
		for _, f := range list {
			t.Errorf("%s: %s", name, f)
		}
		if len(c.Floating) > 0 {
			t.Errorf("%s: floating nodes %v", name, c.Floating)
		}
	}
}

// recognised is what was recognised of a board, by names.
type recognised struct {
	Banks, Bleeds, Shunts []string
	Middle                string
	Cells                 map[string][]int
	Sensors               int
}

func summary(c *Circuit) recognised {
	r := recognised{Middle: c.Nodes[c.Middle], Cells: map[string][]int{}, Sensors: len(c.Sensors)}
	for _, b := range c.Banks {
		line := "low"
		if b.High {
			line = "high"
		}
		r.Banks = append(r.Banks, fmt.Sprintf("%s %s: %s gate %s source %s drain %s", line, b.Name, names(b.FETs), c.Nodes[b.Gate], c.Nodes[b.Source], c.Nodes[b.Drain]))
	}
	for _, b := range c.Bleeds {
		r.Bleeds = append(r.Bleeds, fmt.Sprintf("%d %s by %s", b.Cell, b.Part, b.Switch))
	}
	for _, s := range c.Shunts {
		r.Shunts = append(r.Shunts, s.Name())
	}
	for _, u := range c.Units {
		r.Cells[u.Part] = u.Cells
	}
	return r
}

func names(fets []*device.MOSFET) string {
	var out []string
	for _, f := range fets {
		out = append(out, f.Name())
	}
	return strings.Join(out, "+")
}

func TestRecognisesTheChain(t *testing.T) {
	c, _ := elaborated(t, load(t, "chain-5s.yaml"))
	want := recognised{
		Banks: []string{
			"low discharge: Q5 gate GD source GND drain MID",
			"low charge: Q6 gate GC source PN drain MID",
		},
		Bleeds: []string{"1 R109 by Q103", "2 R209 by Q203", "3 R309 by Q303", "4 R409 by Q403", "5 R509 by Q503"},
		Middle: "MID",
		Cells: map[string][]int{
			"U101": {1}, "U102": {1}, "U201": {2}, "U202": {2}, "U301": {3}, "U302": {3},
			"U401": {4}, "U402": {4}, "U501": {5}, "U502": {5},
		},
	}
	if d := cmp.Diff(want, summary(c)); d != "" {
		t.Error(d)
	}
}

func TestRecognisesTheStack(t *testing.T) {
	c, _ := elaborated(t, load(t, "stack-3s.yaml"))
	want := recognised{
		Banks: []string{
			"low discharge: Q1 gate GD source SN drain PN",
			"low charge: Q2 gate GC source CN drain SN",
		},
		Shunts: []string{"R5"}, Middle: "SN", Cells: map[string][]int{"U1": {1, 2, 3}}, Sensors: 1,
	}
	if d := cmp.Diff(want, summary(c)); d != "" {
		t.Error(d)
	}
}

// A board with its FETs in the positive line: P-channel, back to back.
const highSide = `
cupel: 1
board: high-side
cells: 1
pads: {B-: bminus, B+: bplus, P-: bminus, P+: pplus}
parts:
  U1: {sheet: cell-protector-4v25, pins: {vdd: supply, vss: bminus, cs: sense, do: do, co: co}}
  R1: {value: 330 Ω, pins: [bplus, supply]}
  C1: {value: 1 µF 16 V X7R, pins: [supply, bminus]}
  R2: {value: 1 kΩ, pins: [sense, pplus]}
  R3: {value: 1 mΩ, pins: [bplus, shunt]}
  Q1: {sheet: pfet-30v-10m, pins: {s: shunt, d: middle, g: do}}
  Q2: {sheet: pfet-30v-10m, pins: {s: pplus, d: middle, g: co}}
`

func TestRecognisesTheHighSide(t *testing.T) {
	c, list := elaborated(t, highSide)
	for _, f := range list {
		t.Error(f)
	}
	want := recognised{
		Banks: []string{
			"high discharge: Q1 gate do source shunt drain middle",
			"high charge: Q2 gate co source pplus drain middle",
		},
		Shunts: []string{"R3"}, Middle: "middle", Cells: map[string][]int{"U1": {1}},
	}
	if d := cmp.Diff(want, summary(c)); d != "" {
		t.Error(d)
	}
}

// Filters by hand: R101 beside R104 and R107 in series with the outputs'
// resistors is 330 Ω ∥ 1 MΩ ∥ 1 MΩ, with 1 µF.
func TestFilter(t *testing.T) {
	c, _ := elaborated(t, load(t, "chain-5s.yaml"))
	want := 1e-6 / (1/330. + 2e-6)
	if got := c.Units[0].Filter; math.Abs(got-want) > 1e-9*want {
		t.Errorf("filter of U101 = %g s, want %g s", got, want)
	}
}

// Four parts in parallel as one element carry what four elements do.
func TestApartIsTheSame(t *testing.T) {
	b := read(t, load(t, "chain-5s.yaml"))
	whole, _ := Elaborate(b, generic.Sheet, Options{})
	apart, list := Elaborate(b, generic.Sheet, Options{Apart: true})
	if list.Err() != nil {
		t.Fatal(list)
	}
	if got := names(apart.Banks[0].FETs); got != "Q5.1+Q5.2" {
		t.Errorf("apart: %s", got)
	}
	id := func(c *Circuit) (sum float64) {
		for _, f := range c.Banks[0].FETs {
			m := f.Params().At(circuit.RoomKelvin)
			i, _, _ := m.Channel(10, 9.9)
			sum += i
		}
		return sum
	}
	if a, w := id(apart), id(whole); math.Abs(a-w) > 1e-9*w {
		t.Errorf("apart %g A, whole %g A", a, w)
	}
}

// spy notes what it is asked.
type spy struct{ asked []Which }

func (s *spy) Pick(w Which, q quantity.Quantity) float64 {
	s.asked = append(s.asked, w)
	return q.Nominal()
}

func TestChoiceIsAskedOnceAndInOrder(t *testing.T) {
	b := read(t, load(t, "chain-5s.yaml"))
	var first, second spy
	Elaborate(b, generic.Sheet, Options{Choice: &first})
	Elaborate(b, generic.Sheet, Options{Choice: &second})
	if d := cmp.Diff(first.asked, second.asked); d != "" {
		t.Errorf("two runs ask differently: %s", d)
	}
	seen := map[string]bool{}
	for _, w := range first.asked {
		key := fmt.Sprint(w.Ref, " ", w.Unit, " ", w.Figure)
		if seen[key] {
			t.Errorf("asked twice for %s", key)
		}
		seen[key] = true
	}
	for _, key := range []string{"R101 0 value", "U101 0 v_ov", "Q5 0 r_ds_on", "C101 0 bias loss"} {
		if !seen[key] {
			t.Errorf("never asked for %s", key)
		}
	}
}

// limit takes one end of every quantity.
type limit struct{ max bool }

func (l limit) Pick(_ Which, q quantity.Quantity) float64 {
	v := q.Min
	if l.max {
		v = q.Max
	}
	if math.IsNaN(v) {
		return q.Nominal()
	}
	return v
}

// mixed takes the low end of releases and the high end of everything else, and
// the other way round: limits that overlap on paper.
type mixed struct{ flip bool }

func (m mixed) Pick(w Which, q quantity.Quantity) float64 {
	return limit{m.flip != strings.HasSuffix(w.Figure, "r")}.Pick(w, q)
}

func TestCornersOfEverySheetCanBeBuilt(t *testing.T) {
	for _, name := range generic.Names() {
		s, _ := generic.Sheet(name)
		b := read(t, alone(s))
		for _, c := range []Choice{limit{true}, limit{false}, mixed{true}, mixed{false}} {
			for _, kelvin := range []float64{253.15, 333.15} {
				_, list := Elaborate(b, generic.Sheet, Options{Choice: c, Kelvin: kelvin})
				if err := list.Err(); err != nil {
					t.Errorf("%s, %T: %v", name, c, err)
				}
			}
		}
	}
}

func TestThresholdsFollowTemperature(t *testing.T) {
	s, _ := generic.Sheet("cell-protector-4v25-auto")
	hot := *s
	hot.Figures = map[string]catalog.Figure{}
	for k, f := range s.Figures {
		hot.Figures[k] = f
	}
	hot.Figures["v_ov_tempco"] = catalog.Figure{Value: quantity.Exact(quantity.TempcoVoltage, 0.3e-3)}
	sheets := func(string) (*catalog.Sheet, bool) { return &hot, true }
	b := read(t, alone(s))
	c, _ := Elaborate(b, sheets, Options{Kelvin: circuit.RoomKelvin + 35})
	if got, want := c.Units[0].CellSpec.VOv, 4.25+35*0.3e-3; math.Abs(got-want) > 1e-12 {
		t.Errorf("v_ov at 60 °C = %g V, want %g V", got, want)
	}
	// The leakage of cs is 50 nA at 85 °C and doubles every 10 K.
	if got, want := c.Units[0].CellSpec.ICs, 50e-9*math.Exp2(-2.5); math.Abs(got-want) > 1e-6*want {
		t.Errorf("i_cs at 60 °C = %g A, want %g A", got, want)
	}
	m, err := c.Units[0].At(circuit.RoomKelvin)
	if err != nil || m.Comparators()[0].Name != c.Units[0].Machine.Comparators()[0].Name {
		t.Errorf("remade at 25 °C: %v", err)
	}
}

func TestDelaysByCapacitor(t *testing.T) {
	c, _ := elaborated(t, load(t, "stack-3s.yaml"))
	s := c.Units[0].StackSpec
	if got := s.KOv * s.CTov; math.Abs(got-1) > 1e-9 { // 10 s/µF, 100 nF
		t.Errorf("overcharge delay = %g s, want 1 s", got)
	}
}

func TestWithoutAPart(t *testing.T) {
	b := read(t, load(t, "chain-5s.yaml"))
	c, list := Elaborate(b, generic.Sheet, Options{Without: map[string]bool{"R9": true}})
	if list.Err() != nil || len(c.Parts["R9"]) != 0 {
		t.Errorf("R9 is still there: %v", list)
	}
}
