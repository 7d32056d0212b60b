package pattern

import (
	"slices"

	"cupel/internal/board"
)

// complete adds the parts that may be missing, checks what only a whole match
// can tell, and keeps it.
func (s *search) complete(cell int) {
	m := Match{Pattern: s.p, Parts: map[string][]int{}, Nets: map[string]board.NetID{}, Cell: cell}
	for i, v := range s.p.Parts {
		if !v.Optional {
			m.Parts[v.Name] = []int{s.parts[i]}
		}
	}
	for i, name := range s.p.nets {
		m.Nets[name] = s.nets[i]
	}
	for i := range s.p.Parts {
		if v := &s.p.Parts[i]; v.Optional {
			m.Parts[v.Name] = s.extras(v, &m)
		}
	}
	for i := range s.p.Conds {
		if !s.whole(&s.p.Conds[i], &m) {
			return
		}
	}
	s.out = append(s.out, m)
}

// extras lists every part that can stand for an optional variable.
func (s *search) extras(v *PartVar, m *Match) []int {
	var out []int
	for _, part := range s.candidates(v) {
		if m.holds(part) {
			continue
		}
		for _, pins := range s.ways(v, part) {
			if s.lies(v, part, pins) {
				out = append(out, part)
				break
			}
		}
	}
	return out
}

// lies reports whether the pins of a part lie on the nets that v says.
func (s *search) lies(v *PartVar, part int, pins []int) bool {
	for i, want := range v.Pins {
		if s.g.net(part, pins[i]) != s.nets[want.Net] {
			return false
		}
	}
	return true
}

// holds reports whether a part belongs to the match.
func (m *Match) holds(part int) bool {
	for _, parts := range m.Parts {
		if slices.Contains(parts, part) {
			return true
		}
	}
	return false
}

// whole checks a condition that only a whole match can tell.
func (s *search) whole(c *Cond, m *Match) bool {
	switch c.Kind {
	case CondLone:
		n := s.nets[c.Nets[0]]
		return !s.g.hasPad(n) && !slices.ContainsFunc(s.g.pins[n], func(r board.PinRef) bool { return !m.holds(r.Part) })
	case CondAbsent:
		a, b := s.nets[c.Nets[0]], s.nets[c.Nets[1]]
		return !slices.ContainsFunc(s.g.pins[a], func(r board.PinRef) bool {
			return (c.Part == "" || s.g.kinds[r.Part] == c.Part) && !m.holds(r.Part) && s.g.touches(r.Part, b)
		})
	}
	return true
}

// touches reports whether a part has a pin on a net.
func (g *Graph) touches(part int, n board.NetID) bool {
	return slices.ContainsFunc(g.Board.Parts[part].Pins, func(p board.Pin) bool { return p.Net == n })
}
