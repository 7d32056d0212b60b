package layout_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"cupel/internal/board"
	"cupel/internal/dossier/demo"
	"cupel/internal/quantity"
	"cupel/internal/schematic"
	"cupel/internal/schematic/layout"
	"github.com/google/go-cmp/cmp"
)

func TestSameBoardSameSheet(t *testing.T) {
	for _, name := range demo.Names() {
		b, sheets := demoBoard(t, name)
		first, _ := layout.Lay(b, sheets)
		again, _ := layout.Lay(b, sheets)
		if diff := cmp.Diff(first, again); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
}

// geometry is a sheet without words.
type geometry struct {
	Symbols []string
	Wires   []schematic.Wire
	Dots    []schematic.Junction
}

func geometryOf(s *schematic.Sheet) geometry {
	g := geometry{Wires: s.Wires, Dots: s.Junctions}
	for _, x := range s.Symbols {
		g.Symbols = append(g.Symbols, fmt.Sprint(x.Part, x.Shape, x.At, x.Turn, x.Body))
	}
	return g
}

// New names of the same length leave everything where it was: nothing is
// decided by a name.
func TestNamesDecideNothing(t *testing.T) {
	for _, name := range demo.Names() {
		b, sheets := demoBoard(t, name)
		c := copied(b)
		r := rand.New(rand.NewPCG(7, 7))
		for i := range c.Nets {
			c.Nets[i].Name = scrambled(c.Nets[i].Name, r)
		}
		for i := range c.Parts {
			c.Parts[i].Ref = scrambled(c.Parts[i].Ref, r)
		}
		was, _ := layout.Lay(b, sheets)
		is, _ := layout.Lay(c, sheets)
		if diff := cmp.Diff(geometryOf(was), geometryOf(is)); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
	}
}

// scrambled is another name of the same width.
func scrambled(s string, r *rand.Rand) string {
	out := []byte(s)
	for i, c := range out {
		switch {
		case c >= '0' && c <= '9':
			out[i] = byte('0' + r.IntN(10))
		case c >= 'A' && c <= 'Z' && c != 'M' && c != 'W':
			out[i] = "ABCDEFGHKLNOPQRSTUVXYZ"[r.IntN(22)]
		}
	}
	return string(out)
}

// A part more or less moves its neighbours, not the sheet: hardly any two other
// parts change their order from left to right or from top to bottom.
func TestSmallChangeMovesLittle(t *testing.T) {
	const mostTurned = 0.03 // of all pairs of parts: about one part in a hundred that changes its side of all others
	for _, name := range demo.Names() {
		b, sheets := demoBoard(t, name)
		was, _ := layout.Lay(b, sheets)
		r := rand.New(rand.NewPCG(3, 9))
		for range 12 {
			c := copied(b)
			what := "removed"
			if r.IntN(2) == 0 {
				i := small(c, r)
				what += " " + c.Parts[i].Ref
				c.Parts = slices.Delete(c.Parts, i, i+1)
			} else {
				what = "added"
				beside := c.Parts[small(c, r)]
				add := board.Part{Ref: "X1", Kind: board.Capacitor, Count: 1, Value: quantity.Exact(quantity.Capacitance, 1e-9)}
				for k, pin := range []string{"1", "2"} {
					add.Pins = append(add.Pins, board.Pin{Name: pin, Net: beside.Pins[k].Net})
				}
				c.Parts = append(c.Parts, add)
				what += " beside " + beside.Ref
			}
			is, _ := layout.Lay(c, sheets)
			if share := turned(was, is); share > mostTurned {
				t.Errorf("%s, %s: %.1f %% of all pairs changed their order", name, what, 100*share)
			}
		}
	}
}

// small is a part that is no IC: to take one of those away is no small change.
func small(b *board.Board, r *rand.Rand) int {
	for {
		if i := r.IntN(len(b.Parts)); len(b.Parts[i].Pins) <= 3 {
			return i
		}
	}
}

// turned is the share of pairs of parts on both sheets whose order changed.
func turned(was, is *schematic.Sheet) float64 {
	at := map[string]schematic.Point{}
	for _, x := range is.Symbols {
		at[x.Ref] = x.At
	}
	var both []schematic.Symbol
	for _, x := range was.Symbols {
		if _, ok := at[x.Ref]; ok && x.Part != schematic.NoPart {
			both = append(both, x)
		}
	}
	n, changed := 0, 0
	for i, x := range both {
		for _, y := range both[i+1:] {
			n++
			p, q := at[x.Ref], at[y.Ref]
			if (x.At.X-y.At.X)*(p.X-q.X) < 0 || (x.At.Y-y.At.Y)*(p.Y-q.Y) < 0 {
				changed++
			}
		}
	}
	return float64(changed) / float64(max(1, n))
}
