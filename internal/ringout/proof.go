package ringout

import "slices"

// Why returns the numbers of the entries that prove pads a and b to be one net,
// along the shortest chain of readings: of a pair that was itself read, those
// of that pair. ok is false when they are not one net; an empty list with ok
// means that only assumptions join them.
func (c *Copper) Why(a, b int) (entries []int, ok bool) {
	if a == b {
		return nil, true
	}
	if c.Net(a) != c.Net(b) {
		return nil, false
	}
	for _, l := range c.path(a, b) {
		entries = append(entries, c.numbers(l.v)...)
	}
	return tidy(entries), true
}

// WhyApart returns the numbers of the entries that hold the nets of a and b
// apart: one open reading, and the chains from a and from b to where it was
// taken. ok is false when no reading does.
func (c *Copper) WhyApart(a, b int) (entries []int, ok bool) {
	ra, rb := c.Net(a), c.Net(b)
	if ra == rb || c.Opens(ra, rb) == 0 {
		return nil, false
	}
	i, x, y := c.holder(ra, rb)
	left, _ := c.Why(a, x)
	right, _ := c.Why(y, b)
	return tidy(append(append([]int{c.entries[i].Number}, left...), right...)), true
}

// holder finds an entry that holds two nets apart, and where it was taken.
func (c *Copper) holder(ra, rb int) (i, x, y int) {
	for i := range c.entries {
		r := &c.entries[i]
		if r.says != apart {
			continue
		}
		for _, b := range r.b {
			switch {
			case c.Net(r.a) == ra && c.Net(b) == rb && c.stands(r, b):
				return i, r.a, b
			case c.Net(r.a) == rb && c.Net(b) == ra && c.stands(r, b):
				return i, b, r.a
			}
		}
	}
	panic("ringout: opens counts a reading that is not there")
}

// stands reports whether an open reading against b is not outvoted by others of
// the same pair.
func (c *Copper) stands(r *reading, b int) bool {
	return r.Kind == Bridge || c.pairs[pairOf(r.a, b)].is() == apart
}

// path is the shortest chain of joining links from a to b, the one read first
// among equally short ones; each link names the pad it leads to. It panics when
// there is none.
func (c *Copper) path(a, b int) []link {
	from := map[int]link{a: {}} // how each pad was reached, and from where
	todo := []int{a}
	for at := 0; at < len(todo) && todo[at] != b; at++ {
		for _, l := range c.near[todo[at]] {
			if _, seen := from[int(l.pad)]; !seen {
				from[int(l.pad)] = link{int32(todo[at]), l.v}
				todo = append(todo, int(l.pad))
			}
		}
	}
	var out []link
	for x := b; x != a; {
		l, ok := from[x]
		if !ok {
			panic("ringout: one net without a chain of links")
		}
		out = append(out, link{int32(x), l.v})
		x = int(l.pad)
	}
	slices.Reverse(out)
	return out
}

// numbers are the numbers of the entries behind a verdict.
func (c *Copper) numbers(v *verdict) []int {
	out := c.behind(v)
	for k, i := range out {
		out[k] = c.entries[i].Number
	}
	return out
}

// behind are the entries behind a verdict, those that say what it says only.
func (c *Copper) behind(v *verdict) []int {
	var out []int
	if !v.proven() {
		out = append(out, v.implied...)
	}
	for _, i := range v.entries {
		if c.entries[i].says == v.is() {
			out = append(out, i)
		}
	}
	return out
}

func tidy(n []int) []int {
	slices.Sort(n)
	return slices.Compact(n)
}
