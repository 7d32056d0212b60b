package elaborate_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/generic"
	"cupel/internal/circuit"
	"cupel/internal/circuit/circuittest"
	"cupel/internal/circuit/circuittest/spice"
	"cupel/internal/circuit/device"
	"cupel/internal/elaborate"
	"cupel/internal/finding"
)

// TestSpiceSlice takes one slice of a chain board alone through every state of
// its outputs, with its cell from empty to overcharged, hot and cold.
func TestSpiceSlice(t *testing.T) {
	spice.Need(t)
	for _, kelvin := range []float64{253.15, 298.15, 333.15} {
		for state := range 8 {
			s := slice(t, kelvin, state&1 != 0, state&2 != 0, state&4 != 0)
			t.Run(s.Name, func(t *testing.T) {
				got, err := s.Solve()
				if err != nil {
					t.Fatal(err)
				}
				text, err := s.Deck()
				if err != nil {
					t.Fatal(err)
				}
				want, err := s.FromVectors(spice.Run(t, text).Vectors)
				if err != nil {
					t.Fatal(err)
				}
				for _, d := range circuittest.Differences(got, want, s.Within) {
					t.Error(d)
				}
			})
		}
	}
}

// slice is the slice as a sweep of its cell, every node watched.
func slice(t *testing.T, kelvin float64, discharge, charge, bleed bool) circuittest.Sweep {
	t.Helper()
	text, err := os.ReadFile("testdata/slice.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var list finding.List
	b := boardfile.Read("slice.yaml", text, generic.Sheets{}, &list)
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	c, found := elaborate.Elaborate(b, generic.Sheet, elaborate.Options{Kelvin: kelvin})
	if err := found.Err(); err != nil {
		t.Fatal(err)
	}
	drive(t, c, "do", discharge)
	drive(t, c, "co", charge)
	drive(t, c, "out", bleed)
	cell := device.NewVoltage("cell", c.NodeOf[b.Tap(1)], 0, device.VoltageParams{})
	s := circuittest.Sweep{
		Name:  fmt.Sprintf("slice at %.0f °C, do %t, co %t, bleed %t", kelvin-273.15, discharge, charge, bleed),
		About: "one slice of a chain board", Kelvin: kelvin, Nodes: c.Nodes,
		Elements: append(slices.Clone(c.Elements), cell), Source: cell, From: 1, To: 4.5, Steps: 14,
		Watch: []circuittest.Watch{{Column: "i_cell_A", Source: cell}},
		Within: circuittest.Limits{
			Volts: circuittest.Tolerance{Absolute: within}, Amps: circuittest.Tolerance{Relative: 1e-3, Absolute: 1e-9},
		},
	}
	for i, name := range c.Nodes {
		if i > 0 && !slices.Contains(c.Floating, circuit.Node(i)) {
			s.Watch = append(s.Watch, circuittest.Watch{Column: name + "_V", Node: name})
		}
	}
	return s
}

// drive puts every output of that name high or low.
func drive(t *testing.T, c *elaborate.Circuit, pin string, high bool) {
	t.Helper()
	driven := false
	for _, u := range c.Units {
		pins, links := u.Machine.Pins(), u.Machine.Links()
		for i, l := range links {
			if from, to := pins[l.From], pins[l.To]; from == pin || to == pin {
				u.Links[i].Set((to == "vdd" || from == "vdd") == high)
				driven = true
			}
		}
	}
	if !driven {
		t.Fatalf("no unit has an output %s; %s", pin, strings.Join(c.Nodes, " "))
	}
}
