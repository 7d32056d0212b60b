package layout

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// job is a piece of a net to be wired: terminals to bring together, and what
// is drawn of it already.
type job struct {
	net   board.NetID
	terms []terminal
	goal  map[int]bool
	span  int
	first int // number of the first symbol, to break ties as the board does
}

func newJob(n board.NetID, terms []terminal, goal map[int]bool) job {
	j := job{net: n, terms: terms, goal: goal, first: far}
	var r schematic.Rect
	for i, t := range terms {
		p := schematic.Rect{Min: t.at, Max: t.at.Add(schematic.Point{X: 1, Y: 1})}
		if i == 0 {
			r = p
		}
		r = r.Union(p)
		if t.symbol >= 0 {
			j.first = min(j.first, t.symbol)
		}
	}
	j.span = r.Max.X - r.Min.X + r.Max.Y - r.Min.Y
	return j
}

// reaching adds the way to what is drawn of the net already.
func (j job) reaching(g *grid) job {
	near := far
	for i := range j.goal {
		for _, t := range j.terms {
			p := g.point(i)
			near = min(near, abs(p.X-t.at.X)+abs(p.Y-t.at.Y))
		}
	}
	if near < far {
		j.span += near
	}
	return j
}

func sortJobs(jobs []job) {
	slices.SortStableFunc(jobs, func(a, b job) int {
		if a.span != b.span {
			return a.span - b.span
		}
		return a.first - b.first
	})
}

// run brings the terminals of a job together, each time the one that is
// nearest to what is drawn.
func (d *drawing) run(j job, win window, limit int) {
	goal := j.goal
	todo := slices.Clone(j.terms)
	if goal == nil {
		goal = d.g.tree(j.net, todo[0].at)
		todo = todo[1:]
	}
	for len(todo) > 0 {
		i := d.closest(todo, goal)
		t := todo[i]
		todo = slices.Delete(todo, i, i+1)
		if d.g.connect(j.net, t.at, goal, win, limit) {
			for p := range d.g.tree(j.net, t.at) {
				goal[p] = true
			}
		}
	}
}

func (d *drawing) closest(todo []terminal, goal map[int]bool) int {
	best, least := 0, far
	for i, t := range todo {
		x, y := t.at.X/schematic.Grid, t.at.Y/schematic.Grid
		for p := range goal {
			dist := abs(p%d.g.w-x) + abs(p/d.g.w-y)
			if dist < least {
				best, least = i, dist
			}
		}
	}
	return best
}

func abs(x int) int {
	if x < 0 {
		return -x
	}
	return x
}
