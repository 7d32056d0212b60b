package planner

import (
	"fmt"
	"math"
	"math/rand/v2"

	"cupel/internal/board"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

// mixed gives the parts of each letter other numbers and puts pads into another
// order, so that nothing can be read from either.
func mixed(s *ringout.Sample, truth strip.Truth, rng *rand.Rand) (*ringout.Sample, strip.Truth) {
	names := map[string]string{}
	number := map[byte]int{}
	for _, q := range rng.Perm(len(s.Parts)) {
		letter := s.Parts[q].Ref[0]
		number[letter]++
		names[s.Parts[q].Ref] = fmt.Sprintf("%c%d", letter, number[letter])
	}
	return reordered(s, truth, rng, func(name string) string {
		for i := len(name); i > 0; i-- {
			if new, ok := names[name[:i]]; ok && (i == len(name) || name[i] == '.') {
				return new + name[i:]
			}
		}
		return name
	})
}

// pitch is the distance of parts on a board as placed here, mm.
const pitch = 3

// placed is a sample with positions as a person lays parts out: on a grid, so
// that connections are short. Where a part is best is found by exchanging two, and
// by turning one, as long as that brings what is joined closer; pads lie around
// their part.
func placed(s *ringout.Sample, truth strip.Truth, rng *rand.Rand) *ringout.Sample {
	out := *s
	out.Pads = append([]ringout.Pad(nil), s.Pads...)
	l := newLayout(s, truth, rng)
	for range 400 * len(l.cell) {
		l.exchange(rng.IntN(len(l.cell)), rng.IntN(len(l.cell)))
		l.turn(rng.IntN(len(l.cell)))
	}
	for x := range out.Pads {
		p := l.at(x)
		out.Pads[x].At = &p
	}
	return &out
}

// layout holds which cell of the grid every group of pads is in: a part, or a
// pad of the board.
type layout struct {
	wide   int
	cell   []int // of each group
	group  []int // of each pad
	offset []ringout.Point
	pads   [][]int // of each group
	nets   map[board.NetID][]int
	truth  strip.Truth
}

func newLayout(s *ringout.Sample, truth strip.Truth, rng *rand.Rand) *layout {
	l := &layout{group: make([]int, len(s.Pads)), offset: make([]ringout.Point, len(s.Pads)), nets: map[board.NetID][]int{}, truth: truth}
	for _, p := range s.Parts {
		for i, x := range p.Pads {
			l.group[x] = len(l.pads)
			turn := 2 * math.Pi * float64(i) / float64(len(p.Pads))
			l.offset[x] = ringout.Point{X: math.Cos(turn), Y: math.Sin(turn)}
		}
		l.pads = append(l.pads, p.Pads)
	}
	for x := range s.Pads {
		if s.Pads[x].Part == ringout.NoPart {
			l.group[x] = len(l.pads)
			l.pads = append(l.pads, []int{x})
		}
		l.nets[truth[x]] = append(l.nets[truth[x]], x)
	}
	l.cell = rng.Perm(len(l.pads))
	l.wide = int(math.Ceil(math.Sqrt(float64(len(l.pads)))))
	return l
}

func (l *layout) at(x int) ringout.Point {
	c := l.cell[l.group[x]]
	return ringout.Point{X: pitch*float64(c%l.wide) + l.offset[x].X, Y: pitch*float64(c/l.wide) + l.offset[x].Y}
}

// exchange swaps two groups if that shortens their nets.
func (l *layout) exchange(a, b int) {
	before := l.span(a) + l.span(b)
	l.cell[a], l.cell[b] = l.cell[b], l.cell[a]
	if l.span(a)+l.span(b) > before {
		l.cell[a], l.cell[b] = l.cell[b], l.cell[a]
	}
}

// turn turns a group by a quarter if that shortens its nets.
func (l *layout) turn(g int) {
	before := l.span(g)
	for _, x := range l.pads[g] {
		l.offset[x].X, l.offset[x].Y = -l.offset[x].Y, l.offset[x].X
	}
	if l.span(g) > before {
		for _, x := range l.pads[g] {
			l.offset[x].X, l.offset[x].Y = l.offset[x].Y, -l.offset[x].X
		}
	}
}

// span is the sum, over the pads of a group, of the distance to the nearest pad
// of the same net.
func (l *layout) span(g int) float64 {
	sum := 0.0
	for _, x := range l.pads[g] {
		near, p := math.Inf(1), l.at(x)
		for _, y := range l.nets[l.truth[x]] {
			if l.group[y] != g {
				near = math.Min(near, p.Distance(l.at(y)))
			}
		}
		if !math.IsInf(near, 1) && l.truth[x] != board.NoNet {
			sum += near
		}
	}
	return sum
}
