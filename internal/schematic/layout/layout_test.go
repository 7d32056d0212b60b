package layout_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"cupel/internal/board"
	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/generic"
	"cupel/internal/dossier/demo"
	"cupel/internal/finding"
	"cupel/internal/schematic"
	"cupel/internal/schematic/layout"
	"github.com/google/go-cmp/cmp"
)

// textBoards are the boards of testdata: shapes that the demo boards have not.
func textBoards(t testing.TB) []*board.Board {
	t.Helper()
	files, err := filepath.Glob("testdata/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no boards in testdata: %v", err)
	}
	var out []*board.Board
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		var list finding.List
		b := boardfile.Read(f, src, generic.Sheets{}, &list)
		if err := list.Err(); err != nil {
			t.Fatal(err)
		}
		out = append(out, b)
	}
	return out
}

// mostCrossings is how many crossings a net a demo board may have: the goal set
// for the sheet.
const mostCrossings = 0.25

func TestDemoBoards(t *testing.T) {
	for _, name := range demo.Names() {
		t.Run(name, func(t *testing.T) {
			b, sheets := demoBoard(t, name)
			s, st := layout.Lay(b, sheets)
			sound(t, s, b)
			each := float64(st.Crossings) / float64(st.Nets)
			t.Logf("%d parts, %d nets: %d crossings (%.2f a net), %d bends, %d overlaps, %d ends in a name, %v",
				st.Parts, st.Nets, st.Crossings, each, st.Bends, st.Overlaps, st.Names, s.Size)
			if each > mostCrossings {
				t.Errorf("%.2f crossings a net", each)
			}
			if st.Spare != 0 {
				t.Errorf("%d parts found no place", st.Spare)
			}
		})
	}
}

func TestOtherBoards(t *testing.T) {
	for _, b := range textBoards(t) {
		t.Run(b.Name, func(t *testing.T) {
			s, st := layout.Lay(b, generic.Sheet)
			sound(t, s, b)
			t.Logf("%d crossings on %d nets, %d bends", st.Crossings, st.Nets, st.Bends)
			if st.Spare != 0 {
				t.Errorf("%d parts found no place", st.Spare)
			}
		})
	}
}

// The gate of Q7 hangs on a supply of slice 1: one name at the end of one wire.
func TestOneNameAtOneEnd(t *testing.T) {
	b, sheets := demoBoard(t, "sluice-5s")
	s, _ := layout.Lay(b, sheets)
	names := 0
	for _, n := range s.Names {
		if n.Kind != schematic.Tag && b.Nets[n.Net].Name == "supply1" {
			names++
		}
	}
	if names != 1 {
		t.Errorf("%d ends of supply1 carry its name", names)
	}
}

func symbolOf(t *testing.T, s *schematic.Sheet, ref string) *schematic.Symbol {
	t.Helper()
	i := slices.IndexFunc(s.Symbols, func(x schematic.Symbol) bool { return x.Ref == ref })
	if i < 0 {
		t.Fatalf("no symbol %s", ref)
	}
	return &s.Symbols[i]
}

func TestTapsLieInOrderOfPotential(t *testing.T) {
	for _, name := range demo.Names() {
		b, sheets := demoBoard(t, name)
		s, _ := layout.Lay(b, sheets)
		last := 1 << 30
		for _, k := range tapPads(b) {
			if y := symbolOf(t, s, k).At.Y; y >= last {
				t.Errorf("%s: pad %s lies at %d, not above %d", name, k, y, last)
			} else {
				last = y
			}
		}
	}
}

func tapPads(b *board.Board) []string {
	pads := []string{"B-"}
	for k := 1; k < b.Cells; k++ {
		pads = append(pads, fmt.Sprintf("T%d", k))
	}
	return append(pads, "B+")
}

// From B− to P− one straight line: level, and without a gap but for the
// symbols that lie in it.
func TestPowerPathIsStraight(t *testing.T) {
	for _, name := range demo.Names() {
		b, sheets := demoBoard(t, name)
		s, _ := layout.Lay(b, sheets)
		from, to := symbolOf(t, s, "B-").At, symbolOf(t, s, "P-").At
		if from.Y != to.Y {
			t.Errorf("%s: B− lies at %v, P− at %v", name, from, to)
		}
		for x := from.X; x < to.X; x += schematic.Grid {
			a, e := schematic.Point{X: x, Y: from.Y}, schematic.Point{X: x + schematic.Grid, Y: from.Y}
			if !covered(s, a, e) {
				t.Errorf("%s: nothing leads from %v to %v", name, a, e)
			}
		}
	}
}

// covered reports whether a power wire, or a symbol between two of its pins,
// takes the way between two neighbouring places.
func covered(s *schematic.Sheet, a, b schematic.Point) bool {
	for _, w := range s.Wires {
		for i := 1; w.Power && i < len(w.Points); i++ {
			p, q := w.Points[i-1], w.Points[i]
			if p.Y == a.Y && q.Y == a.Y && min(p.X, q.X) <= a.X && max(p.X, q.X) >= b.X {
				return true
			}
		}
	}
	return slices.ContainsFunc(s.Symbols, func(x schematic.Symbol) bool {
		var at []int
		for _, p := range x.Pins {
			if p.At.Y == a.Y {
				at = append(at, p.At.X)
			}
		}
		return len(at) == 2 && slices.Min(at) <= a.X && slices.Max(at) >= b.X
	})
}

// slice is what stands in the slice of one cell, relative to its upper tap.
type slice struct {
	Symbols []string
	Wires   []string
}

func sliceOf(t *testing.T, b *board.Board, s *schematic.Sheet, cell int) slice {
	pad := fmt.Sprintf("T%d", cell)
	if cell == b.Cells {
		pad = "B+"
	}
	base := symbolOf(t, s, pad).At
	var out slice
	own := map[board.NetID]bool{}
	for _, x := range s.Symbols {
		if x.Cell != cell || x.Part == schematic.NoPart {
			continue
		}
		line := fmt.Sprintf("%s %s at %v turned %v", x.Role, x.Shape, x.At.Sub(base), x.Turn)
		for _, p := range x.Pins {
			line += fmt.Sprintf(" %s %v", p.Name, p.At.Sub(base))
			own[p.Net] = true
		}
		for _, l := range x.Label {
			line += fmt.Sprintf(" text at %v", l.At.Sub(base))
		}
		out.Symbols = append(out.Symbols, line)
	}
	for _, w := range s.Wires {
		if own[w.Net] && onlyIn(b, s, w.Net, cell) {
			line := ""
			for _, p := range w.Points {
				line += fmt.Sprint(p.Sub(base))
			}
			out.Wires = append(out.Wires, line)
		}
	}
	slices.Sort(out.Symbols)
	slices.Sort(out.Wires)
	return out
}

// onlyIn reports whether a net touches nothing outside the slice of a cell.
func onlyIn(b *board.Board, s *schematic.Sheet, n board.NetID, cell int) bool {
	for _, x := range s.Symbols {
		if x.Cell == cell && x.Part != schematic.NoPart {
			continue
		}
		for _, p := range x.Pins {
			if p.Net == n {
				return false
			}
		}
	}
	return true
}

// Equal slices are drawn equal: each symbol, pin, text and wire of slices 2 to
// 5 stands at the same place under its rail. Slice 1 has more to do at one pin,
// but its symbols stand as the others do.
func TestSlicesAreEqualUpToTranslation(t *testing.T) {
	b, sheets := demoBoard(t, "sluice-5s")
	s, _ := layout.Lay(b, sheets)
	want := sliceOf(t, b, s, 2)
	if len(want.Symbols) != 17 || len(want.Wires) < 20 {
		t.Fatalf("slice 2 has %d symbols and %d wires", len(want.Symbols), len(want.Wires))
	}
	for cell := 3; cell <= 5; cell++ {
		if diff := cmp.Diff(want, sliceOf(t, b, s, cell)); diff != "" {
			t.Errorf("slice %d differs from slice 2:\n%s", cell, diff)
		}
	}
	if diff := cmp.Diff(want.Symbols, sliceOf(t, b, s, 1).Symbols); diff != "" {
		t.Errorf("symbols of slice 1:\n%s", diff)
	}
}

func TestSenseFiltersAreEqualUpToTranslation(t *testing.T) {
	for _, name := range []string{"hive-3s", "dome-8s"} {
		b, sheets := demoBoard(t, name)
		s, _ := layout.Lay(b, sheets)
		want := sliceOf(t, b, s, 1).Symbols
		for cell := 2; cell <= b.Cells; cell++ {
			if diff := cmp.Diff(want, sliceOf(t, b, s, cell).Symbols); diff != "" {
				t.Errorf("%s, cell %d:\n%s", name, cell, diff)
			}
		}
	}
}

// Signals run from left to right: from the protector over the shifter and the
// shared line to the bank.
func TestSignalRunsToTheRight(t *testing.T) {
	b, sheets := demoBoard(t, "sluice-5s")
	s, _ := layout.Lay(b, sheets)
	for _, way := range [][]string{
		{"U401", "R403", "Q401", "R405", "Q1", "R2", "Q5", "P-"},
		{"U401", "R406", "Q402", "R408", "Q2", "R6", "Q3", "R8", "D1", "Q4", "R10", "Q6", "P-"},
		{"B+", "U402", "Q403"},
	} {
		for i := 1; i < len(way); i++ {
			if a, e := symbolOf(t, s, way[i-1]), symbolOf(t, s, way[i]); a.At.X+a.Body.Max.X > e.At.X+e.Body.Max.X {
				t.Errorf("%s stands right of %s", way[i-1], way[i])
			}
		}
	}
}

// BenchmarkLay lays out chains of cells; 300 parts are seventeen cells.
func BenchmarkLay(b *testing.B) {
	for _, cells := range []int{5, 17, 24} {
		long, sheets := chain(b, cells)
		b.Run(fmt.Sprintf("%d parts", len(long.Parts)), func(b *testing.B) {
			for b.Loop() {
				layout.Lay(long, sheets)
			}
		})
	}
}

// A board of 300 parts takes less than a second. It takes a tenth of that on
// an idle machine.
func TestTimeOf300Parts(t *testing.T) {
	if testing.Short() {
		t.Skip("measures time")
	}
	b, sheets := chain(t, 17)
	best := time.Hour
	for range 3 {
		start := time.Now()
		s, st := layout.Lay(b, sheets)
		best = min(best, time.Since(start))
		sound(t, s, b)
		if st.Parts < 300 {
			t.Fatalf("%d parts", st.Parts)
		}
	}
	t.Logf("%d parts in %v", len(b.Parts), best)
	if best > time.Second {
		t.Errorf("%d parts took %v", len(b.Parts), best)
	}
}
