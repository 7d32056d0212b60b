package ringout

import (
	"slices"

	"cupel/internal/evidence"
)

// Net is one piece of copper as far as it is known.
type Net struct {
	Root int
	Pads []int // in order
	// Grade of the net as a whole. Proven: readings join all its pads and hold it
	// apart from every other net. Implied: readings join all its pads, but from some
	// net nothing holds it apart. Assumed: some pad hangs on because it belongs to
	// the same pin, or from some net only distance keeps it. Contradicted: readings
	// of its pads contradict each other. Unknown: one pad, of which no reading says
	// that it is alone.
	Grade   evidence.Grade
	Because []int // the numbers of the entries that join it
	Untried []int // roots of the nets that no reading holds it apart from
}

// Nets lists all nets in the order of their first pads.
func (c *Copper) Nets() []Net {
	bad := c.Contradicted()
	roots := c.Roots()
	var out []Net
	for _, r := range roots {
		n := Net{Root: r}
		for _, m := range c.members[r] {
			n.Pads = append(n.Pads, int(m))
		}
		slices.Sort(n.Pads)
		c.grade(&n, roots, bad[r])
		out = append(out, n)
	}
	slices.SortFunc(out, func(a, b Net) int { return a.Pads[0] - b.Pads[0] })
	return out
}

func (c *Copper) grade(n *Net, roots []int, bad bool) {
	assumed := false
	for _, p := range n.Pads {
		for _, l := range c.near[p] {
			n.Because = append(n.Because, c.numbers(l.v)...)
		}
	}
	n.Because = tidy(n.Because)
	far := 0
	for _, r := range roots {
		if r == n.Root || c.Opens(n.Root, r) > 0 {
			continue
		}
		n.Untried = append(n.Untried, r)
		if c.far(n.Root, r) {
			far++
		}
	}
	assumed = !c.readWhole(n.Root) || far > 0 && far == len(n.Untried)
	n.Grade = gradeOf(len(n.Pads), len(n.Untried), assumed, bad)
}

func gradeOf(pads, untried int, assumed, bad bool) evidence.Grade {
	switch {
	case bad:
		return evidence.Contradicted
	case assumed:
		return evidence.Assumed
	case untried == 0:
		return evidence.Proven
	case pads > 1:
		return evidence.Implied
	}
	return evidence.Unknown
}

// far reports whether distance alone lets two nets count as apart.
func (c *Copper) far(ra, rb int) bool {
	mm, ok := c.Distance(ra, rb)
	return ok && c.rules.ApartMM > 0 && mm > c.rules.ApartMM
}

// readWhole reports whether readings alone, without assumptions, join all pads
// of a net.
func (c *Copper) readWhole(root int) bool {
	return len(c.reach(root, (*verdict).read)) == len(c.members[root])
}

// reach lists the pads that links with good verdicts lead to from a pad.
func (c *Copper) reach(from int, good func(*verdict) bool) []int {
	seen := map[int]bool{from: true}
	todo := []int{from}
	for i := 0; i < len(todo); i++ {
		for _, l := range c.near[todo[i]] {
			if p := int(l.pad); !seen[p] && good(l.v) {
				seen[p] = true
				todo = append(todo, p)
			}
		}
	}
	return todo
}

// Weakest finds, in the net of a pad, a joined pair that fewer than margin
// readings hold together and without which the net would fall apart among the
// better ones; false when the net stands without it.
func (c *Copper) Weakest(pad, margin int) (a, b int, ok bool) {
	strong := c.reach(pad, func(v *verdict) bool { return v.joined-v.apart >= margin })
	if len(strong) == len(c.members[c.Net(pad)]) {
		return 0, 0, false
	}
	in := map[int]bool{}
	for _, p := range strong {
		in[p] = true
	}
	slices.Sort(strong)
	for _, p := range strong {
		for _, l := range c.near[p] {
			if !in[int(l.pad)] {
				return p, int(l.pad), true
			}
		}
	}
	return 0, 0, false
}

// Relation grades what is known between two pads.
type Relation struct {
	Same  bool // one net, as far as known
	Grade evidence.Grade
}

// Relation says how pads a and b stand to each other. A pair that was read is
// proven, one that follows through others implied; the same pin's pads and far
// nets are assumed.
func (c *Copper) Relation(a, b int) Relation {
	bad := c.Contradicted()
	return c.relation(a, b, bad)
}

func (c *Copper) relation(a, b int, bad map[int]bool) Relation {
	ra, rb := c.Net(a), c.Net(b)
	v := c.pairs[pairOf(a, b)]
	r := Relation{Same: ra == rb}
	switch {
	case bad[ra] && ra == rb || v != nil && v.joined == v.apart && v.joined > 0:
		r.Grade = evidence.Contradicted
	case r.Same && v.proven(), !r.Same && v.is() == apart:
		r.Grade = evidence.Proven
	case r.Same && c.onlyAssumed(a, b):
		r.Grade = evidence.Assumed
	case r.Same, c.Opens(ra, rb) > 0:
		r.Grade = evidence.Implied
	case c.far(ra, rb):
		r.Grade = evidence.Assumed
	default:
		r.Grade = evidence.Unknown
	}
	return r
}

// onlyAssumed reports whether a and b fall apart without assumptions.
func (c *Copper) onlyAssumed(a, b int) bool {
	return !slices.Contains(c.reach(a, (*verdict).read), b)
}

// Assumptions lists the pairs of pads that are taken to be joined because they
// belong to one pin, and that no readings join.
func (c *Copper) Assumptions() [][2]int {
	var out [][2]int
	for _, t := range c.sample.twins() {
		if v := c.pairs[pairOf(t[0], t[1])]; v.is() == joined && !v.read() && c.onlyAssumed(t[0], t[1]) {
			out = append(out, t)
		}
	}
	return out
}
