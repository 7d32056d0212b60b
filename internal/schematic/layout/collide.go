package layout

import (
	"slices"

	"cupel/internal/schematic"
)

// occupant is what a placed thing takes, and the symbol to move if it must go;
// −1 where there is none.
type occupant struct {
	r      schematic.Rect
	symbol int
	pin    bool
	net    int
}

// collisions lists the parts that must move because what belongs to them lies
// on something else. Layout keeps its own things apart; this is for boards
// that are drawn nowhere else like that: a part across two rails that are one
// net, a bank in a loop.
func (d *drawing) collisions() []int {
	out := d.misdrawn()
	all := d.occupants()
	slices.SortStableFunc(all, func(a, b occupant) int { return a.r.Min.X - b.r.Min.X })
	for i, a := range all {
		for _, b := range all[i+1:] {
			if b.r.Min.X >= a.r.Max.X {
				break
			}
			if a.symbol == b.symbol && a.symbol >= 0 || !a.r.Overlaps(b.r) || a.pin && b.pin && a.net == b.net {
				continue
			}
			if p := d.mover(a.symbol, b.symbol); p >= 0 && !slices.Contains(out, p) {
				out = append(out, p)
			}
		}
	}
	return out
}

// misdrawn lists the parts that were given two places, and the ICs with pins
// beyond their box.
func (d *drawing) misdrawn() []int {
	var out []int
	seen := map[int]bool{}
	for i := range d.symbols {
		s := &d.symbols[i]
		if s.Part < 0 || s.area == spare {
			continue
		}
		beyond := s.Shape == schematic.IC && slices.ContainsFunc(s.Pins, func(p schematic.Pin) bool { return !within(s.Body, p.Root) })
		if (seen[s.Part] || beyond) && !slices.Contains(out, s.Part) {
			out = append(out, s.Part)
		}
		seen[s.Part] = true
	}
	return out
}

// mover is the part of the later of two symbols that is not in the box yet.
func (d *drawing) mover(a, b int) int {
	for _, i := range []int{max(a, b), min(a, b)} {
		if i >= 0 && d.symbols[i].Part >= 0 && d.symbols[i].area != spare {
			return d.symbols[i].Part
		}
	}
	return schematic.NoPart
}

func (d *drawing) occupants() []occupant {
	var out []occupant
	owner := map[schematic.Point]int{}
	for i := range d.symbols {
		s := &d.symbols[i]
		out = append(out, occupant{r: s.Body.Grow(clearance), symbol: i})
		for _, l := range s.Label {
			out = append(out, occupant{r: l.Box, symbol: i})
		}
		if s.Shape == schematic.Cell {
			continue
		}
		for _, p := range s.Pins {
			owner[p.At] = i
			out = append(out, occupant{r: schematic.Rect{Min: p.At, Max: p.At.Add(schematic.Point{X: 1, Y: 1})}, symbol: i, pin: true, net: int(p.Net)})
		}
	}
	for i := range d.names {
		n := &d.names[i]
		symbol, ok := owner[n.At]
		if !ok {
			symbol = -1
		}
		out = append(out, occupant{r: n.Box, symbol: symbol})
	}
	return out
}
