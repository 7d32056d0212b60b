package newton_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/cell"
	"cupel/internal/circuit/circuittest/documented"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/newton"
)

func TestDocumented(t *testing.T) {
	documented.Says(t,
		fmt.Sprintf("no node moved by more than %g µV + 1e-6 of its voltage", newton.NodeVolts*1e6),
		fmt.Sprintf("A gmin of %g S", circuit.Gmin),
		fmt.Sprintf("one that moved by %g µV or less", circuit.Still*1e6),
	)
}

// 5 V through 1 kΩ into a diode of Is = 1e-14 A at 27 °C: 0.692887832 V and
// 4.307112168 mA (closed form by Wright's ω).
func TestSolveDiode(t *testing.T) {
	n := newton.New([]string{"0", "in", "out"}, []circuit.Element{
		device.NewVoltage("V", 1, 0, device.VoltageParams{Volts: 5}),
		device.NewResistor("R", 1, 2, device.ResistorParams{Ohms: 1e3}),
		device.NewDiode("D", 2, 0, device.DiodeParams{Sat: 1e-14, Nominal: device.SpiceKelvin}),
	})
	n.Sys.Kelvin = device.SpiceKelvin
	if err := n.Solve(50); err != nil {
		t.Fatal(err)
	}
	if got := n.Sys.X[2]; math.Abs(got-0.692887832) > 1e-7 {
		t.Errorf("diode at %.9f V, want 0.692887832 V", got)
	}
}

// A node that only a capacitor touches has no level of its own.
func TestFloatingNodeIsNamed(t *testing.T) {
	elements := []circuit.Element{
		device.NewVoltage("V", 1, 0, device.VoltageParams{Volts: 5}),
		device.NewCapacitor("C", 1, 2, device.CapacitorParams{Farads: 1e-9}),
	}
	n := newton.New([]string{"0", "in", "gate"}, elements)
	var floating *newton.Floating
	if err := n.Solve(10); !errors.As(err, &floating) || floating.Node != "gate" {
		t.Fatalf("got %v, want a *Floating naming gate", err)
	}
	n = newton.New([]string{"0", "in", "gate"}, elements)
	n.Tie = true
	if err := n.Solve(10); err != nil {
		t.Fatal(err)
	}
	if len(n.Tied) != 1 || n.Tied[0] != 2 {
		t.Errorf("tied %v, want node 2 alone", n.Tied)
	}
}

// Two ideal sources in parallel say two things of one voltage.
func TestLoopOfSourcesIsRefused(t *testing.T) {
	n := newton.New([]string{"0", "a"}, []circuit.Element{
		device.NewVoltage("V1", 1, 0, device.VoltageParams{Volts: 5}),
		device.NewVoltage("V2", 1, 0, device.VoltageParams{Volts: 4}),
	})
	var floating *newton.Floating
	if err := n.Solve(10); !errors.As(err, &floating) {
		t.Fatalf("got %v, want a *Floating", err)
	}
}

// Too few iterations: the error names the node and the element on it.
func TestNotConvergedNamesNodeAndElement(t *testing.T) {
	n := newton.New([]string{"0", "in", "out"}, []circuit.Element{
		device.NewVoltage("V", 1, 0, device.VoltageParams{Volts: 5}),
		device.NewResistor("R", 1, 2, device.ResistorParams{Ohms: 1e3}),
		device.NewDiode("D7", 2, 0, device.DiodeParams{Sat: 1e-14}),
	})
	var not *newton.NotConverged
	if err := n.Solve(2); !errors.As(err, &not) {
		t.Fatalf("got %v, want a *NotConverged", err)
	}
	if not.Node != "out" || not.Element != "D7" {
		t.Errorf("names %s at %s, want out at D7", not.Node, not.Element)
	}
}

// A solve allocates nothing once the pivots are chosen.
func TestSolveAllocatesNothing(t *testing.T) {
	n := newton.New([]string{"0", "in", "out"}, []circuit.Element{
		device.NewVoltage("V", 1, 0, device.VoltageParams{Volts: 5}),
		device.NewResistor("R", 1, 2, device.ResistorParams{Ohms: 1e3}),
		device.NewDiode("D", 2, 0, device.DiodeParams{Sat: 1e-14}),
	})
	if err := n.Solve(50); err != nil {
		t.Fatal(err)
	}
	if count := testing.AllocsPerRun(100, func() { _ = n.Solve(50) }); count != 0 {
		t.Errorf("%v allocations a solve, want 0", count)
	}
}

// A charger and a sink are flat on both sides of a knee: from an iterate on
// either side the other looks right, and Newton's method could go back and forth
// between the two for ever. It ends from everywhere, through any resistance.
func TestKneesEnd(t *testing.T) {
	for name, knee := range map[string]circuit.Element{
		"charger": cell.NewCharger("charger", 1, 0, cell.ChargerParams{Volts: 1, Amps: 2}),
		"sink":    device.NewSink("sink", 1, 0, device.SinkParams{Amps: 10}),
	} {
		sign := map[string]float64{"charger": -1, "sink": 1}[name]
		source := device.NewVoltage("V", 2, 0, device.VoltageParams{})
		for ohms := 1e-3; ohms < 1; ohms *= 1.3 {
			n := newton.New([]string{"0", "knee", "source"}, []circuit.Element{
				knee, source, device.NewResistor("R", 1, 2, device.ResistorParams{Ohms: ohms}),
			})
			for open := -0.2; open < 1.3; open += 0.03 {
				for at := -0.3; at < 1.5; at += 0.05 {
					source.SetVolts(open + sign*ohms)
					n.Forget()
					n.Sys.X[1], n.Sys.X[2] = at, open
					if err := n.Solve(12); err != nil {
						t.Fatalf("%s from %.2f V, through %.3g Ω to %.2f V: %v", name, at, ohms, open+sign*ohms, err)
					}
				}
			}
		}
	}
}
