package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A line of known coefficients: shares are the squares of 3, 2 and 1 over 14.
func TestSharesOfALine(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	const n = 2000
	x := [][]float64{make([]float64, n), make([]float64, n), make([]float64, n)}
	y := make([]float64, n)
	for i := range y {
		for j := range x {
			x[j][i] = 2*rng.Float64() - 1
		}
		y[i] = 7 + 3*x[0][i] - 2*x[1][i] + x[2][i]
	}
	shares, r2, ok := Shares(x, y)
	if !ok {
		t.Fatal("no shares")
	}
	near(t, "R²", r2, 1, 1e-12)
	for j, want := range []float64{9. / 14, 4. / 14, 1. / 14} {
		near(t, "share", shares[j], want, 0.03) // variances of 2000 draws differ by 2 %
	}
	if _, _, ok := Shares(x, y[:4]); ok {
		t.Error("four values for three inputs have shares")
	}
	if _, _, ok := Shares(x, make([]float64, n)); ok {
		t.Error("what does not vary has shares")
	}
}

// The function of Ishigami and Homma (1990), sin a + 7 sin² b + 0.1 c⁴ sin a on
// ±π: its total effects are 0.5576, 0.4424 and 0.2437, and no line explains it.
func TestTotalEffects(t *testing.T) {
	f := func(x [3]float64) float64 {
		s := math.Sin(x[1])
		return math.Sin(x[0]) + 7*s*s + 0.1*math.Pow(x[2], 4)*math.Sin(x[0])
	}
	rng := rand.New(rand.NewPCG(4, 1))
	const n = 20000
	draw := func() float64 { return math.Pi * (2*rng.Float64() - 1) }
	y, again := make([]float64, n), [3][]float64{make([]float64, n), make([]float64, n), make([]float64, n)}
	columns := [][]float64{make([]float64, n), make([]float64, n), make([]float64, n)}
	for i := range y {
		x := [3]float64{draw(), draw(), draw()}
		y[i] = f(x)
		for j := range x {
			columns[j][i] = x[j]
			z := x
			z[j] = draw()
			again[j][i] = f(z)
		}
	}
	for j, want := range []float64{0.5576, 0.4424, 0.2437} {
		near(t, "total effect", TotalEffect(y, again[j]), want, 0.02)
	}
	if _, r2, _ := Shares(columns, y); r2 > 0.3 {
		t.Errorf("a line explains %.2f of it", r2)
	}
}
