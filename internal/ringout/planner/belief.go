package planner

// belief is how probably pairs of nets are one.
type belief struct {
	*view
	direct  []guess
	odds    *odds
	company *company
}

// believe works out the guesses of the moment.
func (p *Planner) believe(v *view) *belief {
	p.kept.free()
	x := &expectations{view: v, places: p.kept.places[:0], direct: p.kept.direct[:0]}
	x.conventions()
	p.kept.places, p.kept.direct = x.places, x.direct
	x.places = supersede(x.slices(), x.places)
	b := &belief{view: v, direct: x.direct, odds: newPads(v)}
	b.company = v.keepCompany(b.odds)
	for f := family(1); f < families; f++ {
		b.match(f, x, b.odds)
	}
	b.company.spread(b.odds)
	b.doubt()
	return b
}

// doubt weighs direct guesses with the open readings there are against them. The
// odds of pads hold these already.
func (b *belief) doubt() {
	for i := range b.direct {
		g := &b.direct[i]
		d := g.chance * b.doubtless(g.a, g.b)
		g.chance = d / (d + 1 - g.chance)
	}
}

// fits is how probably one part of a class fills a place, before any reading.
func fits(p *place, t *part, learnt *lessons) float64 {
	if p.family != t.family {
		return 0
	}
	w := p.chance
	switch {
	case p.class == none:
		w *= learnt.fit(p, t)
	case p.class == t.class:
		w /= max(1, learnt.left[t.class])
	default:
		return 0
	}
	if t.even {
		w /= 2 // each way round
	}
	return w
}

func (b *belief) entryWeight(t *part, nets []int, swapped bool) float64 {
	w := 1.0
	for i, n := range nets {
		x := t.pads[i]
		if swapped {
			x = t.pads[1-i]
		}
		w *= b.pinWeight(x, n)
		if w == 0 {
			return 0
		}
	}
	return w
}

func (b *belief) pinWeight(x, n int) float64 {
	id := b.net[x]
	switch {
	case n == none && b.settled(x):
		return freePin
	case n == none || n == id:
		return 1
	}
	w := b.doubted(id, n)
	if w == 0 || b.tap[id] >= 0 && b.tap[n] >= 0 {
		return 0
	}
	if b.settled(x) {
		w *= wrongNet
	}
	return w * b.near(x, n)
}
