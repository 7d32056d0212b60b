package planner

import (
	"math"
	"slices"
)

// company is where pads would be that neither slices nor conventions expect
// anywhere: by which types of pin were found together on this board, and before
// anything was found, by what kind of net it is.
type company struct {
	*view
	kinds int
	likes []float64   // of type of pin and net at kind·nets+net
	per   [][]float64 // of pads that stand for themselves, the weight of each net
	left  []float64   // of pads, the share of weight that readings have left
}

func (v *view) keepCompany(o *odds) *company {
	c := &company{view: v, kinds: v.kinds, per: make([][]float64, len(v.net)), left: make([]float64, len(v.net))}
	v.kept.weights = v.kept.weights[:0]
	c.learn()
	most := max(fewest, attention/len(v.pads))
	for x := range v.net {
		c.left[x] = 1
		if most > 0 && o.stands[x] && v.Planner.pads[x].twin == x && v.lonely(x) {
			c.weigh(x)
			most--
		}
	}
	return c
}

// lonely reports whether a pad has no company yet, or is the first of a net that
// has only pads of its own type: equal switches in parallel lead somewhere too.
func (v *view) lonely(x int) bool {
	if !v.settled(x) {
		return true
	}
	pads := v.pads[v.net[x]]
	for _, y := range pads {
		if v.Planner.pads[y].kind != v.Planner.pads[x].kind {
			return false
		}
	}
	return pads[0] == x
}

// weigh weighs all nets for one pad.
func (c *company) weigh(x int) {
	w := c.weights()
	all, left := 0.0, 0.0
	kind := c.Planner.pads[x].kind
	for n := range c.pads {
		if n == c.net[x] {
			continue
		}
		a := c.likes[kind*len(c.pads)+n] * c.near(x, n) * c.ownPart(x, n)
		all += a
		if d := c.doubtless(c.net[x], n); d > 0 {
			w[n] = a * d
			left += w[n]
		}
	}
	if all > 0 {
		c.left[x] = math.Max(left/all, 1e-6)
	}
	if left > 0 {
		for n := range w {
			w[n] /= left
		}
	}
	c.per[x] = w
}

// weights is room for one weight a net, taken from what the planner keeps.
func (c *company) weights() []float64 {
	n := len(c.pads)
	at := len(c.kept.weights)
	c.kept.weights = slices.Grow(c.kept.weights, n)[:at+n]
	w := c.kept.weights[at : at+n : at+n]
	clear(w)
	return w
}

// ownPart makes it improbable that a part has two pins on one net.
func (c *company) ownPart(x, n int) float64 {
	p := c.Planner.pads[x].part
	if p < 0 {
		return 1
	}
	for _, y := range c.parts[p].pads {
		if c.net[y] == n {
			return 0.03
		}
	}
	return 1
}

// spread gives what is left of each pad's chance to company. The longer a pad
// was asked for in vain, the likelier it has no company at all.
func (c *company) spread(o *odds) {
	g := &gather{at: make([]int32, len(c.pads))}
	for x, w := range c.per {
		if w == nil {
			continue
		}
		a := c.alone(x)
		a /= a + (1-a)*c.left[x]
		sum := o.sum(x)
		rest := math.Max(1-sum, leastLeft)
		scale := (1 - a) / math.Max(sum+rest, 1)
		for i := range o.of[x] {
			o.of[x][i].p *= scale
		}
		o.mix(x, w, scale*rest, g)
	}
}

// alone is the chance that a pad has no other on its net, before anything was
// asked: pins of protectors may be left open, those of other parts hardly ever.
func (c *company) alone(x int) float64 {
	d := &c.Planner.pads[x]
	switch {
	case len(c.within[c.net[x]]) > 0:
		return 0
	case c.settled(x):
		return ownKindOnly
	case d.part < 0:
		return 0.1
	case c.parts[d.part].family == stack:
		return c.unused(&c.parts[d.part], c.parts[d.part].pins[d.pin])
	case len(c.parts[d.part].pads) > 3:
		return 0.04
	}
	return 0.005
}

// learn finds, for every type of pin and every net, how many more such pins it
// should have by what nets with the same types have, and how likely such a net is
// to have any further pad.
func (c *company) learn() {
	s := c.statistics()
	c.likes = make([]float64, c.kinds*len(c.pads))
	stands := c.balance()
	here := make([]float64, c.kinds)
	for n := range c.pads {
		for _, k := range s.on[n] {
			here[k.kind] = k.many
		}
		for a := range c.kinds {
			best := 0.0
			for _, k := range s.on[n] {
				best = max(best, s.lacks(a, k.kind, here[a], len(c.pads[n]) > 1))
			}
			c.likes[a*len(c.pads)+n] = stands[n] + lackWeight*best
		}
		for _, k := range s.on[n] {
			here[k.kind] = 0
		}
	}
}

// together counts how often types of pins share nets.
type together struct {
	kinds int
	nets  []float64 // of each kind, on how many nets that have company it is
	pins  []float64 // of kinds a and b at a·kinds+b, pins of a on nets with b
	on    [][]pinCount
}

// pinCount is how many pins of a kind a net has.
type pinCount struct {
	kind int
	many float64
}

func (v *view) statistics() *together {
	s := &together{
		kinds: v.kinds, nets: make([]float64, v.kinds), pins: make([]float64, v.kinds*v.kinds),
		on: make([][]pinCount, len(v.pads)),
	}
	for n, pads := range v.pads {
		for _, x := range pads {
			if v.Planner.pads[x].twin == x {
				s.on[n] = count(s.on[n], v.Planner.pads[x].kind)
			}
		}
		if len(pads) < 2 {
			continue
		}
		for _, k := range s.on[n] {
			s.nets[k.kind]++
			for _, a := range s.on[n] {
				s.pins[a.kind*s.kinds+k.kind] += a.many
			}
		}
	}
	return s
}

func count(on []pinCount, kind int) []pinCount {
	for i := range on {
		if on[i].kind == kind {
			on[i].many++
			return on
		}
	}
	return append(on, pinCount{kind, 1})
}

// lacks is how many more pins of kind a a net should have that has that many and
// one of kind k, by all other nets that have one. One such net more that has none
// is thought of: a single example is no rule.
func (s *together) lacks(a, k int, has float64, counted bool) float64 {
	others, pins := s.nets[k], s.pins[a*s.kinds+k]
	if counted { // without the net itself
		others--
		pins -= has
	}
	if others <= 0 {
		return 0
	}
	return max(0, pins/(others+1)-has)
}

// balance weighs nets so that all with two pads and more together are as likely a
// company as their share of the nets that there will be at the end, and all pads
// still alone as the rest: every pad alone must have company somewhere, and the
// fewer there are the likelier each is.
func (v *view) balance() []float64 {
	w := make([]float64, len(v.pads))
	var sum, many [2]float64
	for n := range w {
		w[n] = v.standing(n)
		k := min(len(v.pads[n]), 2) - 1
		sum[k] += w[n]
		many[k]++
	}
	all := 0.4 * float64(len(w))
	known := min(mostKnown, firstLarger*many[1]*padsANet/float64(len(v.net)))
	for n := range w {
		if len(v.pads[n]) > 1 {
			w[n] *= all * known / sum[1]
		} else {
			w[n] *= all * (1 - known) / sum[0]
		}
	}
	return w
}

// standing is how likely a net is to have further pads, by what is on it.
func (v *view) standing(n int) float64 {
	pads := v.pads[n]
	w := 0.3
	if len(pads) > 1 {
		w = 0.4 + 0.1*math.Sqrt(float64(len(pads)))
	}
	if v.tap[n] >= 0 {
		w += 0.3
	}
	if d := &v.Planner.pads[pads[0]]; len(pads) == 1 && d.part >= 0 && !v.parts[d.part].even {
		w = 0.8 // a lone pin that must lead somewhere
	}
	return w
}
