package sparse

import (
	"math"
	"slices"
)

// active is the part of the matrix not yet eliminated, during the analysis.
type active struct {
	rows []map[int32]float64
	cols []map[int32]struct{}
	// uRow and lCol record, pivot by pivot, the unknowns right of it and the
	// equations below it.
	uRow, lCol [][]int32
}

func newActive(n int, entries []Entry, values []float64) *active {
	a := &active{rows: make([]map[int32]float64, n), cols: make([]map[int32]struct{}, n)}
	for i := range n {
		a.rows[i], a.cols[i] = map[int32]float64{}, map[int32]struct{}{}
	}
	for e, en := range entries {
		a.rows[en.Row][en.Col] += values[e]
		a.cols[en.Col][en.Row] = struct{}{}
	}
	return a
}

// choose returns the entry of least Markowitz cost (r−1)(c−1) that is not small
// in its column; the diagonal wins a tie, then the lower column, then the row.
// Columns are looked at by rising count and no further than where a column of
// that count with rows like it could not win. What is chosen depends on the
// matrix alone, not on the order of maps.
func (a *active) choose() (row, col int32, ok bool) {
	best := candidate{cost: math.MaxInt}
	for count := 1; count <= len(a.cols) && best.cost > (count-1)*(count-1); count++ {
		for c, members := range a.cols {
			if len(members) == count {
				a.look(int32(c), &best)
			}
		}
	}
	return best.row, best.col, best.cost < math.MaxInt
}

// candidate is a pivot with its cost; off is 1 off the diagonal.
type candidate struct {
	cost, off int
	col, row  int32
}

func (c candidate) beats(d candidate) bool {
	switch {
	case c.cost != d.cost:
		return c.cost < d.cost
	case c.off != d.off:
		return c.off < d.off
	case c.col != d.col:
		return c.col < d.col
	}
	return c.row < d.row
}

// look holds every acceptable entry of a column against the best so far.
func (a *active) look(col int32, best *candidate) {
	members := a.cols[col]
	limit := math.Max(a.columnMax(col)*threshold, tiny)
	for i := range members {
		if !(math.Abs(a.rows[i][col]) >= limit) {
			continue
		}
		c := candidate{cost: (len(a.rows[i]) - 1) * (len(members) - 1), col: col, row: i}
		if i != col {
			c.off = 1
		}
		if c.beats(*best) {
			*best = c
		}
	}
}

func (a *active) columnMax(col int32) float64 {
	m := 0.0
	for i := range a.cols[col] {
		m = math.Max(m, math.Abs(a.rows[i][col]))
	}
	return m
}

// anyColumn is the lowest unknown not yet eliminated.
func (a *active) anyColumn() int {
	return slices.IndexFunc(a.cols, func(members map[int32]struct{}) bool { return members != nil })
}

// eliminate takes the pivot out, fills in what its row and column produce and
// records both.
func (a *active) eliminate(row, col int32) {
	pivot := a.rows[row][col]
	right, below := []int32{}, []int32{}
	for j := range a.rows[row] {
		if j != col {
			right = append(right, j)
		}
		delete(a.cols[j], row)
	}
	for i := range a.cols[col] {
		below = append(below, i)
	}
	slices.Sort(right)
	slices.Sort(below)
	for _, i := range below {
		m := a.rows[i][col] / pivot
		delete(a.rows[i], col)
		for _, j := range right {
			a.rows[i][j] -= m * a.rows[row][j]
			a.cols[j][i] = struct{}{}
		}
	}
	a.uRow, a.lCol = append(a.uRow, right), append(a.lCol, below)
	a.rows[row], a.cols[col] = nil, nil
}
