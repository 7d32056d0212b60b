package planner

import (
	"fmt"
	"math"

	"cupel/internal/ringout"
)

// find asks the most probable join, unless none is worth a touch.
func (p *Planner) find(c *ringout.Copper) (Ask, bool) {
	v := p.look(c)
	b := p.believe(v)
	g, ok := b.best()
	if a, better := b.group(g.chance); better {
		return a, true
	}
	if !ok || g.chance < p.opt.Luck {
		return Ask{}, false
	}
	return b.ask(g, Find), true
}

// best is the most probable guess. What speaks for joining two nets counts as
// independent when it comes from different pads of the one; of the views from
// both nets the stronger holds. Equal chances go to what settles more pairs, then
// to the first by name.
func (b *belief) best() (guess, bool) {
	var best guess
	s := newSum(len(b.pads))
	s.index(b)
	for n := range b.pads {
		s.from(b, n)
		for _, m := range s.touched {
			g := guess{min(n, m), max(n, m), round(s.chance[m] * b.possible(n, m)), s.why[m]}
			if b.better(g, best) {
				best = g
			}
		}
	}
	return best, best.chance > 0
}

func (b *belief) better(x, y guess) bool {
	switch {
	case x.chance != y.chance:
		return x.chance > y.chance
	case x.chance == 0:
		return false
	case b.settles(x) != b.settles(y):
		return b.settles(x) > b.settles(y)
	case x.a != y.a:
		return x.a < y.a
	}
	return x.b < y.b
}

// sum gathers what speaks for joining one net with each other.
type sum struct {
	chance  []float64
	top     []float64
	why     []why
	touched []int
	direct  []*guess // by the nets they speak of, in the order they were made
	end     []int    // of each net, where its guesses end in direct
}

func newSum(nets int) *sum {
	return &sum{chance: make([]float64, nets), top: make([]float64, nets), why: make([]why, nets)}
}

func (s *sum) from(b *belief, n int) {
	for _, m := range s.touched {
		s.chance[m], s.top[m] = 0, 0
	}
	s.touched = s.touched[:0]
	for _, x := range b.pads[n] {
		if b.odds.stands[x] {
			for i := range b.odds.of[x] {
				c := &b.odds.of[x][i]
				s.add(c.net, c.p, c.why)
			}
		}
	}
	begin := 0
	if n > 0 {
		begin = s.end[n-1]
	}
	for _, g := range s.direct[begin:s.end[n]] {
		s.add(g.a+g.b-n, g.chance, g.why)
	}
}

// index sorts the direct guesses by both their nets.
func (s *sum) index(b *belief) {
	s.end = make([]int, len(b.pads))
	for i := range b.direct {
		s.end[b.direct[i].a]++
		s.end[b.direct[i].b]++
	}
	all := 0
	for n, k := range s.end { // where each net's guesses begin; filling moves it to the end
		s.end[n] = all
		all += k
	}
	s.direct = make([]*guess, all)
	for i := range b.direct {
		g := &b.direct[i]
		for _, n := range []int{g.a, g.b} {
			s.direct[s.end[n]] = g
			s.end[n]++
		}
	}
}

func (s *sum) add(m int, p float64, y why) {
	if p <= 0 {
		return
	}
	if s.top[m] == 0 {
		s.touched = append(s.touched, m)
	}
	if p > s.top[m] {
		s.top[m], s.why[m] = p, y
	}
	s.chance[m] = 1 - (1-s.chance[m])*(1-math.Min(p, 0.99))
}

// round takes off what the order of summing may have changed.
func round(p float64) float64 { return math.Round(p*1e9) / 1e9 }

func (b *belief) settles(g guess) int { return len(b.pads[g.a]) * len(b.pads[g.b]) }

// ask words a guess as a question.
func (b *belief) ask(g guess, s Stage) Ask {
	return Ask{
		Kind: ringout.Pair, A: b.landing(g.a), B: []int{b.landing(g.b)}, Stage: s, Chance: g.chance,
		Settles: b.settles(g), Because: b.words(g.why),
	}
}

// words say where a guess comes from.
func (v *view) words(y why) string {
	switch y.source {
	case bySlice:
		ref := v.parts[y.part].ref
		return fmt.Sprintf("%s would lie here as %s does %d cells away", ref, ref, y.by)
	case byCompany:
		return "no convention fits; this net is the likeliest by what such pins were found with"
	}
	return ruleText[y.source]
}

// landing is where to probe a net: the pad that has a clip, else the first.
func (v *view) landing(n int) int {
	if x := v.clip[n]; x != none {
		return x
	}
	return v.pads[n][0]
}
