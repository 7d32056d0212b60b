package ringout

import (
	"fmt"
	"testing"

	"cupel/internal/evidence"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// plain is a sample of n pads p0, p1 … without parts.
func plain(n int) *Sample {
	s := &Sample{Cells: 1}
	for i := range n {
		s.AddPad(Pad{Name: fmt.Sprint("p", i)})
	}
	return s
}

func pads(n ...int) []string {
	var out []string
	for _, i := range n {
		out = append(out, fmt.Sprint("p", i))
	}
	return out
}

// drawEntries draws readings of a board whose pads' nets are given; wrong lets
// some of them lie.
func drawEntries(t *rapid.T, net []int, wrong bool) []Entry {
	var out []Entry
	n := len(net)
	for range rapid.IntRange(0, 40).Draw(t, "entries") {
		a := rapid.IntRange(0, n-1).Draw(t, "a")
		b := rapid.SliceOfNDistinct(rapid.IntRange(0, n-1), 1, 4, rapid.ID[int]).Draw(t, "b")
		var other []int
		same := 0
		for _, x := range b {
			if x != a {
				other = append(other, x)
			}
		}
		if len(other) == 0 {
			continue
		}
		for _, x := range other {
			if net[x] == net[a] {
				same++
			}
		}
		e := Entry{Number: len(out) + 1, Kind: Bridge, A: pads(a)[0], B: pads(other...), Result: Open}
		switch {
		case len(other) == 1:
			e.Kind = Pair
		case same == 0 || same == len(other):
			e.Kind = rapid.SampledFrom([]EntryKind{Sweep, Bridge}).Draw(t, "kind")
		}
		if (same > 0) != (wrong && rapid.IntRange(0, 9).Draw(t, "lie") == 0) {
			e.Result = Connected
		}
		out = append(out, e)
	}
	return out
}

func drawNets(t *rapid.T) []int {
	return rapid.SliceOfN(rapid.IntRange(0, 3), 2, 9).Draw(t, "nets")
}

func copperOf(t testing.TB, n int, entries []Entry) *Copper {
	t.Helper()
	c := NewCopper(plain(n), Rules{})
	for _, e := range entries {
		if err := c.Add(e); err != nil {
			t.Fatal(err)
		}
	}
	return c
}

// follows tries all partitions of the pads that agree with the readings, and says
// what is so in each of them: the plain meaning of the word.
func follows(n int, entries []Entry) (some bool, together, apart func(a, b int) bool) {
	same, other := map[pair]bool{}, map[pair]bool{}
	part := make([]int, n)
	var walk func(i, parts int)
	walk = func(i, parts int) {
		if i == n {
			if agrees(part, entries) {
				some = true
				for a := range n {
					for b := range a {
						same[pairOf(a, b)] = same[pairOf(a, b)] || part[a] == part[b]
						other[pairOf(a, b)] = other[pairOf(a, b)] || part[a] != part[b]
					}
				}
			}
			return
		}
		for k := range parts + 1 {
			part[i] = k
			walk(i+1, max(parts, k+1))
		}
	}
	walk(0, 0)
	return some, func(a, b int) bool { return !other[pairOf(a, b)] }, func(a, b int) bool { return !same[pairOf(a, b)] }
}

func agrees(part []int, entries []Entry) bool {
	at := func(name string) int {
		var i int
		fmt.Sscanf(name, "p%d", &i)
		return part[i]
	}
	for _, e := range entries {
		same := 0
		for _, b := range e.B {
			if at(b) == at(e.A) {
				same++
			}
		}
		switch {
		case e.Result == Open && same > 0, e.Result == Connected && same == 0:
			return false
		case e.Result == Connected && e.Kind == Sweep && same < len(e.B):
			return false
		}
	}
	return true
}

// With readings that are all true, what is known follows from them, and of pads
// read in pairs and sweeps everything that follows is known.
func TestWhatIsKnownFollows(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		net := drawNets(rt)
		n := min(len(net), 7) // 877 partitions
		net = net[:n]
		entries := drawEntries(rt, net, false)
		c := copperOf(t, n, entries)
		_, together, apart := follows(n, entries)
		bridged := false
		for _, e := range entries {
			bridged = bridged || e.Kind == Bridge
		}
		for a := range n {
			for b := range a {
				r := c.Relation(a, b)
				known := r.Grade == evidence.Proven || r.Grade == evidence.Implied
				switch {
				case r.Same && !together(a, b), known && !r.Same && !apart(a, b):
					rt.Fatalf("p%d p%d: %v does not follow from %v", a, b, r, entries)
				case !bridged && together(a, b) && !r.Same, !bridged && apart(a, b) && (r.Same || !known):
					rt.Fatalf("p%d p%d: %v, but it follows from %v", a, b, r, entries)
				}
			}
		}
		if x := c.Contradictions(); len(x) > 0 {
			rt.Fatalf("true readings contradict each other: %v", x)
		}
	})
}

// The entries that are named as a proof prove it alone.
func TestProofsStandAlone(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		net := drawNets(rt)
		entries := drawEntries(rt, net, false)
		c := copperOf(t, len(net), entries)
		only := func(numbers []int) *Copper {
			var some []Entry
			for _, n := range numbers {
				some = append(some, entries[n-1])
			}
			return copperOf(t, len(net), some)
		}
		for a := range net {
			for b := range a {
				if why, ok := c.Why(a, b); ok {
					if x := only(why); x.Net(a) != x.Net(b) {
						rt.Fatalf("%v do not join p%d and p%d: %v", why, a, b, entries)
					}
				}
				if why, ok := c.WhyApart(a, b); ok {
					x := only(why)
					if x.Opens(x.Net(a), x.Net(b)) == 0 {
						rt.Fatalf("%v do not hold p%d and p%d apart: %v", why, a, b, entries)
					}
				}
			}
		}
	})
}

// Readings that are named as a contradiction contradict each other, and without
// any one of those to repeat the others may all be right. Where readings of pairs
// contradict each other at all, one contradiction at least is named or outvoted.
func TestContradictionsAreSmallest(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		net := drawNets(rt)
		n := min(len(net), 6)
		net = net[:n]
		entries := drawEntries(rt, net, true)
		c := copperOf(t, n, entries)
		for _, x := range c.Contradictions() {
			var named []Entry
			for _, number := range x.Readings {
				named = append(named, entries[number-1])
			}
			if some, _, _ := follows(n, named); some && !outnumbered(x, entries) {
				rt.Fatalf("%v (%s) can all be right: %v", x.Readings, x.Text, entries)
			}
			if len(x.Repeat) == 0 {
				rt.Fatalf("%s: nothing to repeat", x.Text)
			}
		}
	})
}

// outnumbered reports a contradiction of a bridge that beeped with the readings of
// its pads: what holds the pads apart may go through other readings.
func outnumbered(x Contradiction, entries []Entry) bool {
	for _, n := range x.Readings {
		if e := entries[n-1]; e.Kind == Bridge && e.Result == Connected {
			return true
		}
	}
	return false
}

// In whatever order entries are added, and however often worked out anew, the same
// is known.
func TestOrderMakesNoDifference(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		net := drawNets(rt)
		entries := drawEntries(rt, net, true)
		mixed := rapid.Permutation(entries).Draw(rt, "order")
		for i := range mixed {
			mixed[i].Number = i + 1
		}
		a, b := copperOf(t, len(net), entries), copperOf(t, len(net), mixed)
		b.rebuild()
		for x := range net {
			for y := range x {
				if ra, rb := a.Relation(x, y), b.Relation(x, y); ra != rb {
					rt.Fatalf("p%d p%d: %v or %v: %v and %v", x, y, ra, rb, entries, mixed)
				}
			}
		}
		if d := cmp.Diff(a.Coverage(), b.Coverage()); d != "" {
			rt.Fatal(d)
		}
	})
}

// The counts of the coverage are those of the relations, pair by pair.
func TestCoverageCounts(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		net := drawNets(rt)
		c := copperOf(t, len(net), drawEntries(rt, net, true))
		count := map[evidence.Grade]int{}
		for a := range net {
			for b := range a {
				count[c.Relation(a, b).Grade]++
			}
		}
		got := c.Coverage()
		want := Coverage{
			Pads: len(net), Nets: len(c.Roots()), Pairs: len(net) * (len(net) - 1) / 2, Proven: count[evidence.Proven],
			Implied: count[evidence.Implied], Assumed: count[evidence.Assumed], Conflicted: count[evidence.Contradicted],
			Open: count[evidence.Unknown], Untried: got.Untried, NetPairs: got.NetPairs,
		}
		if d := cmp.Diff(want, got); d != "" {
			rt.Fatal(d)
		}
	})
}
