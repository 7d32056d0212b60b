package layout_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/quantity"
	"cupel/internal/schematic"
	"cupel/internal/schematic/layout"
)

// lookup finds part sheets.
type lookup = func(string) (*catalog.Sheet, bool)

// read keeps what was read of the demo boards: no test changes them.
var read = map[string]*dossier.Dossier{}

func demoBoard(t testing.TB, name string) (*board.Board, lookup) {
	t.Helper()
	if d := read[name]; d != nil {
		return d.Board, d.Sheets.Sheet
	}
	tree, ok := demo.Tree(name)
	if !ok {
		t.Fatalf("no demo board %s", name)
	}
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	read[name] = d
	return d.Board, d.Sheets.Sheet
}

// copied is a board whose parts and nets can be changed.
func copied(b *board.Board) *board.Board {
	c := *b
	c.Parts, c.Nets, c.Pads = slices.Clone(b.Parts), slices.Clone(b.Nets), slices.Clone(b.Pads)
	for i := range c.Parts {
		c.Parts[i].Pins = slices.Clone(c.Parts[i].Pins)
	}
	return &c
}

// mutations are things that happen to a board on the bench or in its text.
var mutations = []struct {
	name string
	do   func(b *board.Board, r *rand.Rand)
}{
	{"a part removed", func(b *board.Board, r *rand.Rand) {
		i := r.IntN(len(b.Parts))
		b.Parts = slices.Delete(b.Parts, i, i+1)
	}},
	{"a part bridged", func(b *board.Board, r *rand.Rand) {
		p := &b.Parts[r.IntN(len(b.Parts))]
		short(b, p.Pins[0].Net, p.Pins[len(p.Pins)-1].Net)
	}},
	{"two nets shorted", func(b *board.Board, r *rand.Rand) {
		short(b, board.NetID(r.IntN(len(b.Nets))), board.NetID(r.IntN(len(b.Nets))))
	}},
	{"two pins swapped", func(b *board.Board, r *rand.Rand) {
		p, q := anyPin(b, r), anyPin(b, r)
		p.Net, q.Net = q.Net, p.Net
	}},
	{"a part's pins swapped", func(b *board.Board, r *rand.Rand) {
		p := &b.Parts[r.IntN(len(b.Parts))]
		i, j := r.IntN(len(p.Pins)), r.IntN(len(p.Pins))
		p.Pins[i].Net, p.Pins[j].Net = p.Pins[j].Net, p.Pins[i].Net
	}},
	{"a pin open", func(b *board.Board, r *rand.Rand) { anyPin(b, r).Net = board.NoNet }},
	{"a pad gone", func(b *board.Board, r *rand.Rand) {
		i := r.IntN(len(b.Pads))
		b.Pads = slices.Delete(b.Pads, i, i+1)
	}},
	{"a passive added", func(b *board.Board, r *rand.Rand) {
		k := []board.Kind{board.Resistor, board.Capacitor, board.Inductor}[r.IntN(3)]
		dim := map[board.Kind]quantity.Dimension{
			board.Resistor: quantity.Resistance, board.Capacitor: quantity.Capacitance, board.Inductor: quantity.Inductance,
		}[k]
		add(b, board.Part{Ref: "X1", Kind: k, Count: 1, Value: quantity.Exact(dim, math.Pow(10, float64(r.IntN(12)-6)))}, r, "1", "2")
	}},
	{"a diode added", func(b *board.Board, r *rand.Rand) {
		add(b, board.Part{Ref: "X2", Sheet: "zener-15v-350mw", Count: 1}, r, "a", "k")
	}},
	{"a transistor added", func(b *board.Board, r *rand.Rand) {
		s := []string{"npn-60v-100ma", "pnp-60v-100ma"}[r.IntN(2)]
		add(b, board.Part{Ref: "X3", Sheet: s, Count: 1}, r, "c", "b", "e")
	}},
	{"a FET added", func(b *board.Board, r *rand.Rand) {
		s := []string{"nfet-40v-6m", "pfet-30v-10m"}[r.IntN(2)]
		add(b, board.Part{Ref: "X4", Sheet: s, Count: 1}, r, "d", "g", "s")
	}},
	{"an IC added", func(b *board.Board, r *rand.Rand) {
		add(b, board.Part{Ref: "X5", Sheet: "cell-protector-4v25-auto", Count: 1}, r, "vdd", "vss", "cs", "do", "co")
	}},
	{"an unknown part added", func(b *board.Board, r *rand.Rand) {
		add(b, board.Part{Ref: "X6", Sheet: "no-such-sheet", Count: 1}, r, "p", "q", "r", "s")
	}},
}

func short(b *board.Board, keep, gone board.NetID) {
	if keep == board.NoNet || gone == board.NoNet {
		return
	}
	for i := range b.Parts {
		for k := range b.Parts[i].Pins {
			if b.Parts[i].Pins[k].Net == gone {
				b.Parts[i].Pins[k].Net = keep
			}
		}
	}
	for i := range b.Pads {
		if b.Pads[i].Net == gone {
			b.Pads[i].Net = keep
		}
	}
}

func anyPin(b *board.Board, r *rand.Rand) *board.Pin {
	p := &b.Parts[r.IntN(len(b.Parts))]
	return &p.Pins[r.IntN(len(p.Pins))]
}

func add(b *board.Board, p board.Part, r *rand.Rand, pins ...string) {
	for _, name := range pins {
		p.Pins = append(p.Pins, board.Pin{Name: name, Net: board.NetID(r.IntN(len(b.Nets)))})
	}
	i := r.IntN(len(b.Parts) + 1)
	b.Parts = slices.Insert(b.Parts, i, p)
}

// sound fails the test where a sheet has anything on anything else, or tells
// something else than its board.
func sound(t *testing.T, s *schematic.Sheet, b *board.Board) {
	t.Helper()
	for _, x := range s.Overlaps() {
		t.Error(x)
	}
	for _, x := range s.Verify(b) {
		t.Error(x)
	}
}

// TestMutations draws the demo boards with something wrong with them: nothing
// may ever lie on anything else, and the sheet must tell what the board is.
func TestMutations(t *testing.T) {
	count := 500
	if testing.Short() {
		count = 60
	}
	names := demo.Names()
	for i := range count {
		r := rand.New(rand.NewPCG(1, uint64(i)))
		name := names[i%len(names)]
		m := mutations[r.IntN(len(mutations))]
		t.Run(fmt.Sprintf("%s %d %s", name, i, m.name), func(t *testing.T) {
			b, sheets := demoBoard(t, name)
			b = copied(b)
			for range 1 + r.IntN(2)*r.IntN(3) {
				m.do(b, r)
			}
			s, st := layout.Lay(b, sheets)
			sound(t, s, b)
			if st.Overlaps != 0 {
				t.Errorf("%d overlaps counted", st.Overlaps)
			}
		})
	}
}
