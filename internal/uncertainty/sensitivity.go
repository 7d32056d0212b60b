package uncertainty

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// Shares fits y = b₀ + Σbⱼxⱼ by least squares and gives, for each input, its share
// in the variance of y: its squared standardised regression coefficient
// (bⱼ·s(xⱼ)/s(y))², which for independent inputs and a linear y add up to 1.
// r2 is the part of the variance that the line explains, adjusted for the number
// of inputs, 1−(1−R²)(n−1)/(n−k−1); below 0.9 or so the shares tell too little
// (A. Saltelli et al., Global Sensitivity Analysis, 2008, 1.2.5). columns are the
// inputs, each with as many values as y. ok is false if there are too few values
// for that many inputs, or nothing varies.
func Shares(columns [][]float64, y []float64) (shares []float64, r2 float64, ok bool) {
	n, k := len(y), len(columns)
	if n < k+2 {
		return nil, 0, false
	}
	var syy float64
	yc := centred(y)
	for _, v := range yc {
		syy += v * v
	}
	if !(syy > 0) || k == 0 {
		return nil, 0, false
	}
	xs := make([][]float64, k)
	for j, c := range columns {
		xs[j] = centred(c)
	}
	gram := mat.NewSymDense(k, nil)
	xy := mat.NewVecDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			gram.SetSym(i, j, dot(xs[i], xs[j]))
		}
		xy.SetVec(i, dot(xs[i], yc))
	}
	var chol mat.Cholesky
	var b mat.VecDense
	if !chol.Factorize(gram) || chol.SolveVecTo(&b, xy) != nil {
		return nil, 0, false
	}
	shares = make([]float64, k)
	explained := 0.0
	for j := range k {
		shares[j] = b.AtVec(j) * b.AtVec(j) * gram.At(j, j) / syy
		explained += b.AtVec(j) * xy.AtVec(j)
	}
	r2 = 1 - (1-explained/syy)*float64(n-1)/float64(n-k-1)
	return shares, math.Max(0, math.Min(1, r2)), true
}

func centred(x []float64) []float64 {
	mean := 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v - mean
	}
	return out
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}

// TotalEffect is the share of the variance of y that an input has part in, alone
// or together with others, by pick-and-freeze: again[i] is y[i] with that input
// drawn anew and all others kept. S_T = Σ(y−y′)²/(2n·Var y), M. J. W. Jansen,
// Computer Physics Communications 117 (1999) 35.
func TotalEffect(y, again []float64) float64 {
	sum, square := 0.0, 0.0
	for i, v := range y {
		d := v - again[i]
		sum += d * d
	}
	for _, v := range centred(y) {
		square += v * v
	}
	return sum / (2 * square) * float64(len(y)-1) / float64(len(y))
}
