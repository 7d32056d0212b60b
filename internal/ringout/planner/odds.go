package planner

import "slices"

// odds are, of every pad, the nets it may be on.
type odds struct {
	*view
	of [][]chance // of each pad
	// stands reports of each pad whether it stands for itself: of pads alike of
	// which nothing is known only the first does.
	stands []bool
}

type chance struct {
	net int
	p   float64
	why why
}

func newPads(v *view) *odds {
	o := &odds{view: v, of: v.kept.of, stands: make([]bool, len(v.net))}
	for x := range o.of {
		o.of[x] = o.of[x][:0]
	}
	fresh := map[int]bool{} // classes with a fresh part seen
	for i := range v.parts {
		t := &v.parts[i]
		if v.fresh(t) {
			if fresh[t.class] {
				continue
			}
			fresh[t.class] = true
		}
		for _, x := range t.pads {
			o.stands[x] = true
		}
	}
	for x := range v.Planner.pads {
		if v.Planner.pads[x].part < 0 {
			o.stands[x] = true
		}
	}
	return o
}

// fresh reports whether nothing is known of a part.
func (v *view) fresh(t *part) bool {
	for _, x := range t.pads {
		if v.settled(x) || v.copper.Held(v.root[v.net[x]]) > 0 {
			return false
		}
	}
	return true
}

// gather adds up chances of one pad by net.
type gather struct {
	at []int32 // of each net, the place in of plus one
	of []chance
}

func (g *gather) add(net int, p float64, y why) {
	i := g.at[net]
	if i == 0 {
		g.of = append(g.of, chance{net, p, y})
		g.at[net] = int32(len(g.of))
		return
	}
	c := &g.of[i-1]
	if p > c.p {
		c.why = y
	}
	c.p += p
}

// begin takes up what a pad has so far, finish gives it back.
func (g *gather) begin(of []chance) {
	g.of = of
	for i := range of {
		g.at[of[i].net] = int32(i) + 1
	}
}

func (g *gather) finish() []chance {
	for i := range g.of {
		g.at[g.of[i].net] = 0
	}
	return g.of
}

// mix adds a share of weights to the odds of a pad.
func (o *odds) mix(x int, w []float64, share float64, g *gather) {
	g.begin(slices.Grow(o.of[x], len(w)/4))
	for n, p := range w {
		if p *= share; p > o.opt.Luck/8 {
			g.add(n, p, why{source: byCompany})
		}
	}
	o.of[x] = g.finish()
}

// sum is how probably a pad is on one of the nets named so far.
func (o *odds) sum(x int) float64 {
	t := 0.0
	for _, c := range o.of[x] {
		t += c.p
	}
	return t
}

// match finds the odds of a family's pads from the places expected for it.
func (b *belief) match(f family, x *expectations, o *odds) {
	learnt := x.learn(f)
	learnt.count(b, f)
	m := &b.kept.matching
	m.places, m.rows, m.entry = m.places[:0], m.rows[:0], m.entry[:0]
	m.fits = map[int][]float64{}
	for _, p := range x.places {
		if p.family == f {
			m.places = append(m.places, p)
		}
	}
	if len(m.places) == 0 {
		return
	}
	m.columns()
	m.rows = b.rows(m.rows, f, learnt, len(m.places))
	for i := range m.rows {
		b.enter(m, i, learnt)
	}
	m.scale()
	b.spread(m, o)
}

// rows lists the parts of a family that are not placed, as many as there is
// attention for. Alike parts of which nothing is known share a row; so do those
// that there is no attention for.
func (b *belief) rows(rows []row, f family, learnt *lessons, places int) []row {
	most := max(fewest, attention/2/places)
	fresh, last := map[int]int{}, map[int]int{}
	for i := range b.parts {
		t := &b.parts[i]
		if t.family != f || learnt.placed[i] {
			continue
		}
		isFresh := b.fresh(t)
		if at, ok := fresh[t.class]; ok && isFresh {
			rows[at].many++
			continue
		}
		if at, ok := last[t.class]; ok && len(rows) >= most {
			rows[at].many++
			continue
		}
		if isFresh {
			fresh[t.class] = len(rows)
		}
		last[t.class] = len(rows)
		rows = append(rows, row{part: i, many: 1})
	}
	return rows
}

// elsewhere is the share of all nets that readings have left for a part that
// lies where nobody expects it.
func (b *belief) elsewhere(t *part) float64 {
	w := 1.0
	for _, x := range t.pads {
		w *= b.company.left[x]
		if b.settled(x) {
			w *= strayPin
		}
	}
	return w
}

// fitsOf is what fits says of every place for the parts of a class.
func (b *belief) fitsOf(m *matching, t *part, learnt *lessons) []float64 {
	if f, ok := m.fits[t.class]; ok {
		return f
	}
	f := make([]float64, len(m.places))
	for j := range f {
		f[j] = fits(&m.places[j], t, learnt)
	}
	m.fits[t.class] = f
	return f
}

// enter lists the places that row i could fill.
func (b *belief) enter(m *matching, i int, learnt *lessons) {
	r := &m.rows[i]
	t := &b.parts[r.part]
	before := 0.0
	r.first = len(m.entry)
	fit := b.fitsOf(m, t, learnt)
	for j := range m.places {
		p := &m.places[j]
		fit := fit[j]
		if fit == 0 {
			continue
		}
		for _, swapped := range []bool{false, true} {
			if swapped && !t.even {
				continue
			}
			before += fit
			if w := fit * b.entryWeight(t, p.nets, swapped); w > faint {
				m.entry = append(m.entry, entry{int32(j), int32(m.column[j]), swapped, w})
			}
		}
	}
	r.last = len(m.entry)
	r.weight = max(elsewhere, 1-before) * b.elsewhere(t)
	if over := before / (1 - elsewhere); over > 1 {
		for k := r.first; k < r.last; k++ {
			m.entry[k].w /= over
		}
	}
}

// spread turns the chances of places into those of pads.
func (b *belief) spread(m *matching, o *odds) {
	g := &gather{at: make([]int32, len(b.pads))}
	for i := range m.rows {
		r := &m.rows[i]
		t := &b.parts[r.part]
		for k, x := range t.pads {
			g.begin(o.of[x])
			for _, e := range m.entry[r.first:r.last] {
				at := k
				if e.swapped {
					at = 1 - k
				}
				p := &m.places[e.place]
				if at >= len(p.nets) { // a pin beside those of the family
					continue
				}
				if n := p.nets[at]; n != none && n != b.net[x] {
					g.add(n, m.chance(r, e), p.why)
				}
			}
			o.of[x] = g.finish()
		}
	}
}
