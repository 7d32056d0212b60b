package elaborate_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/circuit"
	"cupel/internal/circuit/cell"
	"cupel/internal/circuit/circuittest/spice"
	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/newton"
	"cupel/internal/circuit/transient"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/elaborate"
)

// within is how far a node may lie from the reference simulator's: what a
// trial resolves at best.
const within = 1e-3 // V

// TestSpiceBoardsAtRest solves both demo boards whole, cells at 3.7 V, nothing
// on the ports, and wants every node where ngspice has it. The outputs of the
// protection ICs stand as Cupel's state machines put them: their logic is not
// checked here.
func TestSpiceBoardsAtRest(t *testing.T) {
	spice.Need(t)
	for _, name := range demo.Names() {
		for _, kelvin := range []float64{253.15, 298.15, 333.15} {
			t.Run(fmt.Sprintf("%s at %.0f °C", name, kelvin-273.15), func(t *testing.T) {
				r := boardAtRest(t, name, kelvin)
				compareAtRest(t, r)
			})
		}
	}
}

// resting is a board with cells, at rest.
type resting struct {
	name     string
	nodes    []string
	elements []circuit.Element
	kelvin   float64
	x        []float64
	floating []circuit.Node
}

func boardAtRest(t *testing.T, name string, kelvin float64) resting {
	t.Helper()
	b, c := demoCircuit(t, name, kelvin)
	r := resting{name: name, nodes: c.Nodes, kelvin: kelvin, floating: c.Floating}
	r.elements = append(slices.Clone(c.Elements), cells(b, c, 3.7)...)
	solver := newton.New(r.nodes, r.elements)
	solver.Sys.Kelvin = kelvin
	run := transient.New(solver, transientUnits(c), transient.Options{})
	if err := run.Operate(); err != nil {
		t.Fatal(err)
	}
	r.x = run.X()
	return r
}

func demoCircuit(t *testing.T, name string, kelvin float64) (*board.Board, *elaborate.Circuit) {
	t.Helper()
	tree, ok := demo.Tree(name)
	if !ok {
		t.Fatalf("no demo board %s", name)
	}
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	c, list := elaborate.Elaborate(d.Board, d.Sheets.Sheet, elaborate.Options{Kelvin: kelvin})
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	return d.Board, c
}

// cells are sources behind 12 mΩ between the taps.
func cells(b *board.Board, c *elaborate.Circuit, volts float64) []circuit.Element {
	var all []circuit.Element
	for k := 1; k <= b.Cells; k++ {
		all = append(all, cell.NewSource(fmt.Sprintf("cell %d", k), c.NodeOf[b.Tap(k)], c.NodeOf[b.Tap(k-1)],
			cell.SourceParams{Volts: volts, Ohms: 12e-3}))
	}
	return all
}

func transientUnits(c *elaborate.Circuit) []*transient.Unit {
	var units []*transient.Unit
	for _, u := range c.Units {
		unit := &transient.Unit{Part: u.Part, Machine: u.Machine, Nodes: u.Nodes}
		for _, l := range u.Links {
			unit.Links = append(unit.Links, l)
		}
		for _, s := range u.Sinks {
			unit.Sinks = append(unit.Sinks, s)
		}
		units = append(units, unit)
	}
	return units
}

func compareAtRest(t *testing.T, r resting) {
	t.Helper()
	var text strings.Builder
	err := deck.Write(&text, deck.Deck{
		Title: r.name + " at rest", Nodes: r.nodes, Elements: r.elements, Kelvin: r.kelvin, Analysis: deck.OperatingPoint{},
	})
	if err != nil {
		t.Fatal(err)
	}
	out := spice.Run(t, text.String())
	names := deck.NameNodes(r.nodes)
	worst := 0.0
	for i := 1; i < len(r.nodes); i++ {
		n := circuit.Node(i)
		if slices.Contains(r.floating, n) {
			continue
		}
		want, err := out.Last("v(" + names.Node(n) + ")")
		if err != nil {
			t.Error(err)
			continue
		}
		off := math.Abs(r.x[i] - want)
		worst = max(worst, off)
		if off > within {
			t.Errorf("%s: %.6f V, want %.6f", r.nodes[i], r.x[i], want)
		}
	}
	t.Logf("%d nodes, the worst %.3g V off", len(r.nodes)-1, worst)
}
