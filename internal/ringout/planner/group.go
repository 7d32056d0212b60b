package planner

import (
	"fmt"
	"math"
	"slices"

	"cupel/internal/ringout"
)

// A probe against bridged pads asks for many nets at once. It pays when pads may
// be on any of many nets, each improbable: a pair would tell little. What it tells
// is measured in bits, and set against the touches that it takes, those for
// mounting the bridge shared among all pads that are worth asking against it.

// bits is what a question tells whose answer is yes with probability p.
func bits(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -(p*math.Log2(p) + (1-p)*math.Log2(1-p))
}

// crowd is a set of nets to bridge.
type crowd struct {
	nets []int
	pad  int     // that tells the most against it
	p    float64 // that the pad is on one of the nets
}

// group asks for several nets at once where that tells more than the best pair.
func (b *belief) group(pair float64) (Ask, bool) {
	if b.opt.Pairs || pair >= sure {
		return Ask{}, false
	}
	g := b.grouping()
	return b.lowest(g, pair)
}

// grouping holds what all candidates are weighed against.
type grouping struct {
	*belief
	known map[int]bool // classes of which a part is settled
	asks  []int        // pads that may be asked for
	many  []float64    // how many alike each stands for
	on    []bool       // of each net, scratch
}

func (b *belief) grouping() *grouping {
	g := &grouping{belief: b, on: make([]bool, len(b.pads)), known: map[int]bool{}}
	for i := range b.parts {
		if b.done(&b.parts[i]) {
			g.known[b.parts[i].class] = true
		}
	}
	fresh := map[int]float64{}
	for i := range b.parts {
		if b.fresh(&b.parts[i]) {
			fresh[b.parts[i].class]++
		}
	}
	for x := range b.odds.of {
		d := &b.Planner.pads[x]
		if !b.odds.stands[x] || d.twin != x || !b.lonely(x) {
			continue
		}
		n := 1.0
		if d.part >= 0 && b.fresh(&b.parts[d.part]) {
			n = fresh[b.parts[d.part].class]
		}
		g.asks, g.many = append(g.asks, x), append(g.many, n)
	}
	return g
}

func (b *belief) askGroup(c crowd) Ask {
	var pads []int
	for _, n := range c.nets {
		pads = append(pads, b.landing(n))
	}
	slices.Sort(pads)
	return Ask{
		Kind: ringout.Bridge, A: c.pad, B: pads, Stage: Find, Chance: c.p,
		Settles: len(b.pads[b.net[c.pad]]) * len(pads),
		Because: fmt.Sprintf("it may be on any of these %d nets, which bridged take one touch", len(pads)),
	}
}

func (b *belief) lowest(g *grouping, pair float64) (Ask, bool) {
	type option struct {
		c    crowd
		rate float64
		h    float64
	}
	var all []option
	top := 0.0
	for _, x := range g.asks {
		c, rate := b.split(x)
		if rate == 0 {
			continue
		}
		h := entropy(b.odds.of[x])
		if q := b.Planner.pads[x].part; q >= 0 && b.alike[b.parts[q].class] >= 3 && !g.known[b.parts[q].class] {
			h -= firstOfClass
		}
		all = append(all, option{c, rate, h})
		top = math.Max(top, rate)
	}
	best := option{h: math.Inf(1)}
	for _, o := range all {
		if o.rate >= nearTop*top && o.h < best.h-1e-9 {
			best = o
		}
	}
	if math.IsInf(best.h, 1) || best.rate < worthwhile*bits(pair) {
		return Ask{}, false
	}
	return b.askGroup(best.c), true
}

// split finds the set of nets that tells the most a touch of one pad. It tries
// the likeliest nets with three weights for those that have no clip yet.
func (b *belief) split(x int) (crowd, float64) {
	var best crowd
	rate := 0.0
	clipped, bare := b.likeliest(x)
	for _, prefer := range []float64{1, unclipped, 0.01} {
		p, fresh, i, k := 0.0, 0.0, 0, 0
		for i+k < broad && i+k < len(clipped)+len(bare) {
			if k == len(bare) || i < len(clipped) && clipped[i].p >= bare[k].p*prefer {
				p += clipped[i].p
				i++
			} else {
				p += bare[k].p
				fresh++
				k++
			}
			if r := bits(p) / (1 + clipCost*fresh); i+k > 1 && r > rate+1e-9 {
				nets := netsOf(clipped[:i], bare[:k])
				if b.told(b.net[x], nets) {
					break
				}
				rate, best = r, crowd{nets: nets, pad: x, p: p}
			}
		}
	}
	return best, rate
}

// told reports whether a bridge that beeped says already that net n is one of
// those. The odds may leave some of its chance to no net at all, and asking again
// would tell nothing, again and again.
func (v *view) told(n int, nets []int) bool {
	return slices.ContainsFunc(v.within[n], func(set []int) bool {
		return !slices.ContainsFunc(set, func(m int) bool { return !slices.Contains(nets, m) })
	})
}

func netsOf(a, b []chance) []int {
	var out []int
	for _, c := range a {
		out = append(out, c.net)
	}
	for _, c := range b {
		out = append(out, c.net)
	}
	return out
}

// likeliest lists the nets a pad is the most probably on, those with a clip and
// those without, as many of each as a bridge takes.
func (b *belief) likeliest(x int) (clipped, bare []chance) {
	for _, c := range b.odds.of[x] {
		if b.clip[c.net] == none {
			bare = insert(bare, c)
		} else {
			clipped = insert(clipped, c)
		}
	}
	return clipped, bare
}

// insert keeps the top of a list in order: the more probable first, then by net.
func insert(top []chance, c chance) []chance {
	if len(top) == broad {
		if last := &top[broad-1]; c.p < last.p || c.p == last.p && c.net > last.net {
			return top
		}
		top = top[:broad-1]
	}
	i := len(top)
	top = append(top, c)
	for ; i > 0 && (top[i-1].p < c.p || top[i-1].p == c.p && top[i-1].net > c.net); i-- {
		top[i] = top[i-1]
	}
	top[i] = c
	return top
}

func entropy(of []chance) float64 {
	h, sum := 0.0, 0.0
	for _, c := range of {
		sum += c.p
	}
	for _, c := range of {
		if c.p > 0 {
			h -= c.p / sum * math.Log2(c.p/sum)
		}
	}
	return h
}
