package bias

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/circuittest/documented"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/newton"
)

func TestDocumented(t *testing.T) {
	documented.Says(t,
		fmt.Sprintf("plain Newton (%d iterations)", plainLimit),
		fmt.Sprintf("gmin stepping (from %g mS by tenths to %g S)", gminStart*1e3, circuit.Gmin),
		fmt.Sprintf("conductance falling from %g S by quarters to %g S", anchorFrom, anchorTo),
	)
}

// chain is a source over a chain of diodes and resistors: nonlinear enough for
// every way to have something to do. Each diode carries what flows through 1 kΩ.
func chain() *newton.Solver {
	names := []string{"0", "top"}
	elements := []circuit.Element{device.NewVoltage("V", 1, 0, device.VoltageParams{Volts: 12})}
	at := circuit.Node(1)
	for i := range 6 {
		names = append(names, fmt.Sprintf("n%d", i))
		next := circuit.Node(len(names) - 1)
		elements = append(elements, device.NewDiode(fmt.Sprintf("D%d", i), at, next, device.DiodeParams{Sat: 1e-14}))
		at = next
	}
	elements = append(elements, device.NewResistor("R", at, 0, device.ResistorParams{Ohms: 1e3}))
	return newton.New(names, elements)
}

// Every way alone finds the same point as plain Newton.
func TestWaysAgree(t *testing.T) {
	want := chain()
	if err := plain(want); err != nil {
		t.Fatal(err)
	}
	for name, way := range map[string]func(*newton.Solver) error{"gmin": gmin, "sources": sources, "pseudo": pseudo} {
		n := chain()
		if err := way(n); err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for i, v := range n.Sys.X[:n.Layout.Nodes] {
			if math.Abs(v-want.Sys.X[i]) > 1e-5 {
				t.Errorf("%s: node %s at %.6f V, plain Newton says %.6f V", name, n.Names[i], v, want.Sys.X[i])
			}
		}
	}
}

func TestOperateSaysWhichWay(t *testing.T) {
	way, err := Operate(chain())
	if err != nil || way != Plain {
		t.Errorf("got %v, %v; want plain Newton", way, err)
	}
}

// Whichever way succeeded, no continuation is left switched on.
func TestOperateLeavesTheSystemAsFound(t *testing.T) {
	n := chain()
	if _, err := Operate(n); err != nil {
		t.Fatal(err)
	}
	if s := n.Sys; s.Scale != 1 || s.Gmin != circuit.Gmin || n.Anchor != 0 {
		t.Errorf("scale %g, gmin %g, anchor %g left behind", s.Scale, s.Gmin, n.Anchor)
	}
}

func TestFloatingIsNamed(t *testing.T) {
	n := newton.New([]string{"0", "a", "b"}, []circuit.Element{
		device.NewResistor("R", 1, 0, device.ResistorParams{Ohms: 1}),
		device.NewCapacitor("C", 1, 2, device.CapacitorParams{Farads: 1e-9}),
	})
	_, err := Operate(n)
	var floating *newton.Floating
	if !errors.As(err, &floating) || floating.Node != "b" {
		t.Fatalf("got %v, want a *Floating naming b", err)
	}
	if strings.Contains(err.Error(), "all failed") {
		t.Errorf("%v: no way would help", err)
	}
}
