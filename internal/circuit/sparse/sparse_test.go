package sparse

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"cupel/internal/circuit/circuittest/documented"

	"gonum.org/v1/gonum/mat"
)

// network makes the matrix of a random resistor network of n nodes in a chain
// with cross links, grounded at a few, and one voltage source whose branch has
// a zero on the diagonal. Conductances span nine decades, as on a board.
func network(r *rand.Rand, n int) ([]Entry, []float64) {
	at := map[Entry]float64{}
	conduct := func(i, j int32, g float64) {
		at[Entry{i, i}] += g
		at[Entry{j, j}] += g
		at[Entry{i, j}] -= g
		at[Entry{j, i}] -= g
	}
	g := func() float64 { return math.Pow(10, -7+9*r.Float64()) }
	for i := int32(1); i < int32(n-1); i++ {
		conduct(i-1, i, g())
		if r.IntN(2) == 0 {
			if j := int32(r.IntN(int(i))); j != i {
				conduct(j, i, g())
			}
		}
	}
	at[Entry{0, 0}] += 1e-3
	b := int32(n - 1)
	at[Entry{b, 1}], at[Entry{1, b}] = 1, 1
	var entries []Entry
	var values []float64
	for i := range int32(n) {
		for j := range int32(n) {
			if v, ok := at[Entry{i, j}]; ok {
				entries, values = append(entries, Entry{i, j}), append(values, v)
			}
		}
	}
	return entries, values
}

func dense(n int, entries []Entry, values, b []float64) []float64 {
	m := mat.NewDense(n, n, nil)
	for e, en := range entries {
		m.Set(int(en.Row), int(en.Col), m.At(int(en.Row), int(en.Col))+values[e])
	}
	var lu mat.LU
	lu.Factorize(m)
	var x mat.VecDense
	if err := lu.SolveVecTo(&x, false, mat.NewVecDense(n, b)); err != nil {
		var c mat.Condition
		if !errors.As(err, &c) {
			panic(err)
		}
	}
	return x.RawVector().Data
}

// The clever solver against the dumb one: gonum's dense LU is the oracle.
func TestSolveAgreesWithDenseLU(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{3, 8, 40, 90} {
		for range 20 {
			entries, values := network(r, n)
			lu, err := Analyse(n, entries, values)
			if err != nil {
				t.Fatalf("n=%d: %v", n, err)
			}
			for pass := range 3 {
				if pass > 0 { // other values on the same pattern
					for e := range values {
						values[e] *= 0.8 + 0.4*r.Float64()
					}
					if err := lu.Factor(values); err != nil {
						if lu, err = Analyse(n, entries, values); err != nil {
							t.Fatal(err)
						}
					}
				}
				b := make([]float64, n)
				for i := range b {
					b[i] = r.NormFloat64()
				}
				x := make([]float64, n)
				lu.Solve(b, x)
				want := dense(n, entries, values, b)
				// Both lose digits to the condition of the matrix (about
				// 1e9 here); 1e-5 of the largest unknown is what is left.
				scale := 0.0
				for _, v := range want {
					scale = math.Max(scale, math.Abs(v))
				}
				for i := range x {
					if math.Abs(x[i]-want[i]) > 1e-5*scale {
						t.Fatalf("n=%d pass %d: x[%d] = %g, dense LU says %g", n, pass, i, x[i], want[i])
					}
				}
			}
		}
	}
}

func TestAnalyseIsDeterministic(t *testing.T) {
	entries, values := network(rand.New(rand.NewPCG(3, 4)), 60)
	first, err := Analyse(60, entries, values)
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		again, err := Analyse(60, entries, values)
		if err != nil {
			t.Fatal(err)
		}
		if fmt.Sprint(again.pRow, again.pCol) != fmt.Sprint(first.pRow, first.pCol) {
			t.Fatal("pivot order differs between two analyses of one matrix")
		}
	}
}

func TestSingularNamesAnUnknown(t *testing.T) {
	// Unknown 2 appears in no equation that could determine it.
	entries := []Entry{{0, 0}, {1, 1}, {2, 0}}
	_, err := Analyse(3, entries, []float64{1, 1, 1})
	var s *Singular
	if !errors.As(err, &s) || s.Unknown != 2 {
		t.Fatalf("got %v, want a Singular naming unknown 2", err)
	}
}

func TestFactorRefusesDeadPivot(t *testing.T) {
	entries := []Entry{{0, 0}, {0, 1}, {1, 0}, {1, 1}}
	lu, err := Analyse(2, entries, []float64{4, 1, 1, 3})
	if err != nil {
		t.Fatal(err)
	}
	if err := lu.Factor([]float64{0, 1, 1, 0}); !errors.Is(err, ErrPivot) {
		t.Fatalf("got %v, want ErrPivot", err)
	}
}

func TestFactorAndSolveAllocateNothing(t *testing.T) {
	entries, values := network(rand.New(rand.NewPCG(5, 6)), 70)
	lu, err := Analyse(70, entries, values)
	if err != nil {
		t.Fatal(err)
	}
	b, x := make([]float64, 70), make([]float64, 70)
	if n := testing.AllocsPerRun(100, func() {
		_ = lu.Factor(values)
		lu.Solve(b, x)
	}); n != 0 {
		t.Fatalf("%v allocations a solve, want 0", n)
	}
}

func BenchmarkAnalyse(b *testing.B) {
	for _, n := range []int{20, 70, 280} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			entries, values := network(rand.New(rand.NewPCG(7, 8)), n)
			for b.Loop() {
				if _, err := Analyse(n, entries, values); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkFactorSolve(b *testing.B) {
	for _, n := range []int{20, 70, 140, 280} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			entries, values := network(rand.New(rand.NewPCG(7, 8)), n)
			lu, err := Analyse(n, entries, values)
			if err != nil {
				b.Fatal(err)
			}
			rhs, x := make([]float64, n), make([]float64, n)
			rhs[0] = 1
			b.ReportAllocs()
			for b.Loop() {
				_ = lu.Factor(values)
				lu.Solve(rhs, x)
			}
		})
	}
}

func TestDocumented(t *testing.T) {
	documented.Says(t,
		fmt.Sprintf("that reach 1e%d of the largest in their column", int(math.Round(math.Log10(threshold)))),
		fmt.Sprintf("a multiplier above 1e%d or a pivot below %g", int(math.Round(math.Log10(growthLimit))), tiny),
	)
}
