package schematic

// Stats counts what a reader's eye has to do on a sheet.
type Stats struct {
	Parts, Nets                int
	Crossings, Bends, Overlaps int
	Names                      int
	Spare                      int // parts in a box of their own
}

// Count counts crossings and bends of wires, and what lies on each other.
func (s *Sheet) Count() Stats {
	st := Stats{Nets: len(s.Nets)}
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
	st.Crossings = len(s.crossings())
	return st
}

// segment is a straight piece of a wire.
type segment struct {
	net  int
	a, b Point // a left of or above b
}

func (s *Sheet) segments() []segment {
	var out []segment
	for _, w := range s.Wires {
		for i := 1; i < len(w.Points); i++ {
			a, b := w.Points[i-1], w.Points[i]
			if b.X < a.X || b.Y < a.Y {
				a, b = b, a
			}
			out = append(out, segment{int(w.Net), a, b})
		}
	}
	return out
}

// crossings are the places where wires of different nets cross.
func (s *Sheet) crossings() []Point {
	var level, upright []segment
	for _, g := range s.segments() {
		if g.a.Y == g.b.Y {
			level = append(level, g)
		} else {
			upright = append(upright, g)
		}
	}
	var out []Point
	for _, h := range level {
		for _, v := range upright {
			if h.net != v.net && v.a.X > h.a.X && v.a.X < h.b.X && h.a.Y > v.a.Y && h.a.Y < v.b.Y {
				out = append(out, Point{v.a.X, h.a.Y})
			}
		}
	}
	return out
}
