package pattern

import (
	"fmt"
	"hash/fnv"
	"slices"
	"strings"

	"cupel/internal/board"
)

// colours tells parts apart by what surrounds them: two parts of one colour at
// depth d look alike as far as d parts around, whatever their names. It is the
// refinement of Weisfeiler and Leman (1968; from memory). Taps are all of one
// colour and never refined, so that what is alike at two cells looks alike.
func (g *Graph) colours(depth int) [][]uint64 {
	nets := make([]uint64, len(g.Board.Nets))
	for n := range nets {
		nets[n] = g.firstColour(board.NetID(n))
	}
	out := make([][]uint64, depth+1)
	for d := range out {
		out[d] = make([]uint64, len(g.kinds))
		for i := range g.kinds {
			out[d][i] = g.partColour(i, nets)
		}
		next := slices.Clone(nets)
		for n := range nets {
			if g.taps[n] == noTap {
				next[n] = g.netColour(board.NetID(n), nets[n], out[d])
			}
		}
		nets = next
	}
	return out
}

func (g *Graph) firstColour(n board.NetID) uint64 {
	if g.taps[n] != noTap {
		return hash("tap")
	}
	var pads []string
	for _, p := range g.Board.Nets[n].Pads {
		pads = append(pads, g.Board.Pads[p].Name)
	}
	slices.Sort(pads)
	return hash("net", pads)
}

func (g *Graph) partColour(i int, nets []uint64) uint64 {
	var ends []string
	for p, pin := range g.Board.Parts[i].Pins {
		colour := uint64(0)
		if n := g.net(i, p); n != board.NoNet {
			colour = nets[n]
		}
		name := pin.Name
		if twoEnded(g.kinds[i]) {
			name = ""
		}
		ends = append(ends, fmt.Sprintf("%s %x", name, colour))
	}
	slices.Sort(ends)
	return hash(string(g.kinds[i]), ends)
}

func (g *Graph) netColour(n board.NetID, was uint64, parts []uint64) uint64 {
	var pins []string
	for _, r := range g.pins[n] {
		name := g.Board.Parts[r.Part].Pins[r.Pin].Name
		if twoEnded(g.kinds[r.Part]) {
			name = ""
		}
		pins = append(pins, fmt.Sprintf("%s %x", name, parts[r.Part]))
	}
	slices.Sort(pins)
	return hash(fmt.Sprint(was), pins)
}

// similar is how much of what hangs on two nets is of the same kind, 0 to 1. Pins
// that differ in a number alone, as v2 and v3, are the same there.
func (g *Graph) similar(a, b board.NetID) float64 {
	count := map[string]int{}
	for _, r := range g.pins[a] {
		count[g.hangs(r)]++
	}
	common := 0
	for _, r := range g.pins[b] {
		if w := g.hangs(r); count[w] > 0 {
			count[w]--
			common++
		}
	}
	return float64(common) / float64(max(1, len(g.pins[a])+len(g.pins[b])-common))
}

func (g *Graph) hangs(r board.PinRef) string {
	if twoEnded(g.kinds[r.Part]) {
		return string(g.kinds[r.Part])
	}
	return string(g.kinds[r.Part]) + " " + strings.TrimRight(g.Board.Parts[r.Part].Pins[r.Pin].Name, "0123456789")
}

func hash(what string, more ...[]string) uint64 {
	h := fnv.New64a()
	fmt.Fprint(h, what, more)
	return h.Sum64()
}
