package pattern

import (
	"slices"

	"cupel/internal/board"
)

// Repeat is one part of a slice with its likes in the other slices.
type Repeat struct {
	Parts []int // by cell, cell 1 first; −1 where a slice has none
}

// Slices finds what repeats from cell to cell, by shifting the board up by one
// cell: tap k falls on tap k+1, and a part on one of its kind that lies there in
// the same way. A net that falls on itself is common to all slices.
func Slices(g *Graph) []Repeat {
	s := newShift(g)
	for s.step(false) || s.step(true) {
	}
	return s.repeats()
}

// shift is the map of parts and nets to those one cell above.
type shift struct {
	g       *Graph
	colours [][]uint64
	part    []int // by part; −1
	partIn  []bool
	net     []board.NetID // by net; NoNet
	netIn   []bool
}

// lookAround is how far parts are told apart by what surrounds them.
const lookAround = 3

func newShift(g *Graph) *shift {
	s := &shift{
		g: g, colours: g.colours(lookAround), part: make([]int, len(g.kinds)), partIn: make([]bool, len(g.kinds)),
		net: make([]board.NetID, len(g.Board.Nets)), netIn: make([]bool, len(g.Board.Nets)),
	}
	for i := range s.part {
		s.part[i] = -1
	}
	for i := range s.net {
		s.net[i] = board.NoNet
	}
	for k := range g.Board.Cells {
		if a, b := g.Board.Tap(k), g.Board.Tap(k+1); a != board.NoNet && b != board.NoNet {
			s.join(a, b)
		}
	}
	return s
}

func (s *shift) join(a, b board.NetID) { s.net[a], s.netIn[b] = b, true }

// pair is a part and one that it may fall on, with the pins in order.
type pair struct {
	a, b  int
	pins  []int // of b, by pin of a
	agree int   // pins whose nets fall on each other
	clash int   // pins whose nets fall elsewhere
	alike int   // how far around they look the same
	near  int   // of 8, how much what hangs on their other nets is alike
}

func (p pair) score() int { return 16*p.agree - 48*p.clash + 4*p.alike + p.near }

// likely reports whether a pair agrees in more than a single net by chance.
func (p pair) likely() bool { return p.agree >= 2 || p.alike >= 2 || p.near >= 4 }

// step joins the pairs of parts that are best for both. Pairs with a clashing
// pin are let through only where nothing better is left.
func (s *shift) step(clashes bool) bool {
	var all []pair
	for a := range s.part {
		if s.part[a] < 0 {
			all = append(all, s.pairs(a, clashes)...)
		}
	}
	slices.SortStableFunc(all, func(x, y pair) int { return y.score() - x.score() })
	done := false
	for _, p := range all {
		if p.score() < all[0].score() || clashes && done {
			break
		}
		if s.part[p.a] >= 0 || s.partIn[p.b] {
			continue
		}
		if now, ok := s.weigh(p.a, p.b, p.pins); ok && now.score() >= p.score() {
			s.accept(now)
			done = true
		}
	}
	return done
}

// pairs lists what part a may fall on.
func (s *shift) pairs(a int, clashes bool) []pair {
	var out []pair
	for b := range s.part {
		if a == b || s.partIn[b] || s.g.kinds[a] != s.g.kinds[b] || len(s.g.Board.Parts[a].Pins) != len(s.g.Board.Parts[b].Pins) {
			continue
		}
		for _, pins := range orders(s.g, a) {
			p, ok := s.weigh(a, b, pins)
			if ok && p.likely() && (p.clash == 0 && !clashes || clashes && p.clash == 1 && p.agree >= 2) {
				out = append(out, p)
			}
		}
	}
	return out
}

// orders are the ways the pins of a part can fall on those of another.
func orders(g *Graph, a int) [][]int {
	n := len(g.Board.Parts[a].Pins)
	straight := make([]int, n)
	for i := range straight {
		straight[i] = i
	}
	if twoEnded(g.kinds[a]) && n == 2 {
		return [][]int{straight, {1, 0}}
	}
	return [][]int{straight}
}

// weigh counts how a pair agrees; it reports false for a pair that nothing but
// common nets joins: the top slice would fall on the bottom one.
func (s *shift) weigh(a, b int, pins []int) (pair, bool) {
	p := pair{a: a, b: b, pins: pins}
	open, near, moved := 0, 0., false
	for i, j := range pins {
		m, n := s.g.net(a, i), s.g.net(b, j)
		switch {
		case m == board.NoNet || n == board.NoNet:
			if m != n {
				p.clash++
			}
		case s.net[m] == n:
			p.agree++
			moved = moved || m != n
		case s.net[m] != board.NoNet || s.netIn[n] || (s.g.taps[m] == noTap) != (s.g.taps[n] == noTap):
			p.clash++
		default:
			open++
			near += s.g.similar(m, n)
		}
	}
	if open > 0 {
		p.near = int(8 * near / float64(open))
	}
	for p.alike <= lookAround && s.colours[p.alike][a] == s.colours[p.alike][b] {
		p.alike++
	}
	return p, moved
}

// accept joins a pair and the nets of its pins.
func (s *shift) accept(p pair) {
	s.part[p.a], s.partIn[p.b] = p.b, true
	for i, j := range p.pins {
		m, n := s.g.net(p.a, i), s.g.net(p.b, j)
		if m != board.NoNet && n != board.NoNet && s.net[m] == board.NoNet && !s.netIn[n] {
			s.join(m, n)
		}
	}
}

// repeats lists the rows of parts that fall on each other, by cell.
func (s *shift) repeats() []Repeat {
	level := s.levels()
	var out []Repeat
	for a := range s.part {
		if s.partIn[a] || s.part[a] < 0 {
			continue // not the lowest of a row
		}
		r := Repeat{Parts: slices.Repeat([]int{-1}, s.g.Board.Cells)}
		for k, i := level[a], a; i >= 0 && k <= s.g.Board.Cells; k, i = k+1, s.part[i] {
			r.Parts[k-1] = i
		}
		out = append(out, r)
	}
	return out
}

// levels says for the lowest part of each row which cell it belongs to: that of
// the highest tap that it, or what it hangs together with inside the slice,
// touches.
func (s *shift) levels() []int {
	net := make([]int, len(s.net)) // −1 while not known
	part := make([]int, len(s.part))
	for n := range net {
		net[n] = s.g.taps[n]
	}
	for changed := true; changed; {
		changed = false
		fresh := slices.Clone(net)
		for i := range part {
			if s.part[i] < 0 && !s.partIn[i] {
				continue
			}
			top := noTap
			for p := range s.g.Board.Parts[i].Pins {
				if n := s.g.net(i, p); n != board.NoNet {
					top = max(top, net[n])
				}
			}
			part[i] = max(top, 1)
			for p := range s.g.Board.Parts[i].Pins {
				if n := s.g.net(i, p); n != board.NoNet && top > 0 && net[n] == noTap && s.inside(n) {
					fresh[n], changed = max(fresh[n], top), true
				}
			}
		}
		net = fresh
	}
	return part
}

// inside reports whether a net belongs to one slice: it falls on another, or
// another on it.
func (s *shift) inside(n board.NetID) bool {
	return s.net[n] != board.NoNet && s.net[n] != n || s.net[n] == board.NoNet && s.netIn[n]
}
