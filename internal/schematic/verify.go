package schematic

import (
	"fmt"

	"cupel/internal/board"
)

// Verify holds a sheet against its board and says where it tells something
// else: a part or pin that is missing or on another net, a piece of a net that
// neither hangs together with the rest nor carries the net's name, a junction
// without its dot or a dot without its junction.
func (s *Sheet) Verify(b *board.Board) []string {
	out := s.verifyParts(b)
	out = append(out, s.verifyNets()...)
	return append(out, s.verifyDots()...)
}

func (s *Sheet) verifyParts(b *board.Board) []string {
	var out []string
	drawn := make([]int, len(b.Parts))
	for i := range s.Symbols {
		sym := &s.Symbols[i]
		if sym.Part == NoPart {
			continue
		}
		p := &b.Parts[sym.Part]
		drawn[sym.Part]++
		if len(sym.Pins) != len(p.Pins) {
			out = append(out, fmt.Sprintf("%s has %d pins, %d are drawn", p.Ref, len(p.Pins), len(sym.Pins)))
			continue
		}
		for k, pin := range sym.Pins {
			if pin.Name != p.Pins[k].Name || pin.Net != p.Pins[k].Net {
				out = append(out, fmt.Sprintf("%s.%s is drawn as %s on net %d", p.Ref, p.Pins[k].Name, pin.Name, pin.Net))
			}
		}
	}
	for i, n := range drawn {
		if n != 1 {
			out = append(out, fmt.Sprintf("%s is drawn %d times", b.Parts[i].Ref, n))
		}
	}
	return out
}

// verifyNets looks for pieces of nets that no name joins.
func (s *Sheet) verifyNets() []string {
	var out []string
	for n, p := range s.pieces() {
		if len(p) < 2 {
			continue
		}
		for _, piece := range p {
			if !piece.named {
				out = append(out, fmt.Sprintf("net %s: the piece at %v has no name", s.Nets[n].Name, piece.at))
			}
		}
	}
	return out
}

// piece is what hangs together of a net.
type piece struct {
	at    Point
	named bool
	pins  int
}

// pieces follows the wires of each net. Pieces without pins do not count: they
// are ends of rails.
func (s *Sheet) pieces() [][]piece {
	byNet := make([][]segment, len(s.Nets))
	for _, g := range s.segments(true) {
		if g.net != board.NoNet {
			byNet[g.net] = append(byNet[g.net], g)
		}
	}
	out := make([][]piece, len(s.Nets))
	for n, segs := range byNet {
		group := joined(segs)
		pieces := map[int]*piece{}
		var order []int
		for i, g := range segs {
			p := pieces[group[i]]
			if p == nil {
				p = &piece{at: g.a}
				pieces[group[i]] = p
				order = append(order, group[i])
			}
			if g.lead {
				p.pins++
			}
			for _, name := range s.Names {
				if int(name.Net) == n && on(name.At, g) {
					p.named = true
				}
			}
		}
		for _, k := range order {
			if pieces[k].pins > 0 {
				out[n] = append(out[n], *pieces[k])
			}
		}
	}
	return out
}

func on(p Point, g segment) bool {
	return p.X >= g.a.X && p.X <= g.b.X && p.Y >= g.a.Y && p.Y <= g.b.Y
}

// joined numbers segments by what hangs together.
func joined(segs []segment) []int {
	group := make([]int, len(segs))
	for i := range group {
		group[i] = i
	}
	find := func(i int) int {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	for i := range segs {
		for j := i + 1; j < len(segs) && segs[j].a.X <= segs[i].b.X; j++ {
			if touch(segs[i], segs[j]) {
				group[find(j)] = find(i)
			}
		}
	}
	for i := range group {
		group[i] = find(i)
	}
	return group
}

// verifyDots counts the ends that meet at each place.
func (s *Sheet) verifyDots() []string {
	type place struct {
		net board.NetID
		at  Point
	}
	ends := map[place]int{}
	segs := s.segments(true)
	for _, g := range segs {
		ends[place{g.net, g.a}]++
		if g.a != g.b {
			ends[place{g.net, g.b}]++
		}
	}
	for _, n := range s.Names {
		if n.Kind != Tag {
			ends[place{n.Net, n.At}]++
		}
	}
	dots := map[place]bool{}
	for _, j := range s.Junctions {
		dots[place{j.Net, j.At}] = true
	}
	var out []string
	for p, n := range ends {
		if p.net != board.NoNet && n >= 3 && !dots[p] {
			out = append(out, fmt.Sprintf("net %s: %d ends meet at %v without a dot", s.Nets[p.net].Name, n, p.at))
		}
	}
	for p := range dots {
		if ends[p] < 3 {
			out = append(out, fmt.Sprintf("net %s: a dot at %v where %d ends meet", s.Nets[p.net].Name, p.at, ends[p]))
		}
	}
	return out
}
