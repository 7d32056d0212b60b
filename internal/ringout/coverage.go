package ringout

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"cupel/internal/evidence"
	"cupel/internal/uncertainty"
)

// Coverage counts pairs of pads by how they are known.
type Coverage struct {
	Pads, Nets int
	Pairs      int // all pairs of pads
	Proven     int // read
	Implied    int // follow from readings of others
	Assumed    int // one pin's pads, or apart by distance
	Conflicted int // within a net whose readings contradict each other
	Open       int // nothing is known
	Untried    int // pairs of nets that no reading holds apart
	NetPairs   int // all pairs of nets
}

// Coverage counts over all pairs of pads. What no reading speaks of is counted
// net by net, and only the pairs that were read one by one: a board of 2 000 pads
// has two million pairs.
func (c *Copper) Coverage() Coverage {
	n := len(c.sample.Pads)
	bad := c.Contradicted()
	out := Coverage{Pads: n, Pairs: n * (n - 1) / 2}
	read := c.components((*verdict).read)
	c.coverNets(&out, bad, read)
	for p, v := range c.pairs {
		if len(v.entries) == 0 {
			continue
		}
		a, b := int(p.a), int(p.b)
		*out.of(c.unread(a, b, bad, read))--
		*out.of(c.relation(a, b, bad).Grade)++
	}
	c.countNets(&out)
	return out
}

// of is the count of a grade.
func (out *Coverage) of(g evidence.Grade) *int {
	switch g {
	case evidence.Proven:
		return &out.Proven
	case evidence.Implied:
		return &out.Implied
	case evidence.Assumed:
		return &out.Assumed
	case evidence.Contradicted:
		return &out.Conflicted
	}
	return &out.Open
}

// coverNets counts all pairs as if none was read itself.
func (c *Copper) coverNets(out *Coverage, bad map[int]bool, read []int) {
	roots := c.Roots()
	for i, a := range roots {
		size := len(c.members[a])
		whole := size * (size - 1) / 2
		switch together := c.together(a, read); {
		case bad[a]:
			out.Conflicted += whole
		default:
			out.Implied += together
			out.Assumed += whole - together
		}
		for _, b := range roots[:i] {
			*out.of(c.between(a, b)) += size * len(c.members[b])
		}
	}
}

// together is how many pairs of a net's pads readings alone join: read holds the
// components that they make.
func (c *Copper) together(root int, read []int) int {
	size := map[int]int{}
	for _, m := range c.members[root] {
		size[read[m]]++
	}
	n := 0
	for _, k := range size {
		n += k * (k - 1) / 2
	}
	return n
}

// between is the grade of a pair on two nets that no reading is of.
func (c *Copper) between(ra, rb int) evidence.Grade {
	switch {
	case c.Opens(ra, rb) > 0:
		return evidence.Implied
	case c.far(ra, rb):
		return evidence.Assumed
	}
	return evidence.Unknown
}

// unread is what the grade of a pair would be if no reading were of itself.
func (c *Copper) unread(a, b int, bad map[int]bool, read []int) evidence.Grade {
	ra, rb := c.Net(a), c.Net(b)
	switch {
	case ra != rb:
		return c.between(ra, rb)
	case bad[ra]:
		return evidence.Contradicted
	case read[a] != read[b]:
		return evidence.Assumed
	}
	return evidence.Implied
}

func (c *Copper) countNets(out *Coverage) {
	roots := c.Roots()
	out.Nets, out.NetPairs = len(roots), len(roots)*(len(roots)-1)/2
	for i, a := range roots {
		for _, b := range roots[:i] {
			if c.Opens(a, b) == 0 {
				out.Untried++
			}
		}
	}
}

// components numbers the pads by what links with good verdicts join.
func (c *Copper) components(good func(*verdict) bool) []int {
	out := make([]int, len(c.sample.Pads))
	for i := range out {
		out[i] = -1
	}
	for i := range out {
		if out[i] < 0 {
			for _, p := range c.reach(i, good) {
				out[p] = i
			}
		}
	}
	return out
}

// Suspect is a pair of nets that nobody probed against each other.
type Suspect struct {
	A, B int     // pads: with positions the nearest of the two nets, else the first of each
	MM   float64 // their distance; 0 when not known
}

// Suspects lists pairs of nets that no reading holds apart, the nearest first:
// solder bridges and hidden copper lie between neighbours.
func (c *Copper) Suspects(limit int) []Suspect {
	var out []Suspect
	roots := c.Roots()
	for i, a := range roots {
		for _, b := range roots[:i] {
			if c.Opens(a, b) == 0 {
				out = append(out, c.suspect(b, a))
			}
		}
	}
	slices.SortStableFunc(out, func(x, y Suspect) int {
		switch {
		case x.MM < y.MM:
			return -1
		case x.MM > y.MM:
			return 1
		}
		return 0
	})
	if limit > 0 && len(out) > limit {
		out = out[:limit]
	}
	return out
}

func (c *Copper) suspect(ra, rb int) Suspect {
	best := Suspect{A: int(slices.Min(c.members[ra])), B: int(slices.Min(c.members[rb]))}
	if c.nearest == nil {
		return best
	}
	best.MM = math.Inf(1)
	n := len(c.root)
	for _, a := range c.members[ra] {
		for _, b := range c.members[rb] {
			if mm := float64(c.apartMM[int(a)*n+int(b)]); mm < best.MM {
				best = Suspect{int(a), int(b), mm}
			}
		}
	}
	return best
}

// Confidence is that of the bounds below.
const Confidence = 0.95

// RateBound is the largest share of wrong facts that k random re-probes
// without a single error leave possible with 95 % confidence: 1 − 0.05^(1/k),
// the exact one-sided bound of a binomial with no failure.
func RateBound(k int) float64 {
	if k <= 0 {
		return 1
	}
	return 1 - math.Pow(1-Confidence, 1/float64(k))
}

// Reprobes is how many random re-probes without an error bound the share of
// wrong facts by rate.
func Reprobes(rate float64) int {
	return int(math.Ceil(math.Log(1-Confidence) / math.Log(1-rate)))
}

// again counts a reading of a pair of which the answer was known before.
func (c *Copper) again(r *reading) {
	if r.Kind != Pair || r.says == nothing {
		return
	}
	same := c.Net(r.a) == c.Net(r.b[0])
	if !same && c.Opens(c.Net(r.a), c.Net(r.b[0])) == 0 {
		return
	}
	c.repeated++
	if same != (r.says == joined) {
		c.differed++
	}
}

// Reprobed is how many readings were of pairs of which the answer was known, and
// how many of them gave another.
func (c *Copper) Reprobed() (readings, other int) { return c.repeated, c.differed }

// RateReached is the largest share of wrong facts that those readings leave
// possible with 95 % confidence, had their pairs been chosen at random: the exact
// bound of a binomial. It is 1 while there are none.
func (c *Copper) RateReached() float64 {
	if c.repeated == 0 {
		return 1
	}
	return uncertainty.UpperProportion(c.differed, c.repeated, Confidence)
}

// ReprobePlan picks k settled pairs at random to be probed again: half of them
// said to be joined and half apart, because a share of all pairs would hardly
// ever hit a joined one.
func (c *Copper) ReprobePlan(k int, rng *rand.Rand) [][2]int {
	var same, other [][2]int
	n := len(c.sample.Pads)
	for a := range n {
		for b := range a {
			ra, rb := c.Net(a), c.Net(b)
			switch {
			case ra == rb:
				same = append(same, [2]int{b, a})
			case c.Opens(ra, rb) > 0:
				other = append(other, [2]int{b, a})
			}
		}
	}
	out := pick(same, (k+1)/2, rng)
	return append(out, pick(other, k-len(out), rng)...)
}

func pick(from [][2]int, k int, rng *rand.Rand) [][2]int {
	var out [][2]int
	for _, i := range rng.Perm(len(from))[:min(k, len(from))] {
		out = append(out, from[i])
	}
	return out
}

// Risk says in words what is still in doubt, worst first.
func (c *Copper) Risk() []string {
	cov := c.Coverage()
	var out []string
	if n := len(c.Contradictions()); n > 0 {
		out = append(out, fmt.Sprintf("%s: nothing that hangs on these nets can be relied on", plural(n, "contradiction")))
	}
	if cov.Untried > 0 {
		out = append(out, fmt.Sprintf("%d of %s nobody held apart: two of these nets may be one",
			cov.Untried, plural(cov.NetPairs, "pair of nets", "pairs of nets")))
	}
	if cov.Assumed > 0 {
		out = append(out, fmt.Sprintf("%s assumed, not read", plural(cov.Assumed, "pair of pads", "pairs of pads")))
	}
	if c.repeated > 0 {
		return append(out, fmt.Sprintf("%s of what was known, %d of them other than before: up to %.1f %% of what is known may be wrong, had the pairs been chosen at random (95 %%)",
			plural(c.repeated, "reading"), c.differed, 100*c.RateReached()))
	}
	k := Reprobes(0.05)
	return append(out, fmt.Sprintf("every reading may be wrong: %d random re-probes without an error would bound the share of wrong pairs to %.1f %% (95 %%)",
		k, 100*RateBound(k)))
}

func plural(n int, one string, many ...string) string {
	switch {
	case n == 1:
		return "1 " + one
	case len(many) > 0:
		return fmt.Sprintf("%d %s", n, many[0])
	}
	return fmt.Sprintf("%d %ss", n, one)
}
