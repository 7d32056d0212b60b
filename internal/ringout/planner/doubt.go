package planner

import (
	"fmt"
	"math"
	"slices"

	"cupel/internal/ringout"
)

// With a meter that errs one reading proves nothing. A net is believed once every
// way to cut it in two is crossed by so many more beeps than open readings that
// chance will hardly have made them; and two nets are believed apart after as many
// open readings. Different pairs across a cut count as much as one pair repeated,
// so one reading can strengthen two pads at once.

// need is by how many readings a join or a split must be backed.
func (p *Planner) need() int {
	e := p.opt.ErrorRate
	if e <= 0 {
		return 1
	}
	return max(2, int(math.Ceil(math.Log(p.opt.Doubt)/math.Log(e/(1-e)))))
}

// assumedBeeps is how many beeps the assumption counts for that the pads of one
// pin are joined. A guess, no source.
const assumedBeeps = 2

// strengthen asks for a pair across the weakest cut of a net that is not backed
// enough.
func (p *Planner) strengthen(c *ringout.Copper) (Ask, bool) {
	if p.opt.ErrorRate <= 0 {
		return Ask{}, false
	}
	v := p.look(c)
	for _, pads := range v.pads {
		if len(pads) < 2 {
			continue
		}
		w := v.backing(pads)
		side, cut := weakestCut(w)
		if cut >= p.need() {
			continue
		}
		x, y, ok := v.across(pads, w, side)
		if !ok {
			continue
		}
		return Ask{
			Kind: ringout.Pair, A: x, B: []int{y}, Stage: Confirm, Chance: 1 - p.opt.ErrorRate, Settles: 1,
			Because: fmt.Sprintf("only %d of %d readings hold this net together here, and readings can be wrong", max(0, cut), p.need()),
		}, true
	}
	return Ask{}, false
}

// backing is by how many readings each pair of pads is joined.
func (v *view) backing(pads []int) [][]int {
	w := make([][]int, len(pads))
	for i := range w {
		w[i] = make([]int, len(pads))
	}
	for i, x := range pads {
		for k, y := range pads[:i] {
			m := max(0, v.copper.Margin(v.native[x], v.native[y]))
			if v.Planner.pads[x].twin == v.Planner.pads[y].twin {
				m += assumedBeeps
			}
			w[i][k], w[k][i] = m, m
		}
	}
	return w
}

// across picks the pair over a cut that strengthens most: of each side the pad
// with the least behind it. Pairs that were read apart are for [Planner.clear].
func (v *view) across(pads []int, w [][]int, side []bool) (x, y int, ok bool) {
	degree := make([]int, len(pads))
	for i := range w {
		for _, m := range w[i] {
			degree[i] += m
		}
	}
	best := math.MaxInt
	for i := range pads {
		for k := range pads {
			if !side[i] || side[k] || v.copper.Margin(v.native[pads[i]], v.native[pads[k]]) < 0 {
				continue
			}
			if d := degree[i] + degree[k]; d < best {
				best, x, y, ok = d, pads[i], pads[k], true
			}
		}
	}
	return x, y, ok
}

// weakestCut finds the cut with the least weight, and one of its sides, by the
// method of Stoer and Wagner (stoer1997): it orders the vertices by how tightly
// they hang on those before, cuts off the last one, merges it with the one before,
// and begins again.
func weakestCut(w [][]int) (side []bool, cut int) {
	n := len(w)
	g, in := make([][]int, n), make([][]int, n) // what each vertex was merged from
	left := make([]int, n)
	for i := range w {
		g[i], in[i], left[i] = slices.Clone(w[i]), []int{i}, i
	}
	cut = math.MaxInt
	var best []int
	for len(left) > 1 {
		s, t, weight := lastTwo(g, left)
		if weight < cut {
			cut, best = weight, slices.Clone(in[t])
		}
		in[s] = append(in[s], in[t]...)
		for _, x := range left {
			g[s][x] += g[t][x]
			g[x][s] = g[s][x]
		}
		left = slices.DeleteFunc(left, func(x int) bool { return x == t })
	}
	side = make([]bool, n)
	for _, x := range best {
		side[x] = true
	}
	return side, cut
}

// lastTwo orders the vertices left and returns the last two, with the weight of
// what hangs on the last.
func lastTwo(g [][]int, left []int) (s, t, weight int) {
	tight := make([]int, len(g))
	done := make([]bool, len(g))
	s, t = none, none
	for range left {
		next := none
		for _, x := range left {
			if !done[x] && (next == none || tight[x] > tight[next]) {
				next = x
			}
		}
		done[next] = true
		s, t, weight = t, next, tight[next]
		for _, x := range left {
			if x != next {
				tight[x] += g[next][x]
			}
		}
	}
	return s, t, weight
}
