package elaborate

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"cupel/internal/catalog"
	"cupel/internal/catalog/generic"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
	"cupel/internal/quantity"
)

// TestEverySheetAlone puts each generic sheet on a board of its own, wired as a
// part of its kind must be, and holds one figure of what it becomes against the
// sheet's text.
func TestEverySheetAlone(t *testing.T) {
	for _, name := range generic.Names() {
		t.Run(name, func(t *testing.T) {
			s, _ := generic.Sheet(name)
			c, list := elaborated(t, alone(s))
			for _, f := range list {
				t.Errorf("%s", f)
			}
			if len(c.Parts["X1"]) == 0 {
				t.Fatal("it became nothing")
			}
			compare(t, s, c)
		})
	}
}

// alone is the text of a board with one part of the sheet and what it needs.
func alone(s *catalog.Sheet) string {
	cells := max(s.Cells(), 1)
	pads := []string{"B-: t0", fmt.Sprintf("B+: t%d", cells)}
	for k := 1; k < cells; k++ {
		pads = append(pads, fmt.Sprintf("T%d: t%d", k, k))
	}
	pins, parts := wiring(s, cells)
	return fmt.Sprintf("cupel: 1\nboard: alone\ncells: %d\npads: {%s}\nparts:\n  X1: {sheet: %s, pins: {%s}}\n%s",
		cells, strings.Join(pads, ", "), s.Name, strings.Join(pins, ", "), strings.Join(parts, ""))
}

func wiring(s *catalog.Sheet, cells int) (pins, parts []string) {
	at := map[string]string{}
	resistor := func(a, b string) {
		parts = append(parts, fmt.Sprintf("  R%d: {value: 100 kΩ, pins: [%s, %s]}\n", len(parts)+1, a, b))
	}
	switch s.Kind {
	case catalog.Diode, catalog.Zener:
		at["a"], at["k"] = "t0", "n"
		resistor("n", "t1")
	case catalog.NPN, catalog.PNP:
		at["c"], at["b"], at["e"] = "n", "m", emitterNet(s.Kind)
		resistor("n", otherNet(at["e"]))
		resistor("m", otherNet(at["e"]))
	case catalog.NFET, catalog.PFET:
		at["d"], at["g"], at["s"] = "n", "m", emitterNet(s.Kind)
		resistor("n", otherNet(at["s"]))
		resistor("m", otherNet(at["s"]))
	case catalog.CellProtector, catalog.Balancer, catalog.StackProtector, catalog.SecondaryProtector:
		for _, pin := range s.Pins {
			at[pin] = "n" + pin
			resistor(at[pin], "t0")
		}
		at["vdd"], at["vss"] = fmt.Sprintf("t%d", cells), "t0"
		for k := 1; k <= cells && s.HasPin(catalog.SenseInput(1)); k++ {
			at[catalog.SenseInput(k)] = fmt.Sprintf("t%d", k)
		}
		for _, pin := range []string{"tov", "tuv", "toc"} {
			if s.HasPin(pin) {
				parts = append(parts, fmt.Sprintf("  C%d: {value: 100 nF, pins: [n%s, t0]}\n", len(parts)+1, pin))
			}
		}
	default:
		at["1"], at["2"] = "n", "t0"
		resistor("n", "t1")
		if s.HasPin("h") {
			at["h"] = "m"
			resistor("m", "t1")
		}
	}
	for _, pin := range s.Pins {
		pins = append(pins, pin+": "+at[pin])
	}
	return pins, parts
}

func emitterNet(k catalog.Kind) string {
	if k == catalog.PNP || k == catalog.PFET {
		return "t1"
	}
	return "t0"
}

func otherNet(net string) string {
	if net == "t0" {
		return "t1"
	}
	return "t0"
}

// written is a figure in a sheet's text, as a value alone or in a map.
func written(t *testing.T, s *catalog.Sheet, figure string, d quantity.Dimension) float64 {
	t.Helper()
	src, _ := generic.Text(s.Name)
	m := regexp.MustCompile(`(?m)^  ` + figure + `: (?:\{value: )?([^,}\n]+)`).FindSubmatch(src)
	if m == nil {
		t.Fatalf("the text has no %s", figure)
	}
	q, err := quantity.Parse(strings.TrimSpace(string(m[1])), d)
	if err != nil {
		t.Fatal(err)
	}
	return q.Nominal()
}

// near allows the last digits of arithmetic, or what a leakage adds.
func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s = %g, the sheet says %g", what, got, want)
	}
}

func compare(t *testing.T, s *catalog.Sheet, c *Circuit) {
	t.Helper()
	const room = circuit.RoomKelvin
	switch e := c.Parts["X1"][0].(type) {
	case *device.MOSFET:
		near(t, "r_ds_on", e.Params().OnOhms(s.Condition("r_ds_on", "v_gs"), room), written(t, s, "r_ds_on", quantity.Resistance), 1e-3)
	case *device.BJT:
		m := e.Params().At(room)
		i := m.Currents(written(t, s, "v_be", quantity.Voltage), -5)
		near(t, "i_c at v_be", i.CE-i.BC, s.Condition("v_be", "i_c"), 1e-3)
	case *device.Diode:
		compareDiode(t, s, e.Params().At(room))
	case *device.Thermistor:
		near(t, "r_25", e.Params().OhmsAt(room), written(t, s, "r_25", quantity.Resistance), 1e-9)
	case *device.Fuse:
		near(t, "r", e.Params().Ohms, written(t, s, "r", quantity.Resistance), 1e-9)
	case *device.Resistor:
		if d, inside := c.Parts["X1"][len(c.Parts["X1"])-1].(*device.Diode); inside {
			p := d.Params()
			p.Ohms = e.Params().Ohms
			compareDiode(t, s, p.At(room))
			return
		}
		near(t, "r", e.Params().Ohms, written(t, s, "r", quantity.Resistance), 1e-9)
	case *device.Capacitor:
		near(t, "c", e.Params().Farads, written(t, s, "c", quantity.Capacitance), 1e-9)
	case *device.Inductor:
		near(t, "l", e.Params().Henry, written(t, s, "l", quantity.Inductance), 1e-9)
	case *device.Switch:
		compareUnit(t, s, &c.Units[0])
	default:
		t.Fatalf("nothing is compared of a %T", e)
	}
}

func compareDiode(t *testing.T, s *catalog.Sheet, m device.DiodeModel) {
	t.Helper()
	if s.Kind == catalog.Zener {
		i, _ := m.Current(-written(t, s, "v_z", quantity.Voltage))
		near(t, "current at v_z", -i, s.Condition("v_z", "i_z"), 0.03) // the leakage comes on top
		return
	}
	i, _ := m.Current(written(t, s, "v_f", quantity.Voltage))
	near(t, "current at v_f", i, s.Condition("v_f", "i_f"), 0.01)
}

func compareUnit(t *testing.T, s *catalog.Sheet, u *Unit) {
	t.Helper()
	figure, comparator := "v_ov", "v>V_ov"
	switch {
	case s.Kind == catalog.Balancer:
		figure, comparator = "v_bal", "v>V_bal"
	case s.HasPin(catalog.SenseInput(1)):
		comparator = "v1>V_ov"
	}
	for _, c := range u.Machine.Comparators() {
		if c.Name == comparator {
			near(t, figure, c.Level, written(t, s, figure, quantity.Voltage), 1e-9)
			return
		}
	}
	t.Errorf("no comparator %s", comparator)
}
