package elaborate_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/circuit"
	"cupel/internal/circuit/cell"
	"cupel/internal/circuit/circuittest"
	"cupel/internal/circuit/circuittest/spice"
	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/newton"
	"cupel/internal/circuit/transient"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/elaborate"
)

var update = flag.Bool("update", false, "write the reference tables anew from the reference simulator")

// within is how far a node may lie from the reference simulator's: Cupel stops
// iterating where no node moves by more than 50 µV.
const within = 0.2e-3 // V

// scene is what a board lies among: cell 1 apart from the others, and a load.
type scene struct {
	name         string
	cell1, other float64 // V
	loadOhms     float64 // between P+ and P−; 0: none
}

var scenes = []scene{
	{"rest", 3.7, 3.7, 0},
	{"one amp", 3.7, 3.7, 15},
	{"cell 1 overcharged", 4.4, 4.0, 0},
	{"cell 1 overcharged, loaded", 4.4, 4.0, 15},
	{"cell 1 overdischarged", 2.2, 3.4, 0},
	{"cell 1 overdischarged, loaded", 2.2, 3.4, 1e3},
}

// TestSpiceBoardsAtRest solves both demo boards whole, in each scene and at three
// temperatures, and wants every node where ngspice has it. The outputs of the
// protection ICs stand as Cupel's state machines put them: their logic is not
// checked here.
func TestSpiceBoardsAtRest(t *testing.T) {
	spice.Need(t)
	for _, name := range demo.Names() {
		for _, kelvin := range []float64{253.15, 298.15, 333.15} {
			for _, s := range scenes {
				t.Run(fmt.Sprintf("%s at %.0f °C, %s", name, kelvin-273.15, s.name), func(t *testing.T) {
					compareAtRest(t, boardAtRest(t, name, kelvin, s))
				})
			}
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

func boardAtRest(t *testing.T, name string, kelvin float64, s scene) resting {
	t.Helper()
	b, c := demoCircuit(t, name, kelvin)
	r := resting{name: name, nodes: c.Nodes, kelvin: kelvin, floating: c.Floating}
	r.elements = append(slices.Clone(c.Elements), around(b, c, s)...)
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

// around is a source behind 12 mΩ for every cell, and the scene's load.
func around(b *board.Board, c *elaborate.Circuit, s scene) []circuit.Element {
	var all []circuit.Element
	for k := 1; k <= b.Cells; k++ {
		volts := s.other
		if k == 1 {
			volts = s.cell1
		}
		all = append(all, cell.NewSource(fmt.Sprintf("cell %d", k), c.NodeOf[b.Tap(k)], c.NodeOf[b.Tap(k-1)],
			cell.SourceParams{Volts: volts, Ohms: 12e-3}))
	}
	if s.loadOhms > 0 {
		plus, minus := pad(b, c, "P+"), pad(b, c, "P-")
		all = append(all, cell.NewResistance("load", plus, minus, s.loadOhms))
	}
	return all
}

func pad(b *board.Board, c *elaborate.Circuit, name string) circuit.Node {
	p, _ := b.Pad(name)
	return c.NodeOf[p.Net]
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

// rough rounds voltages to a tenth of a volt: near enough for the reference
// simulator to find its own way on a whole board, too far to be believed.
func rough(x []float64) []float64 {
	near := make([]float64, len(x))
	for i, v := range x {
		near[i] = math.Round(10*v) / 10
	}
	return near
}

// compareAtRest holds every node that does not float against ngspice.
func compareAtRest(t *testing.T, r resting) {
	t.Helper()
	for i, want := range nodesBySpice(t, r) {
		if !r.floats(i) && math.Abs(r.x[i]-want) > within {
			t.Errorf("%s: %.6f V, want %.6f", r.nodes[i], r.x[i], want)
		}
	}
}

func (r *resting) floats(i int) bool { return slices.Contains(r.floating, circuit.Node(i)) }

// nodesBySpice are the voltages of all nodes as ngspice finds them.
func nodesBySpice(t *testing.T, r resting) []float64 {
	t.Helper()
	var text strings.Builder
	err := deck.Write(&text, deck.Deck{
		Title: r.name + " at rest", Nodes: r.nodes, Elements: r.elements, Kelvin: r.kelvin,
		Analysis: deck.OperatingPoint{}, Near: rough(r.x),
	})
	if err != nil {
		t.Fatal(err)
	}
	out, names := spice.Run(t, text.String()), deck.NameNodes(r.nodes)
	x := make([]float64, len(r.nodes))
	for i := 1; i < len(r.nodes); i++ {
		if x[i], err = out.Last("v(" + names.Node(circuit.Node(i)) + ")"); err != nil {
			t.Fatal(err)
		}
	}
	return x
}

// TestReferenceBoardsAtRest does the same at 25 °C with committed tables: one row
// a scene, in order, one column a node. A demo board that was changed on
// purpose needs new ones: make reference.
func TestReferenceBoardsAtRest(t *testing.T) {
	for _, name := range demo.Names() {
		t.Run(name, func(t *testing.T) {
			got := circuittest.Table{Columns: []string{"scene"}}
			want := circuittest.Table{Columns: []string{"scene"}, Comment: []string{
				"the demo board " + name + " at rest at 25 °C; the scenes are those of spice_test.go, in order",
			}}
			for i, s := range scenes {
				r := boardAtRest(t, name, circuit.RoomKelvin, s)
				if *update {
					addRow(&want, i, r, nodesBySpice(t, r))
				}
				addRow(&got, i, r, r.x)
			}
			file := "testdata/" + name + "-at-rest.csv"
			if *update {
				want.Comment = append(want.Comment, "computed by "+spice.Version(t)+" from the deck that package deck prints")
				writeTable(t, file, want)
			}
			tolerance := circuittest.Tolerance{Absolute: within}
			for _, d := range circuittest.Differences(got, readTable(t, file), circuittest.Limits{Volts: tolerance}) {
				t.Error(d + "; was the board changed on purpose? then make reference")
			}
		})
	}
}

// addRow adds the nodes of one scene, without those that float.
func addRow(t *circuittest.Table, scene int, r resting, x []float64) {
	row := []float64{float64(scene)}
	for i := 1; i < len(r.nodes); i++ {
		if r.floats(i) {
			continue
		}
		row = append(row, x[i])
		if scene == 0 {
			t.Columns = append(t.Columns, r.nodes[i]+"_V")
		}
	}
	t.Rows = append(t.Rows, row)
}

func readTable(t *testing.T, file string) circuittest.Table {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table, err := circuittest.ReadTable(f)
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return table
}

func writeTable(t *testing.T, file string, table circuittest.Table) {
	t.Helper()
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := table.Write(f); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}
