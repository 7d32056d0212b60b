package planner

import (
	"fmt"
	"slices"

	"cupel/internal/ringout"
)

// confirm asks for what is only assumed: that the pads of one pin are joined. It
// reads the first pad of a pin, by name, with each other one.
func (p *Planner) confirm(c *ringout.Copper) (Ask, bool) {
	best := [2]int{len(p.pads), 0}
	for _, t := range c.Assumptions() {
		first := p.pads[p.own[t[0]]].twin
		if b := p.unread(c, first); b != none && first < best[0] {
			best = [2]int{first, b}
		}
	}
	if best[0] == len(p.pads) {
		return Ask{}, false
	}
	return Ask{
		Kind: ringout.Pair, A: best[0], B: best[1:], Stage: Confirm, Chance: 0.99, Settles: 1,
		Because: "both pads belong to one pin: one beep confirms what is assumed",
	}, true
}

// unread is the first other pad of a pin that no reading joins with its first.
func (p *Planner) unread(c *ringout.Copper, first int) int {
	for x := range p.pads {
		if p.pads[x].twin == first && x != first && c.Margin(p.native[first], p.native[x]) == 0 {
			return x
		}
	}
	return none
}

// resolve asks which of the nets it is that a bridge beeped at, where no guess
// tells: half of them at a time.
func (p *Planner) resolve(c *ringout.Copper) (Ask, bool) {
	if len(c.Beeps()) == 0 {
		return Ask{}, false
	}
	v := p.look(c)
	for n, sets := range v.within {
		for _, set := range sets {
			if open := v.left(n, set); len(open) > 1 {
				return v.half(n, open), true
			}
		}
	}
	return Ask{}, false
}

// left are the nets of a set that nothing holds apart from n.
func (v *view) left(n int, set []int) []int {
	var out []int
	for _, m := range set {
		if m != n && v.apart(n, m) == 0 {
			out = append(out, m)
		}
	}
	slices.Sort(out)
	return out
}

func (v *view) half(n int, open []int) Ask {
	half := open[:len(open)/2]
	a := Ask{
		Kind: ringout.Bridge, A: v.landing(n), Stage: Find, Chance: float64(len(half)) / float64(len(open)),
		Settles: len(v.pads[n]) * len(half), Because: fmt.Sprintf("a bridge beeped: it is on one of %d nets", len(open)),
	}
	for _, m := range half {
		a.B = append(a.B, v.landing(m))
	}
	slices.Sort(a.B)
	if len(half) == 1 {
		a.Kind = ringout.Pair
	}
	return a
}

// clear asks again for the reading that a contradiction hangs on the most.
func (p *Planner) clear(c *ringout.Copper) (Ask, bool) {
	for _, k := range c.Contradictions() {
		a, b := p.own[k.Pads[0]], p.own[k.Pads[1]]
		return Ask{
			Kind: ringout.Pair, A: a, B: []int{b}, Stage: Clear, Chance: 0.5, Settles: 1,
			Because: "readings contradict each other: " + k.Text,
		}, true
	}
	return Ask{}, false
}

// close shows that nets that were not found to be joined are apart.
func (p *Planner) close(c *ringout.Copper) (Ask, bool) {
	v := p.look(c)
	if p.opt.Pairs {
		return v.closeBySweep()
	}
	return v.closeByBridge()
}

// closeBySweep holds the first net of which not all is known against all others
// in turn.
func (v *view) closeBySweep() (Ask, bool) {
	for n := range v.pads {
		if open := v.untried(n, len(v.pads)); len(open) > 0 {
			return v.closing(ringout.Sweep, n, open), true
		}
	}
	return Ask{}, false
}

// closeByBridge holds one net after the other against all that have clips, and
// moves the clips once these are known to be apart from everything.
func (v *view) closeByBridge() (Ask, bool) {
	clipped := make([]int, 0, ringout.Clips)
	for n, x := range v.clip {
		if x != none {
			clipped = append(clipped, n)
		}
	}
	if a, ok := v.against(clipped); ok {
		return a, true
	}
	var open []int
	for n := range v.pads {
		if len(open) < ringout.Clips && len(v.untried(n, 1)) > 0 {
			open = append(open, n)
		}
	}
	return v.against(open)
}

// against asks for the net of which the most is open against a set of nets.
func (v *view) against(set []int) (Ask, bool) {
	best, most := none, []int(nil)
	for n := range v.pads {
		open := v.left(n, set)
		if len(open) > len(most) {
			best, most = n, open
		}
	}
	if best == none {
		return Ask{}, false
	}
	return v.closing(ringout.Bridge, best, most), true
}

// untried lists up to limit nets that nothing holds apart from n.
func (v *view) untried(n, limit int) []int {
	var out []int
	for m := range v.pads {
		if m != n && v.apart(n, m) == 0 && len(out) < limit {
			out = append(out, m)
		}
	}
	return out
}

func (v *view) closing(kind ringout.EntryKind, n int, open []int) Ask {
	a := Ask{
		Kind: kind, A: v.landing(n), Stage: Close, Settles: len(v.pads[n]) * len(open),
		Because: fmt.Sprintf("nothing else holds it apart from these %d nets yet; no beep is expected", len(open)),
	}
	for _, m := range open {
		a.B = append(a.B, v.landing(m))
	}
	slices.Sort(a.B)
	if len(open) == 1 {
		a.Kind, a.Because = ringout.Pair, "nothing else holds these two nets apart yet; no beep is expected"
	}
	return a
}
