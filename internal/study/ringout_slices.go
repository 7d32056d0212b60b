package study

import (
	"fmt"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board"
	"cupel/internal/board/pattern"
	"cupel/internal/dossier"
	"cupel/internal/ringout/session"
)

// eitherWay ends every difference of slices that readings show.
const eitherWay = ": tracing error or real difference"

// sliceDifferences lists where the slices of a board differ in their wiring, as
// far as they are rung out: of parts with all pins found.
func sliceDifferences(d *dossier.Dossier, s *session.Session) answer.List[answer.SliceDifference] {
	named := s.Copper().Netlist(make([]string, len(s.Sample().Pads)))
	b := rung(d, s.Sample(), netOfPads(named, len(s.Sample().Pads)), named)
	g := pattern.NewGraph(b, d.Sheets.Sheet)
	rows := pattern.Slices(g)
	var out answer.List[answer.SliceDifference]
	for _, x := range pattern.Differences(g, rows) {
		if x.Part < 0 || strings.HasPrefix(x.Text, "is ") || !found(b, x.Like) || !found(b, x.Part) {
			continue // what is missing is looked for below; another value or sheet no reading shows
		}
		out = append(out, answer.SliceDifference{
			Cell: x.Cell, Part: answer.Text(b.Parts[x.Part].Ref), Like: b.Parts[x.Like].Ref, Text: x.Text + eitherWay,
		})
	}
	return append(out, newClimb(b, rows).missing()...)
}

// found reports whether every pin of a part is joined with something.
func found(b *board.Board, part int) bool {
	return !slices.ContainsFunc(b.Parts[part].Pins, func(p board.Pin) bool { return p.Net == board.NoNet })
}

// netMap says on which net of the slice above a net of a slice falls.
type netMap map[board.NetID]board.NetID

// climb follows nets from slice to slice, by the parts that were found to repeat.
type climb struct {
	board *board.Board
	rows  []pattern.Repeat
	up    []netMap     // from cell k+1 to the one above
	below map[int]bool // parts that have their like in the slice below
	// common are nets that fall on themselves: lines that all slices share.
	common map[board.NetID]bool
}

func newClimb(b *board.Board, rows []pattern.Repeat) *climb {
	c := &climb{board: b, rows: rows, below: map[int]bool{}, common: map[board.NetID]bool{}}
	for k := range b.Cells - 1 {
		c.up = append(c.up, netMap{b.Tap(k): b.Tap(k + 1), b.Tap(k + 1): b.Tap(k + 2)})
	}
	const rounds = 4 // one end of a part tells the other, which tells the next part's
	for range rounds {
		for _, r := range rows {
			for k := range len(r.Parts) - 1 {
				if lo, hi := r.Parts[k], r.Parts[k+1]; lo >= 0 && hi >= 0 {
					c.below[hi] = true
					c.up[k].learn(&b.Parts[lo], &b.Parts[hi])
				}
			}
		}
	}
	for _, m := range c.up {
		for net, next := range m {
			if net == next {
				c.common[net] = true
			}
		}
	}
	return c
}

// learn takes down how the nets of two parts fall on each other. A part with two
// ends lies the way that an end says of which it is known.
func (m netMap) learn(lo, hi *board.Part) {
	n := len(lo.Pins)
	if len(hi.Pins) != n {
		return
	}
	first := 0
	if n == 2 {
		switch {
		case m.falls(lo, 0, hi, 0) || m.falls(lo, 1, hi, 1):
		case m.falls(lo, 0, hi, 1) || m.falls(lo, 1, hi, 0):
			first = 1
		default:
			return
		}
	}
	for i := range lo.Pins {
		if net := lo.Pins[i].Net; net != board.NoNet {
			if _, ok := m[net]; !ok {
				m[net] = hi.Pins[(i+first)%n].Net
			}
		}
	}
}

func (m netMap) falls(lo *board.Part, i int, hi *board.Part, j int) bool {
	net, ok := m[lo.Pins[i].Net]
	return ok && net == hi.Pins[j].Net
}

// missing looks for the parts that rows lack in the slices above.
func (c *climb) missing() answer.List[answer.SliceDifference] {
	var out answer.List[answer.SliceDifference]
	for _, r := range c.rows {
		like, at := -1, 0
		for k, i := range r.Parts {
			if i >= 0 {
				like, at = i, k
				continue
			}
			if like < 0 || !found(c.board, like) {
				continue
			}
			if x, ok := c.instead(like, at, k); ok {
				out = append(out, x)
			}
		}
	}
	return out
}

// instead says what lies in slice k+1 where the like of a part of slice at+1 would;
// false if that is where it belongs, or may yet be found.
func (c *climb) instead(like, at, k int) (answer.SliceDifference, bool) {
	b, p := c.board, &c.board.Parts[like]
	x := answer.SliceDifference{Cell: k + 1, Like: p.Ref}
	want, private := c.expected(p, at, k)
	best, hits, turned := -1, 0, false
	for i := range b.Parts {
		q := &b.Parts[i]
		switch {
		case q.Sheet != p.Sheet || q.Kind != p.Kind || len(q.Pins) != len(p.Pins):
			continue
		case !found(b, i):
			return x, false
		case c.below[i] || i == like:
			continue
		}
		for _, t := range []bool{false, true} {
			if n := matches(q, want, private, t); n > hits && (!t || len(want) == 2) {
				best, hits, turned = i, n, t
			}
		}
	}
	if best < 0 {
		x.Text = "has no part like " + p.Ref + eitherWay
		return x, len(private) > 0
	}
	for j := range want {
		pin := b.Parts[best].Pins[turn(j, len(want), turned)]
		if want[j] != board.NoNet && pin.Net != want[j] {
			x.Part = answer.Text(b.Parts[best].Ref)
			x.Text = fmt.Sprintf("pin %s lies on %s, as %s lies it would on %s%s", pin.Name, b.Nets[pin.Net].Name, p.Ref, b.Nets[want[j]].Name, eitherWay)
			return x, true
		}
	}
	return x, false
}

func turn(j, n int, turned bool) int {
	if turned {
		return n - 1 - j
	}
	return j
}

// expected are the nets on which the pins of a part would lie some slices further
// up, NoNet where that is not known; private are those of them that are of one
// slice only, and so tell a part of it.
func (c *climb) expected(p *board.Part, at, k int) (want []board.NetID, private map[board.NetID]bool) {
	private = map[board.NetID]bool{}
	for _, pin := range p.Pins {
		net, known, moved := pin.Net, true, false
		for s := at; s < k && known; s++ {
			var next board.NetID
			if next, known = c.up[s][net]; known {
				moved = moved || next != net
				net = next
			}
			known = known || c.common[net]
		}
		if !known {
			net = board.NoNet
		}
		want = append(want, net)
		if known && moved {
			private[net] = true
		}
	}
	return want, private
}

// matches counts the pins that lie on the nets wanted, none if no private net is
// among them.
func matches(q *board.Part, want []board.NetID, private map[board.NetID]bool, turned bool) int {
	n, own := 0, false
	for j, net := range want {
		if net != board.NoNet && q.Pins[turn(j, len(want), turned)].Net == net {
			n++
			own = own || private[net]
		}
	}
	if !own {
		return 0
	}
	return n
}
