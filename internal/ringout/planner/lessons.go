package planner

import "math"

// lessons are which classes of part a rule was seen to use on this board.
type lessons struct {
	x       *expectations
	seen    [ruleCount]map[int]float64 // class to times
	total   [ruleCount]float64
	asked   [ruleCount]float64 // places of the rule
	left    map[int]float64    // parts of each class that are not settled
	classes []classOf          // that have such parts
	wholes  map[limits]float64
	// placed are the parts that lie where they are expected with every pin.
	placed map[int]bool
}

// learn looks at the places of a family that are filled, and drops them.
func (x *expectations) learn(f family) *lessons {
	l := &lessons{x: x, placed: map[int]bool{}}
	for i := range l.seen {
		l.seen[i] = map[int]float64{}
	}
	used, full := map[filling]bool{}, map[slot]bool{}
	open := make([]bool, len(x.places))
	for i := range x.places {
		p := &x.places[i]
		open[i] = true
		if p.family != f {
			continue
		}
		if p.rule != none {
			l.asked[p.rule] += p.chance
		}
		part, ok := x.filler(p, used)
		if !ok {
			continue
		}
		if p.rule != none && !full[p.slot] {
			l.seen[p.rule][x.parts[part].class]++
			l.total[p.rule]++
		}
		if knows(p.nets) < len(p.nets) && x.partly(part) {
			continue // it lies here, but where its other pins go is still to be found
		}
		open[i] = false
		l.placed[part] = true
		used[filling{part, p.rule, firstKnown(p.nets)}] = true
		full[p.slot] = p.slot != slot{}
	}
	kept := x.places[:0]
	for i, p := range x.places {
		if open[i] && !full[p.slot] {
			kept = append(kept, p)
		}
	}
	x.places = kept
	return l
}

// filling says that a part fills a place of a rule on a net. It fills no second
// one there; but a part between two nets may well be what is expected at each.
type filling struct{ part, rule, net int }

// filler finds a part that lies in a place already.
func (x *expectations) filler(p *place, used map[filling]bool) (int, bool) {
	n := firstKnown(p.nets) // whatever fills the place has a pad there
	for _, y := range x.pads[n] {
		q := x.Planner.pads[y].part
		if q < 0 || x.parts[q].family != p.family {
			continue
		}
		if used[filling{q, p.rule, n}] || p.rule == none && x.parts[q].class != p.class || p.rule != none && !x.inRange(p, q) {
			continue
		}
		if x.lies(&x.parts[q], p.nets) {
			return q, true
		}
	}
	return 0, false
}

func firstKnown(nets []int) int {
	for _, n := range nets {
		if n != none {
			return n
		}
	}
	panic("planner: a place without a net")
}

func (x *expectations) inRange(p *place, q int) bool {
	v := x.parts[q].value
	return v == 0 || v >= p.lo && v <= p.hi
}

// lies reports whether a part's pins are on the nets that are known.
func (x *expectations) lies(t *part, nets []int) bool {
	return x.liesSo(t, nets, false) || t.even && x.liesSo(t, nets, true)
}

func (x *expectations) liesSo(t *part, nets []int, swapped bool) bool {
	for i, n := range nets {
		at := i
		if swapped {
			at = 1 - i
		}
		if n != none && x.net[t.pads[at]] != n {
			return false
		}
	}
	return true
}

// partly reports whether a part has a pin that is not settled.
func (x *expectations) partly(part int) bool {
	for _, y := range x.parts[part].pads {
		if !x.settled(y) {
			return true
		}
	}
	return false
}

// count counts the parts of a family that are not settled.
func (l *lessons) count(b *belief, f family) {
	l.left, l.wholes = map[int]float64{}, map[limits]float64{}
	for i := range b.parts {
		t := &b.parts[i]
		if t.family != f || l.placed[i] {
			continue
		}
		if l.left[t.class] == 0 {
			l.classes = append(l.classes, classOf{t.class, t.value})
		}
		l.left[t.class]++
	}
}

// outside is the weight of a class whose value a rule does not expect.
const outside = 0.02

// fit is the share of a rule's places that one part of a class can be expected
// to fill. Before the board showed anything every part is as likely as another,
// but for values the rule does not expect and for classes with too few parts for
// all its places.
func (l *lessons) fit(p *place, t *part) float64 {
	left := l.left[t.class]
	if left == 0 {
		return 0
	}
	prior := l.prior(p, t.class, t.value) / l.whole(p)
	return (prior + learning*l.seen[p.rule][t.class]/left) / (1 + learning*l.total[p.rule])
}

func (l *lessons) prior(p *place, class int, value float64) float64 {
	enough := math.Min(1, float64(l.x.alike[class])/math.Max(1, l.asked[p.rule]))
	w := 0.05 + enough*enough
	if value != 0 && (value < p.lo || value > p.hi) {
		w *= outside
	}
	return w
}

// whole is the sum of prior over all parts of the family that are not settled.
func (l *lessons) whole(p *place) float64 {
	k := limits{p.rule, p.lo, p.hi}
	if w, ok := l.wholes[k]; ok {
		return w
	}
	w := 0.0
	for _, c := range l.classes {
		w += l.left[c.class] * l.prior(p, c.class, c.value)
	}
	l.wholes[k] = w
	return w
}

type limits struct {
	rule   int
	lo, hi float64
}

// classOf is a class of a family with the value its parts have.
type classOf struct {
	class int
	value float64
}
