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
// tells: half of them at a time. Where readings can be wrong it first asks for the
// beep again.
func (p *Planner) resolve(c *ringout.Copper) (Ask, bool) {
	beeps := c.Beeps()
	if len(beeps) == 0 {
		return Ask{}, false
	}
	v := p.look(c)
	n, open := none, []int(nil)
	for _, beep := range beeps {
		at := v.net[p.own[beep.Pad]]
		left := v.left(at, v.netsOf(beep.Nets), p.likely())
		if many := len(left); many > 0 && (open == nil || many < len(open)) {
			n, open = at, left
		}
	}
	switch {
	case n == none:
		return Ask{}, false
	case p.opt.ErrorRate > 0 && v.beeped[[2]int{min(n, open[0]), max(n, open[0])}] < 2:
		return v.probing(n, open, "a bridge beeped here once, which may be wrong"), true
	}
	return v.probing(n, open[:(len(open)+1)/2], fmt.Sprintf("a bridge beeped: it is on one of %d nets", len(open))), true
}

// likely is by how many readings at least a net must be apart to be no longer
// thought the one that a bridge beeped at.
func (p *Planner) likely() int {
	if p.opt.ErrorRate > 0 {
		return 2
	}
	return 1
}

// netsOf are the nets, in our numbers, of roots.
func (v *view) netsOf(roots []int) []int {
	var out []int
	for _, r := range roots {
		out = append(out, v.net[v.own[r]])
	}
	return out
}

// left are the nets of a set that fewer than enough readings hold apart from n,
// those with the fewest first.
func (v *view) left(n int, set []int, enough int) []int {
	var out []int
	for _, m := range set {
		if m != n && v.open(n, m) < enough {
			out = append(out, m)
		}
	}
	slices.Sort(out)
	out = slices.Compact(out)
	slices.SortStableFunc(out, func(a, b int) int { return v.open(n, a) - v.open(n, b) })
	return out
}

func (v *view) probing(n int, open []int, because string) Ask {
	a := Ask{
		Kind: ringout.Bridge, A: v.landing(n), Stage: Find, Chance: 0.5,
		Settles: len(v.pads[n]) * len(open), Because: because,
	}
	for _, m := range open {
		a.B = append(a.B, v.landing(m))
	}
	slices.Sort(a.B)
	if len(open) == 1 {
		a.Kind = ringout.Pair
	}
	return a
}

// clear asks again for the pair that a contradiction hangs on the most: that with
// the fewest readings behind what it says. A contradiction whose every pair was
// read often enough stays one, for the person to judge.
func (p *Planner) clear(c *ringout.Copper) (Ask, bool) {
	for _, k := range c.Contradictions() {
		a, b, least := 0, 0, max(p.need(), 2)
		if p.opt.ErrorRate > 0 {
			least = p.need() + 2
		}
		last := len(k.Pads) - 1
		if last == 1 && c.Net(k.Pads[0]) != c.Net(k.Pads[1]) && c.Margin(k.Pads[0], k.Pads[1]) != 0 {
			continue
		}
		for i, x := range k.Pads {
			y := k.Pads[(i+1)%len(k.Pads)]
			if m := c.Margin(x, y); max(m, -m) < least {
				a, b, least = x, y, max(m, -m)
			}
		}
		if a == b || last == 1 && c.Net(a) != c.Net(b) && c.Read(a, b) == 0 {
			continue // a bridge that beeped at nothing is for resolve
		}
		return Ask{
			Kind: ringout.Pair, A: min(p.own[a], p.own[b]), B: []int{max(p.own[a], p.own[b])}, Stage: Clear, Chance: 0.5, Settles: 1,
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
		open := v.left(n, set, v.need())
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
		if m != n && v.open(n, m) < v.need() && len(out) < limit {
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
