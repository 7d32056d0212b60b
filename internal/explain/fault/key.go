package fault

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"slices"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/trial/rig"
)

// generation is part of every key. It is raised whenever the simulator or the
// screening changes what comes out, so that results kept before count no more.
const generation = 2

// key is the content a result is computed from: the board as a circuit, the
// sheets of its parts, and what the whole board is asked. Titles, places and the
// names of nets that only floating ones are shown by are part of it too.
func (t Bench) key(b *board.Board, a rig.Abilities) string {
	h := sha256.New()
	fmt.Fprintf(h, "%d %g %+v\n", generation, t.Rated, a)
	fmt.Fprintf(h, "%d\n", b.Cells)
	for _, p := range b.Pads {
		fmt.Fprintf(h, "%s %d\n", p.Name, p.Net)
	}
	for i := range b.Parts {
		p := &b.Parts[i]
		fmt.Fprintf(h, "%s %s %g %+v %d", p.Sheet, p.Kind, p.Value.Nominal(), p.Rated, p.Count)
		for _, pin := range p.Pins {
			fmt.Fprintf(h, " %s=%d", pin.Name, pin.Net)
		}
		fmt.Fprintln(h)
		if s, ok := t.Sheets(p.Sheet); ok {
			addSheet(h, s)
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// addSheet adds what a sheet says, without where it says it.
func addSheet(h hash.Hash, s *catalog.Sheet) {
	fmt.Fprintf(h, "%s %v %v %v", s.Kind, s.Pins, s.Rules, s.Curve)
	for _, name := range sorted(s.Figures) {
		f := s.Figures[name]
		fmt.Fprintf(h, " %s=%g", name, f.Value.Nominal())
		for _, c := range f.At {
			fmt.Fprintf(h, "@%s=%g", c.Name, c.Value.Nominal())
		}
	}
	for _, name := range sorted(s.Limits) {
		fmt.Fprintf(h, " %s<%g", name, s.Limits[name].Nominal())
	}
	fmt.Fprintln(h)
}

func sorted[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
