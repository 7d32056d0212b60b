package pattern

import (
	"slices"
	"strconv"

	"cupel/internal/board"
	"cupel/internal/catalog"
)

// Match is one place on a board that is wired as a pattern says.
type Match struct {
	Pattern *Pattern
	Parts   map[string][]int // part indexes by variable; a "maybe" may have none or several
	Nets    map[string]board.NetID
	Cell    int // 0: of no one cell
}

// Labels are the marks that patterns left on the nets of a board.
type Labels map[board.NetID][]string

// has reports whether a net carries a label.
func (l Labels) has(n board.NetID, label string) bool { return slices.Contains(l[n], label) }

// add puts a label on a net and reports whether it is new there.
func (l Labels) add(n board.NetID, label string) bool {
	if l.has(n, label) {
		return false
	}
	l[n] = append(l[n], label)
	return true
}

// Find lists the places of the graph where p is, given the labels so far, each
// once, in the order of the board's parts.
func Find(g *Graph, p *Pattern, labels Labels) []Match {
	s := &search{g: g, p: p, labels: labels, parts: make([]int, len(p.Parts)), nets: make([]board.NetID, len(p.nets))}
	for i := range s.parts {
		s.parts[i] = -1
	}
	for i := range s.nets {
		s.nets[i] = board.NoNet
	}
	s.order = s.plan()
	s.extend(0, p.Cell)
	return s.out
}

// search is one backtracking search.
type search struct {
	g      *Graph
	p      *Pattern
	labels Labels
	order  []int // of the part variables that must be there
	parts  []int // by variable; −1 while open
	nets   []board.NetID
	out    []Match
}

// plan orders the part variables: the rarest kind first, then along nets that
// are known by then.
func (s *search) plan() []int {
	count := map[catalog.Kind]int{}
	for _, k := range s.g.kinds {
		count[k]++
	}
	known, done := map[int]bool{}, map[int]bool{}
	var order []int
	for {
		best, least := -1, 0
		for i, v := range s.p.Parts {
			if v.Optional || done[i] {
				continue
			}
			cost := count[v.Kind]
			if !slices.ContainsFunc(v.Pins, func(p PinVar) bool { return known[p.Net] }) {
				cost += len(s.g.kinds) // no net leads there yet
			}
			if best < 0 || cost < least {
				best, least = i, cost
			}
		}
		if best < 0 {
			return order
		}
		done[best] = true
		order = append(order, best)
		for _, pin := range s.p.Parts[best].Pins {
			known[pin.Net] = true
		}
	}
}

// extend binds the depth-th part variable in every way there is.
func (s *search) extend(depth, cell int) {
	if depth == len(s.order) {
		s.complete(cell)
		return
	}
	i := s.order[depth]
	v := &s.p.Parts[i]
	for _, part := range s.candidates(v) {
		if slices.Contains(s.parts, part) {
			continue
		}
		s.parts[i] = part
		for _, pins := range s.ways(v, part) {
			was := slices.Clone(s.nets)
			if s.bind(v, part, pins) {
				if k, ok := s.holds(cell); ok {
					s.extend(depth+1, k)
				}
			}
			copy(s.nets, was)
		}
		s.parts[i] = -1
	}
}

// candidates lists the parts that can stand for v: those on a net that is
// known, or all of the kind.
func (s *search) candidates(v *PartVar) []int {
	var out []int
	for _, pin := range v.Pins {
		if n := s.nets[pin.Net]; n != board.NoNet {
			for _, ref := range s.g.pins[n] {
				if s.fits(v, ref.Part) && !slices.Contains(out, ref.Part) {
					out = append(out, ref.Part)
				}
			}
			slices.Sort(out)
			return out
		}
	}
	for i := range s.g.kinds {
		if s.fits(v, i) {
			out = append(out, i)
		}
	}
	return out
}

func (s *search) fits(v *PartVar, part int) bool {
	if s.g.kinds[part] != v.Kind {
		return false
	}
	x := s.g.value[part]
	return v.Low == 0 && x != x || x >= v.Low && x <= v.High
}

// ways lists the pins of the part that the pins of v can be: one way, or two
// where the ends can be exchanged.
func (s *search) ways(v *PartVar, part int) [][]int {
	b := &s.g.Board.Parts[part]
	if twoEnded(v.Kind) {
		if len(b.Pins) != 2 {
			return nil
		}
		return [][]int{{0, 1}, {1, 0}}
	}
	pins := make([]int, len(v.Pins))
	for i, want := range v.Pins {
		pins[i] = slices.IndexFunc(b.Pins, func(p board.Pin) bool { return p.Name == want.Pin })
		if pins[i] < 0 {
			return nil
		}
	}
	return [][]int{pins}
}

// bind puts the nets of a part's pins on the variables; two variables never
// share a net.
func (s *search) bind(v *PartVar, part int, pins []int) bool {
	for i, want := range v.Pins {
		n := s.g.net(part, pins[i])
		switch have := s.nets[want.Net]; {
		case n == board.NoNet:
			return false
		case have == n:
		case have != board.NoNet || slices.Contains(s.nets, n):
			return false
		default:
			s.nets[want.Net] = n
		}
	}
	return true
}

// holds checks the conditions on nets that are known, and finds the cell.
func (s *search) holds(cell int) (int, bool) {
	for i := range s.p.Conds {
		c := &s.p.Conds[i]
		n := s.nets[c.Nets[0]]
		if n == board.NoNet {
			continue
		}
		ok := true
		switch c.Kind {
		case CondTap:
			cell, ok = s.tap(c.Word, s.g.taps[n], cell)
		case CondPad:
			ok = s.g.hasPad(n, c.Pads...)
		case CondLabel:
			ok = s.labels.has(n, c.Word)
		case CondInner:
			ok = !s.g.hasPad(n)
		}
		if !ok {
			return cell, false
		}
	}
	return cell, true
}

// tap compares a net's tap with a word and finds the cell if the word speaks of
// it.
func (s *search) tap(word string, tap, cell int) (int, bool) {
	if tap == noTap {
		return cell, false
	}
	switch word {
	case "any":
		return cell, true
	case "top":
		return cell, tap == s.g.Board.Cells
	case "k", "k-1", "k+1":
		k := tap + map[string]int{"k": 0, "k-1": 1, "k+1": -1}[word]
		return k, k >= 1 && k <= s.g.Board.Cells && (cell == 0 || cell == k)
	}
	n, err := strconv.Atoi(word)
	return cell, err == nil && tap == n
}
