package planner

import (
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

// smallest is the demo board with the fewest pads.
const smallest = "hive-3s"

func play(t testing.TB, b *board.Board, sheets strip.Lookup, opt Options) *game {
	t.Helper()
	g := &game{t: t, opt: opt}
	g.sample, g.truth = strip.Board(b, sheets)
	g.play(false)
	return g
}

// With no positions and nothing but parts, packages and pin functions all
// connections must be found.
func TestFindsAllWithoutPositions(t *testing.T) {
	b, sheets := demoBoard(t, smallest)
	for name, opt := range map[string]Options{"bridges": {}, "pairs": {Pairs: true}} {
		g := play(t, b, sheets, opt)
		for i := range g.sample.Pads {
			if g.sample.Pads[i].At != nil {
				t.Fatalf("%s: pad %s has a position, the test is about none", name, g.sample.Pads[i].Name)
			}
		}
		if g.found < 0 || !g.right() {
			t.Errorf("%s: the nets are not those of the board after %d questions", name, len(g.log))
		}
	}
}

// The planner must not see the truth: other names of nets, another order of
// parts, pins and pads, and other names of parts give the same questions.
func TestAsksTheSameUpToRenaming(t *testing.T) {
	b, sheets := demoBoard(t, smallest)
	want := play(t, b, sheets, Options{}).asked()
	rng := rand.New(rand.NewPCG(5, 7))

	renamed := *b
	renamed.Nets = append([]board.Net(nil), b.Nets...)
	for i, k := range rng.Perm(len(renamed.Nets)) {
		renamed.Nets[i].Name = "net" + strings.Repeat("x", k)
	}
	same(t, "nets renamed", want, play(t, &renamed, sheets, Options{}).asked())

	stripped, truth := strip.Board(b, sheets)
	g := &game{t: t}
	g.sample, g.truth = reordered(stripped, truth, rng, func(s string) string { return s })
	g.play(false)
	same(t, "parts and pads reordered", want, g.asked())

	g = &game{t: t}
	g.sample, g.truth = reordered(stripped, truth, rng, extended)
	g.play(false)
	for _, q := range want {
		for i := 1; i < len(q); i++ {
			if strings.Contains(q[i], ".") { // a pad of a part
				q[i] = extended(q[i])
			}
		}
	}
	same(t, "parts renamed", want, g.asked())
}

func same(t *testing.T, what string, want, got [][]string) {
	t.Helper()
	for i := range want {
		if i >= len(got) || !reflect.DeepEqual(want[i], got[i]) {
			t.Errorf("%s: question %d is %v, want %v", what, i+1, got[min(i, len(got)-1)], want[i])
			return
		}
	}
	if len(got) != len(want) {
		t.Errorf("%s: %d questions, want %d", what, len(got), len(want))
	}
}

// extended is another name that stands where the old one stood in the order.
func extended(name string) string { return name[:1] + "X" + name[1:] }

// reordered shuffles parts, their pins and all pads of a sample, and renames the
// parts.
func reordered(s *ringout.Sample, truth strip.Truth, rng *rand.Rand, rename func(string) string) (*ringout.Sample, strip.Truth) {
	out := &ringout.Sample{Cells: s.Cells}
	net := map[string]board.NetID{}
	var todo []func()
	for _, p := range s.Parts {
		var pins []ringout.Pin
		for _, x := range p.Pads {
			d := s.Pads[x]
			number, _ := strconv.Atoi(strings.TrimPrefix(d.Name, p.Ref+"."))
			pins = append(pins, ringout.Pin{Name: d.Pin, Numbers: []int{number}})
			net[rename(d.Name)] = truth[x]
		}
		rng.Shuffle(len(pins), func(i, k int) { pins[i], pins[k] = pins[k], pins[i] })
		p.Ref, p.Pads = rename(p.Ref), nil
		todo = append(todo, func() { out.AddPart(p, pins) })
	}
	for x, d := range s.Pads {
		if d.Part == ringout.NoPart {
			net[d.Name] = truth[x]
			todo = append(todo, func() { out.AddPad(d) })
		}
	}
	rng.Shuffle(len(todo), func(i, k int) { todo[i], todo[k] = todo[k], todo[i] })
	var again strip.Truth
	for _, add := range todo {
		add()
	}
	for _, d := range out.Pads {
		again = append(again, net[d.Name])
	}
	return out, again
}

// What the planner is given has no word of nets, however deep one looks.
func TestInputHoldsNoNet(t *testing.T) {
	seen := map[reflect.Type]bool{}
	var look func(reflect.Type)
	look = func(typ reflect.Type) {
		if seen[typ] {
			return
		}
		seen[typ] = true
		if typ == reflect.TypeFor[board.NetID]() || strings.HasPrefix(typ.Name(), "Net") {
			t.Errorf("the sample holds a %v", typ)
		}
		switch typ.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
			look(typ.Elem())
		case reflect.Struct:
			for i := range typ.NumField() {
				if f := typ.Field(i); strings.Contains(strings.ToLower(f.Name), "net") {
					t.Errorf("%v has a field %s", typ, f.Name)
				} else {
					look(f.Type)
				}
			}
		}
	}
	look(reflect.TypeFor[ringout.Sample]())
	if len(seen) < 5 {
		t.Errorf("only %d types seen: the test no longer looks into the sample", len(seen))
	}
}

// A question whose answer follows from the readings so far wastes a touch; one
// without a reason cannot be judged by the person who is to answer it.
func TestNeverAsksWhatIsImplied(t *testing.T) {
	b, sheets := demoBoard(t, smallest)
	for name, opt := range map[string]Options{"bridges": {}, "pairs": {Pairs: true}} {
		g := &game{t: t, opt: opt}
		g.sample, g.truth = strip.Board(b, sheets)
		g.before = func(c *ringout.Copper, a Ask) { checkAsk(t, name, c, a) }
		g.play(false)
	}
}

func checkAsk(t *testing.T, name string, c *ringout.Copper, a Ask) {
	t.Helper()
	if a.Because == "" || a.Stage == "" || a.Settles < 1 {
		t.Errorf("%s: %+v does not say why it is asked and what it settles", name, a)
	}
	if a.Stage == Confirm && len(c.Assumptions()) > 0 {
		return // one pin's pads are one net by assumption only
	}
	open := 0
	for _, b := range a.B {
		switch ra, rb := c.Net(a.A), c.Net(b); {
		case ra == rb:
			t.Errorf("%s: asks for %d and %d, which are one net", name, a.A, b)
		case c.Opens(ra, rb) == 0:
			open++
		case a.Kind != ringout.Bridge:
			t.Errorf("%s: asks for %d and %d, which are held apart", name, a.A, b)
		}
	}
	if open == 0 {
		t.Errorf("%s: nothing is open in %+v", name, a)
	}
}

// Names are compared as people count.
func TestNatural(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"R2", "R10", -1},
		{"R10", "R2", 1},
		{"R2", "R2", 0},
		{"R2.1", "R2.2", -1},
		{"Q1", "R1", -1},
		{"R", "R1", -1},
		{"R01", "R1", 0},
	} {
		if got := natural(c.a, c.b); (got < 0) != (c.want < 0) || (got > 0) != (c.want > 0) {
			t.Errorf("natural(%s, %s) = %d, want the sign of %d", c.a, c.b, got, c.want)
		}
	}
}
