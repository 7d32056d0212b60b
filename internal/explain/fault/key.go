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
const generation = 4

// key is the content a result is computed from: the board as a circuit, the
// sheets of its parts, and what the whole board is asked. Faults that make the
// same circuit have one key: solder between two nets is the same whichever parts
// it lies at, and a resistor that hangs on one end is as good as none.
func (t Bench) key(b *board.Board, a rig.Abilities, f Fault) string {
	h := sha256.New()
	fmt.Fprintf(h, "%d %g %t %+v\n%d\n", generation, t.Rated, t.Fine, a, b.Cells)
	if f.Kind == LeadOpen { // the whole board may be joined anew without it
		fmt.Fprintf(h, "%s open\n", f.Pad)
	}
	number := t.netNumbers(b)
	for _, p := range b.Pads {
		fmt.Fprintf(h, "%s %d\n", p.Name, number(p.Net))
	}
	for i := range b.Parts {
		p := &b.Parts[i]
		if t.dangles(b, p) {
			continue
		}
		fmt.Fprintf(h, "%s %s %g %+v %d", p.Sheet, p.Kind, p.Value.Nominal(), p.Rated, p.Count)
		for _, pin := range p.Pins {
			fmt.Fprintf(h, " %s=%d", pin.Name, number(pin.Net))
		}
		fmt.Fprintln(h)
		if s, ok := t.Sheets(p.Sheet); ok {
			addSheet(h, s)
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// dangles reports whether a part with two ends has one on nothing: no current
// flows through it.
func (t Bench) dangles(b *board.Board, p *board.Part) bool {
	return len(p.Pins) == 2 && (alone(b, p.Pins[0].Net) || alone(b, p.Pins[1].Net))
}

// alone reports whether nothing but one pin lies on a net.
func alone(b *board.Board, n board.NetID) bool {
	return n == board.NoNet || len(b.Nets[n].Pins) < 2 && len(b.Nets[n].Pads) == 0
}

// netNumbers numbers the nets in the order in which pads and parts that carry
// current come to them; a net that only one such part is on has none.
func (t Bench) netNumbers(b *board.Board) func(board.NetID) int {
	on := make([]int, len(b.Nets))
	for i := range b.Parts {
		if t.dangles(b, &b.Parts[i]) {
			continue
		}
		for _, pin := range b.Parts[i].Pins {
			if pin.Net != board.NoNet {
				on[pin.Net]++
			}
		}
	}
	number := map[board.NetID]int{}
	return func(n board.NetID) int {
		if n == board.NoNet || on[n] < 2 && len(b.Nets[n].Pads) == 0 {
			return -1
		}
		if _, ok := number[n]; !ok {
			number[n] = len(number)
		}
		return number[n]
	}
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
