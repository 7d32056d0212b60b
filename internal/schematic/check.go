package schematic

import (
	"cmp"
	"fmt"
	"slices"

	"cupel/internal/board"
)

// Stats counts what a reader's eye has to do on a sheet.
type Stats struct {
	Parts, Nets                int
	Crossings, Bends, Overlaps int
	Names                      int // of nets, where a wire ends in one
	Spare                      int // parts in a box of their own
}

// Count counts crossings and bends of wires, and what lies on each other.
func (s *Sheet) Count() Stats {
	st := Stats{Nets: len(s.Nets), Overlaps: len(s.Overlaps()), Spare: len(s.Unplaced())}
	for i := range s.Symbols {
		if s.Symbols[i].Part != NoPart {
			st.Parts++
		}
	}
	for _, n := range s.Names {
		if n.Kind != Tag {
			st.Names++
		}
	}
	for _, w := range s.Wires {
		st.Bends += max(0, len(w.Points)-2)
	}
	st.Crossings = len(s.Crossings())
	return st
}

// segment is a straight piece of a wire, or the lead of a pin.
type segment struct {
	net  board.NetID
	a, b Point // a left of or above b
	lead bool
}

func (g segment) level() bool { return g.a.Y == g.b.Y }

// segments lists the pieces of all wires, and the leads if asked for.
func (s *Sheet) segments(leads bool) []segment {
	var out []segment
	add := func(n board.NetID, a, b Point, lead bool) {
		if b.X < a.X || b.Y < a.Y {
			a, b = b, a
		}
		out = append(out, segment{n, a, b, lead})
	}
	for _, w := range s.Wires {
		for i := 1; i < len(w.Points); i++ {
			add(w.Net, w.Points[i-1], w.Points[i], false)
		}
	}
	for i := range s.Symbols {
		if sym := &s.Symbols[i]; leads && sym.Shape != Cell {
			for _, p := range sym.Pins {
				add(p.Net, p.At, p.Root, true)
			}
		}
	}
	slices.SortFunc(out, func(a, b segment) int {
		return cmp.Or(a.a.X-b.a.X, a.a.Y-b.a.Y, a.b.X-b.b.X, a.b.Y-b.b.Y, int(a.net-b.net))
	})
	return out
}

// Crossings are the places where wires of different nets cross.
func (s *Sheet) Crossings() []Point {
	var out []Point
	pairs(s.segments(false), func(g, h segment) {
		if g.level() == h.level() || g.net == h.net {
			return
		}
		if !g.level() {
			g, h = h, g
		}
		if h.a.X > g.a.X && h.a.X < g.b.X && g.a.Y > h.a.Y && g.a.Y < h.b.Y {
			out = append(out, Point{h.a.X, g.a.Y})
		}
	})
	return out
}

// pairs calls do for each two segments, sorted by their left ends, that have
// some x in common.
func pairs(all []segment, do func(g, h segment)) {
	for i, g := range all {
		for _, h := range all[i+1:] {
			if h.a.X > g.b.X {
				break
			}
			do(g, h)
		}
	}
}

// touch reports whether two segments have a point in common that is not a mere
// crossing of their insides.
func touch(g, h segment) bool {
	if g.b.X < h.a.X || h.b.X < g.a.X || g.b.Y < h.a.Y || h.b.Y < g.a.Y {
		return false
	}
	if g.level() == h.level() {
		return true
	}
	if !g.level() {
		g, h = h, g
	}
	crosses := h.a.X > g.a.X && h.a.X < g.b.X && g.a.Y > h.a.Y && g.a.Y < h.b.Y
	return !crosses || g.lead || h.lead
}

// thing is a rectangle that nothing may lie on.
type thing struct {
	r    Rect
	name string
	sym  int  // the symbol it belongs to; −1 if to none
	body bool // of that symbol
}

// things lists bodies and texts, by their left sides.
func (s *Sheet) things() []thing {
	var out []thing
	for i := range s.Symbols {
		sym := &s.Symbols[i]
		out = append(out, thing{sym.Body, sym.Ref, i, true})
		for _, l := range sym.Label {
			out = append(out, thing{l.Box, "text " + l.Text + " of " + sym.Ref, i, false})
		}
		for _, p := range sym.Pins {
			if p.Text.Text != "" {
				out = append(out, thing{p.Text.Box, "pin name " + p.Text.Text + " of " + sym.Ref, i, false})
			}
		}
	}
	for _, n := range s.Names {
		out = append(out, thing{n.Box, "name " + n.Line.Text, -1, false})
	}
	for _, t := range s.Texts {
		out = append(out, thing{t.Box, "text " + t.Text, -1, false})
	}
	slices.SortStableFunc(out, func(a, b thing) int { return a.r.Min.X - b.r.Min.X })
	return out
}

// Overlaps says what lies on each other: texts, symbols, wires of different
// nets, wires on texts and symbols.
func (s *Sheet) Overlaps() []string {
	var out []string
	all := s.things()
	for i, a := range all {
		for _, b := range all[i+1:] {
			if b.r.Min.X >= a.r.Max.X {
				break
			}
			inside := a.sym == b.sym && a.sym >= 0 && (a.body || b.body) && s.Symbols[a.sym].Shape == IC
			if !inside && a.r.Overlaps(b.r) {
				out = append(out, fmt.Sprintf("%s lies on %s", a.name, b.name))
			}
		}
	}
	segs := s.segments(true)
	for _, t := range all {
		for _, g := range segs {
			if g.a.X >= t.r.Max.X {
				break
			}
			if t.r.Cut(g.a, g.b) {
				out = append(out, fmt.Sprintf("a wire of net %d runs through %s", g.net, t.name))
			}
		}
	}
	pairs(segs, func(g, h segment) {
		if g.net != h.net && touch(g, h) {
			out = append(out, fmt.Sprintf("wires of nets %d and %d touch near %v", g.net, h.net, h.a))
		}
	})
	return out
}

// Unplaced lists the parts that stand in a box of their own, in no function.
func (s *Sheet) Unplaced() []string {
	var out []string
	for i := range s.Symbols {
		for _, b := range s.Boxes {
			if s.Symbols[i].Part != NoPart && b.Rect.Overlaps(s.Symbols[i].Body) {
				out = append(out, s.Symbols[i].Ref)
			}
		}
	}
	return out
}
