// Package sparse solves small sparse linear systems again and again on one
// pattern, as circuit simulation does.
//
// # Method
//
// Analyse chooses pivots once, by Markowitz cost among the entries that are not
// small in their column (Markowitz 1957), and writes the elimination down as a
// flat program: for each pivot its row of U, its column of L, and the places
// that the products fall on. Factor runs that program on new values without
// searching, sorting or allocating. It checks each multiplier: one larger than
// growthLimit means the old pivots no longer suit the values, and the caller
// analyses again.
//
// # Accuracy
//
// Nodal matrices of the circuits solved here are close to diagonally dominant;
// tests hold the solution against a dense LU with partial pivoting. Residual
// gives the worst row of b − A·x for those who want proof.
package sparse

import (
	"errors"
	"fmt"
	"math"
)

const (
	// threshold is how small a pivot may be beside the largest entry of its
	// column. Smaller keeps fewer fill-ins, larger keeps more digits; 1e-3 is
	// the usual choice for circuits.
	threshold = 1e-3
	// growthLimit bounds a multiplier on refactorisation: ten times what the
	// analysis itself allows, so that values may drift before pivots are chosen
	// anew. At 1e6 a megohm node of a 10-cell board at −20 °C was 35 mV off.
	growthLimit = 1e4
	// tiny is the magnitude below which a pivot counts as zero: far below gmin.
	tiny = 1e-30
)

// ErrPivot says that the pivots of this analysis do not suit the new values.
var ErrPivot = errors.New("pivots no longer suit the values")

// Singular is the error of a matrix without a unique solution. Unknown is one
// of the unknowns that the equations leave open.
type Singular struct{ Unknown int }

func (e *Singular) Error() string {
	return fmt.Sprintf("singular matrix: unknown %d is not determined", e.Unknown)
}

// Entry is the place of one value: equation Row, unknown Col, counted from 0.
type Entry struct{ Row, Col int32 }

// LU is a factorisation on a fixed pattern.
type LU struct {
	n     int
	pos   []int32   // where in w each entry of the pattern goes
	w     []float64 // factors: for each pivot its row of U, then its column of L
	step  []step
	uCol  []int32 // unknown of each U entry, in w's order; L entries hold their equation
	dst   []int32 // where each product of an elimination falls, in order
	pRow  []int32 // equation of each pivot
	pCol  []int32 // unknown of each pivot
	y     []float64
	inv   []float64 // 1/pivot
	Ratio float64   // largest multiplier of the last factorisation
}

// step is one pivot: its place in w, and the ends of its U row and L column.
// Invariant: pivot < u0 ≤ l0 ≤ end and U is w[u0:l0], L is w[l0:end].
type step struct {
	pivot, u0, l0, end int32
	dst                int32 // first of its products in dst
}

// Analyse chooses the pivots for a matrix of n rows with the given values, one
// an entry, and returns the factorisation of it. Entries may repeat no place.
// The error is a *Singular when no acceptable pivot is left.
func Analyse(n int, entries []Entry, values []float64) (*LU, error) {
	a := newActive(n, entries, values)
	rowAt, colAt := make([]int32, n), make([]int32, n)
	lu := &LU{n: n, y: make([]float64, n), inv: make([]float64, n)}
	for k := range n {
		row, col, ok := a.choose()
		if !ok {
			return nil, &Singular{Unknown: a.anyColumn()}
		}
		rowAt[row], colAt[col] = int32(k), int32(k)
		lu.pRow, lu.pCol = append(lu.pRow, row), append(lu.pCol, col)
		a.eliminate(row, col)
	}
	lu.lay(a, rowAt, colAt)
	lu.place(entries, rowAt, colAt)
	if err := lu.Factor(values); err != nil {
		return nil, &Singular{Unknown: int(lu.pCol[n-1])}
	}
	return lu, nil
}

// key names entry (row, col) of the filled matrix.
func key(row, col int32) int64 { return int64(row)<<32 | int64(col) }

// lay gives every entry of the filled matrix its place in w and writes the
// elimination down.
func (lu *LU) lay(a *active, rowAt, colAt []int32) {
	at := make(map[int64]int32)
	take := func(row, col int32) {
		at[key(row, col)] = int32(len(lu.uCol))
	}
	for k := range lu.n {
		row, col := lu.pRow[k], lu.pCol[k]
		s := step{pivot: int32(len(lu.uCol))}
		take(row, col)
		lu.uCol = append(lu.uCol, col)
		s.u0 = int32(len(lu.uCol))
		for _, j := range a.uRow[k] {
			take(row, j)
			lu.uCol = append(lu.uCol, j)
		}
		s.l0 = int32(len(lu.uCol))
		for _, i := range a.lCol[k] {
			take(i, col)
			lu.uCol = append(lu.uCol, i)
		}
		s.end = int32(len(lu.uCol))
		lu.step = append(lu.step, s)
	}
	for k := range lu.step {
		lu.step[k].dst = int32(len(lu.dst))
		for _, i := range a.lCol[k] {
			for _, j := range a.uRow[k] {
				lu.dst = append(lu.dst, at[key(i, j)])
			}
		}
	}
	lu.w = make([]float64, len(lu.uCol))
}

// place finds where each entry of the pattern goes in w.
func (lu *LU) place(entries []Entry, rowAt, colAt []int32) {
	lu.pos = make([]int32, len(entries))
	for e, en := range entries {
		kr, kc := rowAt[en.Row], colAt[en.Col]
		switch s := lu.step[min(kr, kc)]; {
		case kr == kc:
			lu.pos[e] = s.pivot
		case kr < kc:
			lu.pos[e] = lu.find(s.u0, s.l0, en.Col)
		default:
			lu.pos[e] = lu.find(s.l0, s.end, en.Row)
		}
	}
}

func (lu *LU) find(from, to, what int32) int32 {
	for p := from; p < to; p++ {
		if lu.uCol[p] == what {
			return p
		}
	}
	panic("sparse: entry outside the filled pattern")
}

// Factor factorises the matrix with new values on the old pivots. It returns
// ErrPivot when those do not suit; the factorisation is then unusable until
// the next success. It allocates nothing.
func (lu *LU) Factor(values []float64) error {
	w := lu.w
	clear(w)
	for e, p := range lu.pos {
		w[p] += values[e]
	}
	dst := lu.dst
	worst := 0.0
	for k := range lu.step {
		s := &lu.step[k]
		pivot := w[s.pivot]
		if !(math.Abs(pivot) > tiny) {
			return ErrPivot
		}
		inv := 1 / pivot
		lu.inv[k] = inv
		u := w[s.u0:s.l0]
		d := int(s.dst)
		for l := s.l0; l < s.end; l++ {
			m := w[l] * inv
			w[l] = m
			if m == 0 {
				d += len(u)
				continue
			}
			if am := math.Abs(m); am > worst {
				worst = am
			}
			row := dst[d : d+len(u)]
			for j, to := range row {
				w[to] -= m * u[j]
			}
			d += len(u)
		}
	}
	lu.Ratio = worst
	if !(worst < growthLimit) {
		return ErrPivot
	}
	return nil
}

// Solve puts the solution of A·x = b into x; b is left as it is. x and b have
// n numbers and may not overlap. It allocates nothing.
func (lu *LU) Solve(b, x []float64) {
	y, w := lu.y, lu.w
	copy(y, b[:lu.n])
	for k := range lu.step {
		s := &lu.step[k]
		v := y[lu.pRow[k]]
		if v == 0 {
			continue
		}
		for l := s.l0; l < s.end; l++ {
			y[lu.uCol[l]] -= w[l] * v
		}
	}
	for k := lu.n - 1; k >= 0; k-- {
		s := &lu.step[k]
		v := y[lu.pRow[k]]
		for u := s.u0; u < s.l0; u++ {
			v -= w[u] * x[lu.uCol[u]]
		}
		x[lu.pCol[k]] = v * lu.inv[k]
	}
}

// Fill is the count of entries of L and U together, Products that of the
// multiplications one factorisation takes.
func (lu *LU) Fill() int     { return len(lu.w) }
func (lu *LU) Products() int { return len(lu.dst) }

// Residual returns the largest |b − A·x| and its equation.
func Residual(entries []Entry, values, x, b []float64) (worst float64, row int) {
	r := append([]float64(nil), b...)
	for e, en := range entries {
		r[en.Row] -= values[e] * x[en.Col]
	}
	for i, v := range r {
		if math.Abs(v) > worst {
			worst, row = math.Abs(v), i
		}
	}
	return worst, row
}
