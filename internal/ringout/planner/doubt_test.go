package planner

import (
	"math"
	"math/rand/v2"
	"testing"

	"cupel/internal/board"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

// The weakest cut is checked against trying all cuts.
func TestWeakestCut(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 200 {
		n := 2 + rng.IntN(6)
		w := make([][]int, n)
		for i := range w {
			w[i] = make([]int, n)
			for k := range i {
				w[i][k] = max(0, rng.IntN(6)-2)
				w[k][i] = w[i][k]
			}
		}
		want := math.MaxInt
		for set := 1; set < 1<<n-1; set++ {
			want = min(want, weight(w, func(i int) bool { return set>>i&1 == 1 }))
		}
		side, cut := weakestCut(w)
		if cut != want || weight(w, func(i int) bool { return side[i] }) != want {
			t.Errorf("%v: cut %d with side %v, want %d", w, cut, side, want)
		}
	}
}

func weight(w [][]int, side func(int) bool) int {
	sum := 0
	for i := range w {
		for k := range i {
			if side(i) != side(k) {
				sum += w[i][k]
			}
		}
	}
	return sum
}

// How many readings it takes follows from the odds of their being wrong:
// (0.02/0.98)⁵ is under 10⁻⁷, its fourth power is not.
func TestNeed(t *testing.T) {
	for _, c := range []struct {
		rate, doubt float64
		want        int
	}{{0, 1e-7, 1}, {0.02, 1e-7, 5}, {0.02, 1e-6, 4}, {0.1, 1e-7, 8}} {
		p := &Planner{opt: Options{ErrorRate: c.rate, Doubt: c.doubt}}
		if got := p.need(); got != c.want {
			t.Errorf("at an error rate of %g and a doubt of %g it takes %d readings, want %d", c.rate, c.doubt, got, c.want)
		}
	}
}

// A meter that is wrong at 2 % of its readings must not leave a net wrong
// without a sign of it. The package rehearse plays the same on many more.
func TestDoubtsAMeterThatErrs(t *testing.T) {
	b, sheets := demoBoard(t, smallest)
	for seed := range uint64(3) {
		rng := rand.New(rand.NewPCG(seed, 11))
		g := &game{t: t, opt: Options{ErrorRate: 0.02}, errs: func() bool { return rng.Float64() < 0.02 }}
		g.sample, g.truth = strip.Board(b, sheets)
		g.play(true)
		if g.wrong == 0 {
			t.Errorf("seed %d: the meter was never wrong, the test shows nothing", seed)
		}
		bad := g.copper.Contradicted()
		for x := range g.truth {
			for y := range x {
				rx, ry := g.copper.Net(x), g.copper.Net(y)
				same := g.truth[x] == g.truth[y] && g.truth[x] != board.NoNet
				if same != (rx == ry) && !bad[rx] && !bad[ry] {
					t.Errorf("seed %d: %s and %s: one net %v, in truth %v, and nothing contradicts it",
						seed, g.sample.Pads[x].Name, g.sample.Pads[y].Name, rx == ry, same)
				}
			}
		}
	}
}

// Where two nets contradict themselves the question goes to the pair with the
// least behind it, and says so.
func TestClearsAContradiction(t *testing.T) {
	s := &ringout.Sample{}
	for _, name := range []string{"TP1", "TP2", "TP3"} {
		s.AddPad(ringout.Pad{Name: name})
	}
	c := ringout.NewCopper(s, ringout.Rules{})
	for i, e := range []ringout.Entry{
		{A: "TP1", B: []string{"TP2"}, Result: ringout.Connected},
		{A: "TP1", B: []string{"TP2"}, Result: ringout.Connected},
		{A: "TP1", B: []string{"TP3"}, Result: ringout.Open},
		{A: "TP1", B: []string{"TP3"}, Result: ringout.Open},
		{A: "TP2", B: []string{"TP3"}, Result: ringout.Connected},
	} {
		e.Number, e.Kind = i+1, ringout.Pair
		if err := c.Add(e); err != nil {
			t.Fatal(err)
		}
	}
	a, ok := New(s, Options{ErrorRate: 0.02}).Next(c)
	if !ok || a.Stage != Clear || a.A != 1 || len(a.B) != 1 || a.B[0] != 2 {
		t.Errorf("asks %+v, want TP2 and TP3 again to clear the contradiction", a)
	}
}
