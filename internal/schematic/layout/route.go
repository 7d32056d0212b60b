package layout

import (
	"cupel/internal/board"
	"cupel/internal/schematic"
)

// What a wire costs, in grid steps: judged by eye on the demo boards. A bend is
// worth a short detour, a crossing a longer one; a wire that runs beside a
// symbol reads worse than one in the open.
const (
	stepCost     = 2
	bendCost     = 8
	crossingCost = 30
	fourWayCost  = 12 // a junction of four ends reads like a crossing
)

// buckets is a queue of places by their cost, with what the search has learnt.
type buckets struct {
	cost  []int32 // by place·4 + direction of arrival; valid if seen == round
	from  []int8  // direction of arrival at the place before
	seen  []int32
	round int32
	queue [][]int32
}

// window bounds a search.
type window struct{ x0, y0, x1, y1 int } // in steps, inclusive

func (g *grid) all() window { return window{1, 1, g.w - 2, g.h - 2} }

func (g *grid) windowOf(r schematic.Rect) window {
	const s = schematic.Grid
	return window{max(1, r.Min.X/s), max(1, r.Min.Y/s), min(g.w-2, r.Max.X/s), min(g.h-2, r.Max.Y/s)}
}

func (w window) has(x, y int) bool { return x >= w.x0 && x <= w.x1 && y >= w.y0 && y <= w.y1 }

// connect draws the cheapest wire of a net from a point to any of the places
// in goal; it reports false, with nothing drawn, where there is none for less
// than limit.
func (g *grid) connect(net board.NetID, from schematic.Point, goal map[int]bool, win window, limit int) bool {
	id := int32(net) + 1
	start := g.at(from)
	if goal[start] {
		return true
	}
	end, dir := g.search(id, start, goal, win, limit)
	if end < 0 {
		return false
	}
	for i, d := end, dir; i != start || d != noDir; {
		before := g.step(i, d^2)
		was := int(g.from[i*4+d])
		g.setWire(before, d, id)
		i, d = before, was
		if d == noDir {
			break
		}
	}
	return true
}

const noDir = 4

// search is Dijkstra's algorithm over places and directions of arrival, with
// buckets for the small whole costs, bounded by the way left to the goals' frame.
func (g *grid) search(id int32, start int, goal map[int]bool, win window, limit int) (end, dir int) {
	if g.cost == nil {
		n := g.w * g.h * 4
		g.cost, g.from, g.seen = make([]int32, n), make([]int8, n), make([]int32, n)
	}
	g.round++
	frame := g.frame(goal)
	g.queue = g.queue[:0]
	for d := range dirs {
		g.move(id, start, noDir, d, 0, goal, win, frame)
	}
	for c := 0; c < len(g.queue) && c < limit; c++ {
		for k := 0; k < len(g.queue[c]); k++ {
			state := int(g.queue[c][k])
			i, d := state/4, state%4
			real := int(g.cost[state])
			if real+frame.far(i%g.w, i/g.w) != c {
				continue // found cheaper since
			}
			if goal[i] {
				return i, d
			}
			for next := range dirs {
				if next != d^2 {
					g.move(id, i, d, next, real, goal, win, frame)
				}
			}
		}
	}
	return -1, 0
}

// move tries one step from i, arrived at in direction d, on in direction next.
func (g *grid) move(id int32, i, d, next, cost int, goal map[int]bool, win window, frame window) {
	j := g.step(i, next)
	if !win.has(j%g.w, j/g.w) || g.walled(i, next) {
		return
	}
	if w := g.wire(i, next); w != 0 && w != id {
		return
	}
	switch {
	case d == noDir:
		if l := int(g.lead[i]); l != noDir && l != next && g.degree(i, id) == 0 {
			cost += bendCost
		}
	case d == next:
		if !g.passes(i, d, id) {
			return
		}
		if g.foreign(i, d, id) {
			cost += crossingCost
		}
	default:
		if !g.free(i, id) {
			return
		}
		cost += bendCost
	}
	if goal[j] {
		if !g.free(j, id) {
			return
		}
		switch l := int(g.lead[j]); {
		case g.degree(j, id) >= 3:
			cost += fourWayCost
		case l != noDir && l != next^2 && g.degree(j, id) == 0:
			cost += bendCost
		}
	}
	g.offer(j*4+next, d, cost+stepCost, frame.far(j%g.w, j/g.w))
}

func (g *grid) offer(state, from, cost, far int) {
	if g.seen[state] == g.round && int(g.cost[state]) <= cost {
		return
	}
	g.seen[state], g.cost[state], g.from[state] = g.round, int32(cost), int8(from)
	c := cost + far
	for len(g.queue) <= c {
		g.queue = append(g.queue, nil)
	}
	g.queue[c] = append(g.queue[c], int32(state))
}

// frame is the smallest window around the goals.
func (g *grid) frame(goal map[int]bool) window {
	f := window{g.w, g.h, -1, -1}
	for i := range goal {
		x, y := i%g.w, i/g.w
		f = window{min(f.x0, x), min(f.y0, y), max(f.x1, x), max(f.y1, y)}
	}
	return f
}

// far is the least that is left to pay from a place to the frame.
func (w window) far(x, y int) int {
	return stepCost * (max(0, w.x0-x, x-w.x1) + max(0, w.y0-y, y-w.y1))
}

// tree collects the places that the wires of a net reach from a point.
func (g *grid) tree(net board.NetID, from schematic.Point) map[int]bool {
	id := int32(net) + 1
	start := g.at(from)
	reached := map[int]bool{start: true}
	todo := []int{start}
	for len(todo) > 0 {
		i := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for d := range dirs {
			if j := g.step(i, d); g.wire(i, d) == id && !reached[j] {
				reached[j] = true
				todo = append(todo, j)
			}
		}
	}
	return reached
}
