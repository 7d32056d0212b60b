package ringout

import (
	"fmt"
	"slices"
	"strings"
)

// Contradiction is a set of readings that cannot all be right, as A=B, B=C,
// A≠C. It is the smallest that holds its open reading.
type Contradiction struct {
	Readings []int // numbers of entries, in order
	Repeat   []int // those to take again, the most doubtful first
	Pads     []int // the chain of pads from one end of the open reading to the other
	Text     string
}

// conflict is a contradiction with the entries by index.
type conflict struct {
	open  int    // the entry that says open, or a bridge that beeps at nothing
	a, b  int    // where it says so
	chain []link // how a and b are joined all the same
	tie   bool   // the pair itself was read as often joined as apart
}

// Contradictions lists what the readings contradict each other about, in the
// order of the readings that brought it up.
func (c *Copper) Contradictions() []Contradiction {
	found := c.find()
	weight := c.involved(found)
	out := make([]Contradiction, len(found))
	for i, f := range found {
		out[i] = c.tell(f, weight)
	}
	return out
}

// find finds the conflicts, one a pair of pads.
func (c *Copper) find() []conflict {
	if c.checked {
		return c.conflicts
	}
	c.conflicts, c.checked = nil, true
	seen := map[pair]bool{}
	for i := range c.entries {
		r := &c.entries[i]
		for _, b := range r.b {
			p := pairOf(r.a, b)
			if seen[p] {
				continue
			}
			if f, ok := c.conflictAt(i, b); ok {
				seen[p] = true
				c.conflicts = append(c.conflicts, f)
			}
		}
	}
	for _, i := range c.unjoined {
		if r := &c.entries[i]; c.beepsAtNothing(r) {
			c.conflicts = append(c.conflicts, conflict{open: i, a: r.a, b: r.b[0]})
		}
	}
	return c.conflicts
}

// conflictAt holds entry i, where it was read against b, against the nets.
func (c *Copper) conflictAt(i, b int) (conflict, bool) {
	r := &c.entries[i]
	if r.Kind != Bridge {
		if v := c.pairs[pairOf(r.a, b)]; v.joined == v.apart && v.joined > 0 {
			return conflict{open: i, a: r.a, b: b, tie: true}, true
		}
	}
	if r.says != apart || !c.stands(r, b) || c.Net(r.a) != c.Net(b) {
		return conflict{}, false
	}
	if r.Kind == Bridge && c.Margin(r.a, b) >= outweighs {
		return conflict{}, false
	}
	return conflict{open: i, a: r.a, b: b, chain: c.path(r.a, b)}, true
}

// outweighs is by how many readings a pair itself must be joined for a bridge that
// was open there to count as wrong. Pairs alone go by majority: a bridge is one
// reading of many pads, and a clip that does not touch spoils it.
const outweighs = 3

// outvoted is how many open readings each pad of a bridge that beeped must have
// for the beep to count as refuted.
const outvoted = 2

// beepsAtNothing reports a bridge that beeped although readings hold its every
// pad apart.
func (c *Copper) beepsAtNothing(r *reading) bool {
	least := outvoted
	for _, b := range r.b {
		if c.Net(b) == c.Net(r.a) {
			return false
		}
		least = min(least, c.Opens(c.Net(r.a), c.Net(b)))
	}
	return least > 0 && least < outvoted
}

// involved counts in how many conflicts each entry stands.
func (c *Copper) involved(found []conflict) map[int]int {
	n := map[int]int{}
	for _, f := range found {
		for _, e := range c.of(f) {
			n[e]++
		}
	}
	return n
}

// of lists the numbers of the entries of a conflict.
func (c *Copper) of(f conflict) []int {
	out := []int{c.entries[f.open].Number}
	if v := c.pairs[pairOf(f.a, f.b)]; v != nil && c.entries[f.open].Kind != Bridge {
		for _, i := range v.entries {
			if f.tie || c.entries[i].says == apart {
				out = append(out, c.entries[i].Number)
			}
		}
	}
	for _, l := range f.chain {
		out = append(out, c.numbers(l.v)...)
	}
	return tidy(out)
}

// tell says a conflict in words. To repeat are the readings with the least
// behind them; among those, the ones that the most contradictions hang on.
func (c *Copper) tell(f conflict, weight map[int]int) Contradiction {
	out := Contradiction{Readings: c.of(f), Pads: []int{f.a}}
	for _, l := range f.chain {
		out.Pads = append(out.Pads, int(l.pad))
	}
	if f.chain == nil {
		out.Pads = append(out.Pads, f.b)
	}
	out.Repeat = c.doubtful(f, out.Readings, weight)
	out.Text = c.words(f, out)
	return out
}

// doubtful sorts out which readings to repeat.
func (c *Copper) doubtful(f conflict, all []int, weight map[int]int) []int {
	support := map[int]int{}
	for _, l := range f.chain {
		for _, n := range c.numbers(l.v) {
			support[n] = l.v.joined - l.v.apart
		}
	}
	for _, n := range all {
		if _, ok := support[n]; !ok {
			support[n] = c.against(f)
		}
	}
	least := support[all[0]]
	for _, n := range all {
		least = min(least, support[n])
	}
	var out []int
	for _, n := range all {
		if support[n] == least {
			out = append(out, n)
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return weight[b] - weight[a] })
	return out
}

// against is how many readings back the open side of a conflict.
func (c *Copper) against(f conflict) int {
	if c.entries[f.open].Kind == Bridge {
		return 1
	}
	return max(0, -c.Margin(f.a, f.b))
}

func (c *Copper) words(f conflict, t Contradiction) string {
	name := func(p int) string { return c.sample.Pads[p].Name }
	number := c.entries[f.open].Number
	switch {
	case f.tie:
		return fmt.Sprintf("%s and %s were read connected as often as open", name(f.a), name(f.b))
	case f.chain == nil:
		return fmt.Sprintf("reading %d says that %s is joined with a bridged pad, other readings hold it apart from each of them",
			number, name(f.a))
	}
	var chain []string
	for _, p := range t.Pads {
		chain = append(chain, name(p))
	}
	return fmt.Sprintf("%s, but reading %d says that %s and %s are apart",
		strings.Join(chain, " = "), number, name(f.a), name(f.b))
}

// Contradicted reports which roots have a contradiction in their net.
func (c *Copper) Contradicted() map[int]bool {
	out := map[int]bool{}
	for _, f := range c.find() {
		out[c.Net(f.a)], out[c.Net(f.b)] = true, true
	}
	return out
}
