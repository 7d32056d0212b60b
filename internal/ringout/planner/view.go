package planner

import (
	"math"
	"slices"

	"cupel/internal/ringout"
)

// view is what is known at one moment, in the planner's numbers. Nets are
// numbered by their first pads.
type view struct {
	*Planner
	copper *ringout.Copper
	net    []int   // of each pad
	pads   [][]int // of each net, in order
	root   []int   // of each net, in the copper's numbers
	tap    []int   // of each net, -1 if none
	tapNet []int   // of each tap, none if no pad reaches it
	term   map[string]int
	// within are, of each net, the sets of nets that it is known to be one with
	// one of.
	within [][][]int
	clip   []int          // of each net, a pad of it that has a clip, none if none
	beeped map[[2]int]int // of two nets, the lower first, the bridges that beeped between them; only for a meter that errs
	joined []bool         // of each pad, whether its net has pads beyond its own part's
}

// none stands where a net is not known.
const none = -1

func (p *Planner) look(c *ringout.Copper) *view {
	v := &view{Planner: p, copper: c, net: make([]int, len(p.native)), term: map[string]int{}}
	seen := make([]int, len(p.native))
	for x, n := range p.native {
		r := c.Net(n)
		if seen[r] == 0 {
			v.pads, v.root, v.tap = append(v.pads, nil), append(v.root, r), append(v.tap, none)
			seen[r] = len(v.pads)
		}
		id := seen[r] - 1
		v.net[x] = id
		v.pads[id] = append(v.pads[id], x)
		v.note(x, id)
	}
	v.settle()
	v.readBridges()
	v.tapNet = make([]int, p.sample.Cells+1)
	for k := range v.tapNet {
		v.tapNet[k] = none
		if x, ok := p.tapPad[k]; ok {
			v.tapNet[k] = v.net[x]
		}
	}
	return v
}

// note takes down what pad x tells about its net.
func (v *view) note(x, id int) {
	d := &v.Planner.pads[x]
	if d.tap >= 0 {
		v.tap[id] = d.tap
	}
	if d.term != "" {
		v.term[d.term] = id
	}
}

// at is the net of a part's pin, none if it has no such pin.
func (v *view) at(t *part, pin string) int {
	if x := t.pin(pin); x >= 0 {
		return v.net[x]
	}
	return none
}

// up is the net of the tap by that many above the tap of a net.
func (v *view) up(net, by int) int {
	if net == none || v.tap[net] < 0 {
		return none
	}
	if k := v.tap[net] + by; k >= 0 && k < len(v.tapNet) {
		return v.tapNet[k]
	}
	return none
}

// terminal is the net of a terminal, none if the board has none such.
func (v *view) terminal(name string) int {
	if id, ok := v.term[name]; ok {
		return id
	}
	return none
}

// settled reports whether a pad's net has pads beyond its own part's.
func (v *view) settled(x int) bool { return v.joined[x] }

// settle finds which pads are settled: on a net with a pad of the board and
// another one, or with pads of two parts.
func (v *view) settle() {
	v.joined = make([]bool, len(v.net))
	for _, pads := range v.pads {
		first, is := v.Planner.pads[pads[0]].part, false
		for _, y := range pads[1:] {
			is = is || first < 0 || v.Planner.pads[y].part != first
		}
		for _, y := range pads {
			v.joined[y] = is
		}
	}
}

// apart reports whether readings hold two nets apart.
func (v *view) apart(a, b int) int { return v.copper.Opens(v.root[a], v.root[b]) }

// readBridges takes down what bridges told and which pads have clips.
func (v *view) readBridges() {
	v.within, v.clip = make([][][]int, len(v.pads)), filled(len(v.pads))
	for _, beep := range v.copper.Beeps() {
		if v.opt.ErrorRate > 0 { // it may be wrong, so it rules nothing out
			v.countBeeps(beep)
			continue
		}
		var set []int
		for _, r := range beep.Nets {
			set = append(set, v.net[v.own[r]])
		}
		id := v.net[v.own[beep.Pad]]
		v.within[id] = append(v.within[id], set)
	}
	for _, p := range v.copper.Clipped() {
		x := v.own[p]
		v.clip[v.net[x]] = x
	}
}

// countBeeps counts a bridge that beeped with each net that it may be due to.
func (v *view) countBeeps(beep ringout.Beep) {
	if v.beeped == nil {
		v.beeped = map[[2]int]int{}
	}
	n := v.net[v.own[beep.Pad]]
	for _, m := range v.netsOf(beep.Nets) {
		v.beeped[[2]int{min(n, m), max(n, m)}]++
	}
}

// open is by how many readings two nets are apart: those that hold them apart
// less the beeps that nothing else explains.
func (v *view) open(n, m int) int { return v.apart(n, m) - v.beeped[[2]int{min(n, m), max(n, m)}] }

// excluded reports whether a bridge that beeped rules out that two nets are one.
func (v *view) excluded(a, b int) bool {
	return (v.within[a] != nil || v.within[b] != nil) && v.excludes(a, b)
}

// excludes is excluded for nets that a bridge beeped at: few have any such, and
// the question is asked of every pin and place.
func (v *view) excludes(a, b int) bool {
	for _, set := range v.within[a] {
		if !slices.Contains(set, b) {
			return true
		}
	}
	for _, set := range v.within[b] {
		if !slices.Contains(set, a) {
			return true
		}
	}
	return false
}

// doubted is the factor that open readings put on the odds of two nets being
// one.
func (v *view) doubted(a, c int) float64 {
	n, e := v.apart(a, c), v.opt.ErrorRate
	switch {
	case n > 0 && e == 0 || v.excluded(a, c):
		return 0
	case n == 0:
		return 1
	}
	return math.Pow(e/(1-e), float64(n))
}

// doubtless is doubted, and 0 for two taps: they are different nets.
func (v *view) doubtless(a, c int) float64 {
	if v.tap[a] >= 0 && v.tap[c] >= 0 && v.tap[a] != v.tap[c] {
		return 0
	}
	return v.doubted(a, c)
}

// possible is 0 where readings that are believed exclude a join, else 1.
func (v *view) possible(a, c int) float64 {
	if v.doubtless(a, c) == 0 {
		return 0
	}
	return 1
}

// done reports whether all pins of a part are settled.
func (v *view) done(t *part) bool {
	for _, x := range t.pads {
		if !v.settled(x) {
			return false
		}
	}
	return true
}
