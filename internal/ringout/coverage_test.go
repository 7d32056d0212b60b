package ringout

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Trade practice: 60 random re-probes without an error show that fewer than 5 %
// are wrong, with 95 % confidence. The least that do is 59.
func TestReprobes(t *testing.T) {
	if n := Reprobes(0.05); n != 59 {
		t.Errorf("%d re-probes for 5 %%", n)
	}
	if r := RateBound(60); r >= 0.05 || r < 0.048 {
		t.Errorf("60 re-probes bound %.4f", r)
	}
	if RateBound(0) != 1 {
		t.Error("no re-probe bounds something")
	}
}

// chain is a copper of n pads of which the even ones are one net.
func chain(t *testing.T, n int) (*Copper, int) {
	t.Helper()
	c, number := NewCopper(plain(n), Rules{}), 0
	for i := 2; i < n; i += 2 {
		number++
		if err := c.Add(Entry{Number: number, Kind: Pair, A: "p0", B: pads(i), Result: Connected}); err != nil {
			t.Fatal(err)
		}
	}
	for i := 1; i < n; i += 2 {
		number++
		if err := c.Add(Entry{Number: number, Kind: Pair, A: "p0", B: pads(i), Result: Open}); err != nil {
			t.Fatal(err)
		}
	}
	return c, number
}

// Readings of what was known bound what may be wrong; before there are any, the
// risk says how many it takes.
func TestReprobed(t *testing.T) {
	c, number := chain(t, 20)
	if n, other := c.Reprobed(); n != 0 || other != 0 || c.RateReached() != 1 {
		t.Errorf("%d %d %g at the start", n, other, c.RateReached())
	}
	if r := c.Risk(); !strings.Contains(r[len(r)-1], "59 random re-probes") {
		t.Errorf("%v", r)
	}
	for _, p := range c.ReprobePlan(10, rand.New(rand.NewPCG(1, 1))) {
		number++
		e := Entry{Number: number, Kind: Pair, A: pads(p[0])[0], B: pads(p[1]), Result: Open}
		if p[0]%2 == 0 && p[1]%2 == 0 {
			e.Result = Connected
		}
		if err := c.Add(e); err != nil {
			t.Fatal(err)
		}
	}
	n, other := c.Reprobed()
	if n != 10 || other != 0 || math.Abs(c.RateReached()-RateBound(10)) > 1e-9 {
		t.Errorf("%d readings again, %d other, bound %g, want %g", n, other, c.RateReached(), RateBound(10))
	}
	if err := c.Add(Entry{Number: number + 1, Kind: Pair, A: "p2", B: pads(4), Result: Open}); err != nil {
		t.Fatal(err)
	}
	if n, other := c.Reprobed(); n != 11 || other != 1 || c.RateReached() <= RateBound(11) {
		t.Errorf("%d readings again, %d other, bound %g", n, other, c.RateReached())
	}
}

// The plan takes half its pairs from those that are joined: a share of all pairs
// would hardly ever hit one.
func TestReprobePlan(t *testing.T) {
	c, _ := chain(t, 40)
	same := 0
	for _, p := range c.ReprobePlan(20, rand.New(rand.NewPCG(1, 1))) {
		if c.Net(p[0]) == c.Net(p[1]) {
			same++
		}
	}
	if same != 10 {
		t.Errorf("%d of 20 are joined", same)
	}
}

// Where places are known, the nearest nets that nobody held apart come first; far
// ones are assumed apart if one says so, and only then.
func TestSuspects(t *testing.T) {
	s := plain(4)
	for i, x := range []float64{0, 10, 11, 40} {
		s.Pads[i].At = &Point{X: x}
	}
	c := NewCopper(s, Rules{ApartMM: 20})
	first := c.Suspects(1)
	if len(first) != 1 || first[0].A != 1 || first[0].B != 2 || first[0].MM != 1 {
		t.Errorf("%+v", first)
	}
	if got := c.Coverage(); got.Assumed != 3 || got.Open != 3 {
		t.Errorf("%+v", got)
	}
	if got := NewCopper(s, Rules{}).Coverage(); got.Assumed != 0 || got.Open != 6 {
		t.Errorf("%+v", got)
	}
}

// What a reading is worth, by the meter and by where the parts are.
func TestWorth(t *testing.T) {
	meter := Meter{BeepOhms: 75, LeadOhms: 0.3}
	for _, c := range []struct {
		name string
		e    Entry
		want meaning
	}{
		{"a beep", Entry{Result: Connected}, joined},
		{"a beep in circuit", Entry{Result: Connected, InCircuit: true}, nothing},
		{"open", Entry{Result: Open}, apart},
		{"open in circuit", Entry{Result: Open, InCircuit: true}, apart},
		{"copper and the leads", Entry{Result: Ohms, Value: 1.2, Meter: meter}, joined},
		{"more than copper", Entry{Result: Ohms, Value: 1.4, Meter: meter}, nothing},
		{"near what beeps", Entry{Result: Ohms, Value: 74, Meter: meter}, nothing},
		{"twice what beeps", Entry{Result: Ohms, Value: 149, Meter: meter}, nothing},
		{"well above what beeps", Entry{Result: Ohms, Value: 151, Meter: meter}, apart},
		{"high in circuit", Entry{Result: Ohms, Value: 4700, InCircuit: true}, apart},
		{"low in circuit", Entry{Result: Ohms, Value: 0.1, InCircuit: true}, nothing},
		{"no drop", Entry{Result: Drop, Value: 0.001}, joined},
		{"a junction", Entry{Result: Drop, Value: 0.6}, apart},
		{"a low drop", Entry{Result: Drop, Value: 0.02}, nothing},
	} {
		if got := (Rules{}).judge(c.e); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
	if r := (Rules{}).Bound(Entry{Result: Ohms, Value: 82, InCircuit: true, Meter: meter}); math.Abs(r-81.7) > 1e-9 {
		t.Errorf("bound %g Ω", r)
	}
}

// A board of 2 000 pads on 300 nets, each pad read against another of its net and
// one of the next.
func BenchmarkCoverage(b *testing.B) {
	const n, nets = 2000, 300
	c, number := NewCopper(plain(n), Rules{}), 0
	for i := nets; i < n; i++ {
		number++
		_ = c.Add(Entry{Number: number, Kind: Pair, A: pads(i)[0], B: pads(i % nets), Result: Connected})
		number++
		_ = c.Add(Entry{Number: number, Kind: Pair, A: pads(i)[0], B: pads((i + 1) % nets), Result: Open})
	}
	if got := c.Coverage(); got.Proven != number {
		b.Fatalf("%d of %d readings", got.Proven, number)
	}
	for b.Loop() {
		c.Coverage()
	}
}
