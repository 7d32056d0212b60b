package planner

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
	why *why
}

func newPads(v *view) *odds {
	o := &odds{view: v, of: make([][]chance, len(v.net)), stands: make([]bool, len(v.net))}
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

func (o *odds) add(x, net int, p float64, y *why) {
	for i := range o.of[x] {
		if c := &o.of[x][i]; c.net == net {
			if p > c.p {
				c.why = y
			}
			c.p += p
			return
		}
	}
	o.of[x] = append(o.of[x], chance{net, p, y})
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
	m := &matching{}
	for _, p := range x.places {
		if p.family == f {
			m.places = append(m.places, p)
		}
	}
	if len(m.places) == 0 {
		return
	}
	m.columns()
	m.rows = b.rows(f, learnt)
	for i := range m.rows {
		b.enter(m, i, learnt)
	}
	m.scale()
	b.spread(m, o)
}

// rows lists the parts of a family that are not placed; alike parts of which
// nothing is known share a row.
func (b *belief) rows(f family, learnt *lessons) []row {
	var rows []row
	fresh := map[int]int{}
	for i := range b.parts {
		t := &b.parts[i]
		if t.family != f || learnt.placed[i] {
			continue
		}
		if b.fresh(t) {
			if at, ok := fresh[t.class]; ok {
				rows[at].many++
				continue
			}
			fresh[t.class] = len(rows)
		}
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

// enter lists the places that row i could fill.
func (b *belief) enter(m *matching, i int, learnt *lessons) {
	r := &m.rows[i]
	t := &b.parts[r.part]
	before := 0.0
	for j := range m.places {
		p := &m.places[j]
		fit := fits(p, t, learnt)
		if fit == 0 {
			continue
		}
		for _, swapped := range []bool{false, true} {
			if swapped && !t.even {
				continue
			}
			before += fit
			if w := fit * b.entryWeight(t, p.nets, swapped); w > 1e-9 {
				r.entry = append(r.entry, entry{j, swapped, w})
			}
		}
	}
	r.weight = max(elsewhere, 1-before) * b.elsewhere(t)
	if over := before / (1 - elsewhere); over > 1 {
		for k := range r.entry {
			r.entry[k].w /= over
		}
	}
}

// spread turns the chances of places into those of pads.
func (b *belief) spread(m *matching, o *odds) {
	for i := range m.rows {
		r := &m.rows[i]
		t := &b.parts[r.part]
		for _, e := range r.entry {
			p := &m.places[e.place]
			c := m.chance(r, e)
			for k, n := range p.nets {
				x := t.pads[k]
				if e.swapped {
					x = t.pads[1-k]
				}
				if n != none && n != b.net[x] {
					o.add(x, n, c, &p.why)
				}
			}
		}
	}
}
