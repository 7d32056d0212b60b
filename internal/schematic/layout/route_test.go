package layout

import (
	"math/rand/v2"
	"testing"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// scene is a small grid with walls, and wires and pins of other nets.
func scene(r *rand.Rand) *grid {
	const size = 14
	g := newGrid(schematic.Point{X: size * schematic.Grid, Y: size * schematic.Grid})
	at := func() schematic.Point {
		return schematic.Point{X: (2 + r.IntN(size-3)) * schematic.Grid, Y: (2 + r.IntN(size-3)) * schematic.Grid}
	}
	for range r.IntN(5) {
		p := at()
		g.block(schematic.R(p.X-6, p.Y-6, p.X+6+r.IntN(20), p.Y+6+r.IntN(20)))
	}
	for n := range r.IntN(6) {
		a := at()
		b := schematic.Point{X: at().X, Y: a.Y}
		if r.IntN(2) == 0 {
			b = schematic.Point{X: a.X, Y: at().Y}
		}
		g.lay(board.NetID(n+1), a, b)
	}
	for range r.IntN(4) {
		g.pin[g.at(at())] = 9
	}
	return g
}

// dumb finds the least cost of a wire by trying every step until nothing gets
// cheaper: the same rules as the search, none of its tricks.
func dumb(g *grid, id int32, start, goal int) int {
	n := g.w * g.h * 4
	cost := make([]int, n)
	for i := range cost {
		cost[i] = far
	}
	enter := func(i, d, next, c int) bool {
		j := g.step(i, next)
		if x, y := j%g.w, j/g.w; x < 1 || y < 1 || x > g.w-2 || y > g.h-2 || g.walled(i, next) {
			return false
		}
		if w := g.wire(i, next); w != 0 && w != id {
			return false
		}
		switch {
		case d == noDir:
		case d == next && !g.passes(i, d, id), d != next && !g.free(i, id):
			return false
		case d == next && g.foreign(i, d, id):
			c += crossingCost
		case d != next:
			c += bendCost
		}
		if j == goal && !g.free(j, id) {
			return false
		}
		if k := j*4 + next; c+stepCost < cost[k] {
			cost[k] = c + stepCost
			return true
		}
		return false
	}
	for d := range dirs {
		enter(start, noDir, d, 0)
	}
	for changed := true; changed; {
		changed = false
		for i := range g.w * g.h {
			for d := range dirs {
				for next := range dirs {
					if c := cost[i*4+d]; c < far && i != goal && next != d^2 && enter(i, d, next, c) {
						changed = true
					}
				}
			}
		}
	}
	best := far
	for d := range dirs {
		best = min(best, cost[goal*4+d])
	}
	return best
}

func TestSearchIsAsCheapAsTryingEverything(t *testing.T) {
	const net = board.NetID(0)
	found := 0
	for i := range 300 {
		r := rand.New(rand.NewPCG(11, uint64(i)))
		g := scene(r)
		start, goal := g.at(schematic.Point{X: 20, Y: 20}), g.at(schematic.Point{X: 110 + 10*r.IntN(2), Y: 20 + 10*r.IntN(10)})
		if !g.free(start, int32(net)+1) || !g.free(goal, int32(net)+1) {
			continue
		}
		want := dumb(g, int32(net)+1, start, goal)
		end, dir := g.search(int32(net)+1, start, map[int]bool{goal: true}, g.all(), far)
		switch {
		case end < 0 && want < far:
			t.Errorf("scene %d: no way found, there is one for %d", i, want)
		case end >= 0 && int(g.cost[end*4+dir]) != want:
			t.Errorf("scene %d: a way for %d, there is one for %d", i, g.cost[end*4+dir], want)
		case end >= 0:
			found++
		}
	}
	if found < 100 {
		t.Errorf("only %d scenes had a way", found)
	}
}

// A wire that is drawn keeps off everything that was there.
func TestConnectTouchesNobody(t *testing.T) {
	for i := range 300 {
		r := rand.New(rand.NewPCG(12, uint64(i)))
		g := scene(r)
		level, upright := append([]int32{}, g.level...), append([]int32{}, g.upward...)
		from := schematic.Point{X: 20, Y: 20}
		to := schematic.Point{X: 110, Y: 110}
		if !g.free(g.at(from), 1) || !g.free(g.at(to), 1) {
			continue
		}
		ok := g.connect(0, from, map[int]bool{g.at(to): true}, g.all(), far)
		if ok != g.tree(0, from)[g.at(to)] {
			t.Errorf("scene %d: connected %v, but the places hang together: %v", i, ok, !ok)
		}
		for k := range level {
			if level[k] != 0 && g.level[k] != level[k] || upright[k] != 0 && g.upward[k] != upright[k] {
				t.Errorf("scene %d: a wire of another net was taken at %v", i, g.point(k))
			}
			if g.level[k] == 1 && g.wall[0][k] > 0 || g.upward[k] == 1 && g.wall[1][k] > 0 {
				t.Errorf("scene %d: the wire runs through something at %v", i, g.point(k))
			}
			if g.pin[k] == 9 && g.degree(k, 1) > 0 {
				t.Errorf("scene %d: the wire touches a pin at %v", i, g.point(k))
			}
		}
	}
}
