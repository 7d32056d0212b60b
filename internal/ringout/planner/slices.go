package planner

import (
	"slices"
	"strconv"
)

// reach is how many cells up and down a slice is compared with others. Slices
// further away are reached through those between.
const reach = 4

// shift says which net of a slice corresponds to which net of the slice some
// cells further up.
type shift struct {
	*view
	by    int
	to    []int // of each net, the corresponding one, none if not known
	of    []int // of each part, the corresponding one, none if not known
	key   []bool
	taken []bool // of each part, whether it corresponds to another
	// loose counts, of each class, the parts that are not settled.
	loose []int
}

// shifts compares the board with itself, moved up and down by some cells.
func (v *view) shifts() []*shift {
	global := map[int]bool{}
	var out []*shift
	for pass := range 2 {
		out = nil
		for by := -reach; by <= reach; by++ {
			if by == 0 || by >= len(v.tapNet)-1 || -by >= len(v.tapNet)-1 {
				continue
			}
			s := v.shift(by, global)
			out = append(out, s)
			if pass == 0 {
				s.global(global)
			}
		}
	}
	return out
}

// global notes the nets that correspond to themselves: lines that run through
// all slices.
func (s *shift) global(into map[int]bool) {
	for n, m := range s.to {
		if n == m {
			into[n] = true
		}
	}
}

// shift begins with the taps, and follows alike parts from the nets that are
// known to correspond to those that then do.
func (v *view) shift(by int, global map[int]bool) *shift {
	s := &shift{view: v, by: by, to: filled(len(v.pads)), of: filled(len(v.parts)), key: make([]bool, len(v.pads)), taken: make([]bool, len(v.parts)), loose: make([]int, len(v.alike))}
	for n := range global {
		s.to[n] = n
	}
	for k, n := range v.tapNet {
		if at := k + by; n != none && at >= 0 && at < len(v.tapNet) && v.tapNet[at] != none {
			s.to[n], s.key[n] = v.tapNet[at], true
		}
	}
	s.inputs()
	for q := range v.parts {
		if !v.done(&v.parts[q]) {
			s.loose[v.parts[q].class]++
		}
	}
	for changed := true; changed; {
		changed = false
		for q := range v.parts {
			changed = s.follow(q) || changed
		}
	}
	return s
}

func filled(n int) []int { return slices.Repeat([]int{none}, n) }

// inputs moves the cell inputs of stack protectors, those of several that stand
// on one another too.
func (s *shift) inputs() {
	at := map[int]int{} // the input of each cell, by its tap
	for _, t := range s.stacks() {
		base := s.standsOn(t)
		if base == none {
			continue
		}
		cells, _ := s.watched(t)
		for k := 1; k <= cells; k++ {
			if _, seen := at[base+k]; !seen {
				at[base+k] = s.at(t, "v"+strconv.Itoa(k))
			}
		}
	}
	for k, n := range at {
		if m, ok := at[k+s.by]; ok && s.to[n] == none {
			s.to[n], s.key[n] = m, true
		}
	}
}

// follow finds the part that corresponds to q, if one fits better than all
// others and q fits it better than all others do.
func (s *shift) follow(q int) bool {
	if s.of[q] != none || s.parts[q].family == stack {
		return false
	}
	p, swapped, ok := s.best(q)
	if !ok {
		return false
	}
	s.of[q], s.taken[p] = p, true
	t, u := &s.parts[q], &s.parts[p]
	for i, x := range t.pads {
		at := i
		if swapped {
			at = 1 - i
		}
		if n := s.net[x]; s.to[n] == none && s.settled(x) {
			s.to[n] = s.net[u.pads[at]]
			s.key[n] = s.to[n] != n
		}
	}
	return true
}

// best finds the one part that lies where q would, by a net that singles it
// out: only one part like q is there, and none of those not found yet is to be
// expected there.
func (s *shift) best(q int) (part int, swapped, ok bool) {
	t := &s.parts[q]
	for i, x := range t.pads {
		n := s.net[x]
		m := s.to[n]
		if m == none || !s.key[n] || !s.telling(t, n) {
			continue
		}
		if s.count(t, i, n) != 1 || s.count(t, i, m) != 1 {
			continue
		}
		p, sw := s.other(t, i, m)
		if p != q && !s.taken[p] && s.fits(q, p, sw != s.turned(t, i)) {
			return p, sw != s.turned(t, i), true
		}
	}
	return 0, false, false
}

// telling reports whether a net has room for one part like t only: there is one
// a cell, or all are found, or the net is that of an output.
func (s *shift) telling(t *part, n int) bool {
	if s.alike[t.class] <= len(s.tapNet) || s.loose[t.class] == 0 {
		return true
	}
	for _, y := range s.pads[n] {
		q := s.Planner.pads[y].part
		if q < 0 {
			continue
		}
		switch o := &s.parts[q]; o.family {
		case protector, balancer, stack:
			return y != o.pin("vdd") && y != o.pin("vss")
		}
	}
	return false
}

// count counts the parts like t that have the same pin on net n.
func (s *shift) count(t *part, pin, n int) int {
	many := 0
	for _, y := range s.pads[n] {
		if s.like(t, pin, y) {
			many++
		}
	}
	return many
}

// like reports whether pad y is the same pin of a part like t.
func (s *shift) like(t *part, pin, y int) bool {
	d := &s.Planner.pads[y]
	return d.part >= 0 && d.twin == y && s.parts[d.part].class == t.class && (t.even || d.pin == pin)
}

// other finds the one part like t with the pin on net n, and whether it lies
// with its second pin there.
func (s *shift) other(t *part, pin, n int) (int, bool) {
	for _, y := range s.pads[n] {
		if s.like(t, pin, y) {
			d := &s.Planner.pads[y]
			return d.part, t.even && d.pin != 0
		}
	}
	panic("planner: counted a part that is not there")
}

// turned reports whether a pin is the second of an even part.
func (s *shift) turned(t *part, pin int) bool { return t.even && pin != 0 }

// fits reports whether no pin of p is known to be elsewhere than where that of
// q would be.
func (s *shift) fits(q, p int, swapped bool) bool {
	for i, x := range s.parts[q].pads {
		at := i
		if swapped {
			at = 1 - i
		}
		y := s.parts[p].pads[at]
		if m := s.to[s.net[x]]; m != none && m != s.net[y] && (s.apart(m, s.net[y]) > 0 || s.settled(y)) {
			return false
		}
	}
	return true
}

// slices expects at every slice what was found at another.
func (x *expectations) slices() []place {
	count := map[like]*images{}
	var order []*images
	for _, s := range x.view.shifts() {
		here := map[*images]int{}
		for q := range x.parts {
			p, ok := x.image(s, q)
			if !ok {
				continue
			}
			k := like{p.class, sorted(p.family, p.nets)}
			at := count[k]
			if at == nil {
				at = &images{place: p}
				count[k] = at
				order = append(order, at)
			}
			here[at]++
			at.many = max(at.many, here[at])
			at.place.chance = max(at.place.chance, p.chance)
		}
	}
	var out []place
	for _, k := range order {
		for range k.many {
			out = append(out, k.place)
		}
	}
	return distinct(out)
}

// like tells places of parts of one class apart.
type like struct {
	class int
	nets  [mostPins]int
}

// images are equal places that one shift expects.
type images struct {
	place place
	many  int
}

// image is where a part like q is expected under a shift; none if q is not
// known well enough, or its image is itself.
func (x *expectations) image(s *shift, q int) (place, bool) {
	t := &x.parts[q]
	p := place{family: t.family, class: t.class, rule: none, nets: x.kept.blank(len(t.pads))}
	if x.alike[t.class] < 2 || t.family == stack || t.family == other || len(t.pads) > mostPins {
		return p, false
	}
	keys, taps, settled, private := 0, 0, 0, 0.0
	for i, y := range t.pads {
		n := x.net[y]
		if !x.settled(y) {
			continue
		}
		settled++
		m := s.to[n]
		p.nets[i] = m
		if m != none && s.key[n] {
			keys++
		}
		if x.tap[n] >= 0 {
			taps++
		} else if m != n && x.movable(n, s.by) {
			private = max(private, x.credit(n, q))
		}
	}
	p.chance = x.imageChance(&p, taps > 1 || settled == taps, taps, private)
	if taps == 1 && private == 0 {
		p.chance *= x.tapShare(t)
	}
	p.why = why{bySlice, int32(q), int32(s.by)}
	return p, keys > 0 && p.chance > 0
}

// tapShare is the share of the parts like t, of those that are known at all,
// that lie on a tap.
func (x *expectations) tapShare(t *part) float64 {
	known, on := 1.0, 0.5
	for i := range x.parts {
		if x.parts[i].class != t.class {
			continue
		}
		settled, tap := false, false
		for _, y := range x.parts[i].pads {
			settled = settled || x.settled(y)
			tap = tap || x.settled(y) && x.tap[x.net[y]] >= 0
		}
		if settled {
			known++
		}
		if tap {
			on++
		}
	}
	return on / known
}

// credit is how surely a net belongs to a slice: by the part on it, other than
// q, whose class has the most parts for all slices.
func (x *expectations) credit(n, q int) float64 {
	best := 0.0
	for _, y := range x.pads[n] {
		if p := x.Planner.pads[y].part; p >= 0 && p != q {
			best = max(best, min(1, float64(x.alike[x.parts[p].class])/float64(max(1, x.sample.Cells))))
		}
	}
	return best * best
}

// movable reports whether what is on a net would still be on the board when
// moved by some cells: whether no part on it leaves the taps.
func (x *expectations) movable(n, by int) bool {
	for _, y := range x.pads[n] {
		q := x.Planner.pads[y].part
		if q < 0 {
			continue
		}
		for _, z := range x.parts[q].pads {
			if k := x.tap[x.net[z]]; k >= 0 && (k+by < 0 || k+by >= len(x.tapNet)) {
				return false
			}
		}
	}
	return true
}

// imageChance is how probably a slice repeats a part. A class with too few parts
// for all slices is not in all. A part known by taps alone is sure with two of
// them; with one it may belong to either cell at it, so that at the ends of the
// stack it may have nowhere to be.
func (x *expectations) imageChance(p *place, tapsOnly bool, taps int, private float64) float64 {
	enough := min(1, float64(x.alike[p.class])/float64(max(1, x.sample.Cells)))
	switch {
	case !tapsOnly:
		return 0.9 * enough * private
	case taps > 1:
		return 0.9 * enough
	}
	for _, n := range p.nets {
		if n != none && (x.tap[n] == 0 || x.tap[n] == x.sample.Cells) {
			return 0.2 * enough * enough
		}
	}
	return 0.6 * enough * enough
}

// distinct drops places of which less is known than of others that are the
// same otherwise.
func distinct(in []place) []place {
	used := make([]bool, len(in))
	var out []place
	for i := range in {
		if coarser(in, used, i) {
			continue
		}
		out = append(out, in[i])
	}
	return out
}

// coarser finds for in[i] a place that knows more, and uses it up.
func coarser(in []place, used []bool, i int) bool {
	for j := range in {
		if !used[j] && j != i && in[j].class == in[i].class && knows(in[j].nets) > knows(in[i].nets) &&
			agree(in[i].nets, in[j].nets, in[i].family) {
			used[j] = true
			return true
		}
	}
	return false
}

func knows(nets []int) int {
	n := 0
	for _, x := range nets {
		if x != none {
			n++
		}
	}
	return n
}

// agree reports whether two places can be one: no net differs, one at least is
// the same.
func agree(a, b []int, f family) bool {
	if agreeSo(a, b) {
		return true
	}
	return len(a) == 2 && f != diode && f != zener && agreeSo(a, []int{b[1], b[0]})
}

func agreeSo(a, b []int) bool {
	same := false
	for i := range a {
		switch {
		case a[i] == none || b[i] == none:
		case a[i] != b[i]:
			return false
		default:
			same = true
		}
	}
	return same
}

// supersede puts together what slices and conventions say of the same place: the
// class by the slice, the nets by whoever knows them. For each place of a slice
// it drops one of every rule.
func supersede(bySlice, byRule []place) []place {
	told := make([]bool, len(byRule))
	out := slices.Clone(bySlice)
	for k := range out {
		s := &out[k]
		done := map[int]bool{}
		for i := range byRule {
			p := &byRule[i]
			if told[i] || done[p.rule] || s.family != p.family || !agree(p.nets, s.nets, p.family) {
				continue
			}
			told[i], done[p.rule] = true, true
			s.nets = joined(s.nets, p.nets)
		}
	}
	for i, p := range byRule {
		if !told[i] {
			out = append(out, p)
		}
	}
	return out
}

// joined is what two places that agree know together.
func joined(a, b []int) []int {
	if !agreeSo(a, b) {
		b = []int{b[1], b[0]}
	}
	out := slices.Clone(a)
	for i, n := range b {
		if out[i] == none {
			out[i] = n
		}
	}
	return out
}
