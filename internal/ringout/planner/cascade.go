package planner

import (
	"slices"
	"strconv"
)

// Where several stack protectors stand on one another each watches some of the
// cells, and only the lowest senses the current and drives the switches.

// stacks are the stack protectors.
func (v *view) stacks() []*part {
	var out []*part
	for i := range v.parts {
		if v.parts[i].family == stack {
			out = append(out, &v.parts[i])
		}
	}
	return out
}

// inputsOf counts the cell inputs of a stack protector.
func inputsOf(t *part) int {
	n := 0
	for t.pin("v"+strconv.Itoa(n+1)) >= 0 {
		n++
	}
	return n
}

// standsOn is the tap that the ground of a stack protector is on, none if that is
// not known. One that is alone stands on the lowest.
func (v *view) standsOn(t *part) int {
	if vss := v.at(t, "vss"); vss != none && v.tap[vss] >= 0 {
		return v.tap[vss]
	}
	if len(v.stacks()) == 1 {
		return 0
	}
	return none
}

// watched is how many cells a stack protector watches: up to where the next one
// stands. Where that is not known it is an even share, and sure is false.
func (v *view) watched(t *part) (cells int, sure bool) {
	all := v.stacks()
	base, next := v.standsOn(t), v.sample.Cells
	sure = base != none
	for _, o := range all {
		switch low := v.standsOn(o); {
		case o == t:
		case low == none:
			sure = false
		case low > base && low < next:
			next = low
		}
	}
	if sure {
		return min(inputsOf(t), next-base), true
	}
	return min(inputsOf(t), (v.sample.Cells+len(all)-1)/len(all)), false
}

// upper reports whether a stack protector is known to stand above another.
func (v *view) upper(t *part) bool { return v.standsOn(t) > 0 }

// above is the stack protector that stands next above another, nil if there is
// none or it is not known.
func (v *view) above(t *part) *part {
	base := v.standsOn(t)
	var next *part
	for _, o := range v.stacks() {
		low := v.standsOn(o)
		if base == none || low == none {
			return nil
		}
		if low > base && (next == nil || low < v.standsOn(next)) {
			next = o
		}
	}
	return next
}

// Weights of the taps that a stack protector may stand on.
const (
	evenShare = 1.0  // each watches as many cells, or one more or less
	fullShare = 0.4  // each but the top one uses all its inputs
	anyShare  = 0.03 // anything else
)

// shares weighs all taps by how likely one of several stack protectors stands
// there.
func (v *view) shares(several, inputs int) []float64 {
	w := slices.Repeat([]float64{anyShare}, v.sample.Cells)
	put := func(k int, a float64) {
		if k < len(w) {
			w[k] = max(w[k], a)
		}
	}
	for i := range several {
		put(i*v.sample.Cells/several, evenShare)
		put((i*v.sample.Cells+several-1)/several, evenShare)
		put(i*inputs, fullShare)
	}
	return w
}

// grounds expects the ground of a stack protector on the taps that it can stand
// on, and where another does not.
func (x *expectations) grounds(t *part, several int) {
	vss := x.at(t, "vss")
	if several == 1 {
		x.same(ruleStackSupply, vss, x.tapNet[0], 0.9)
		return
	}
	if x.standsOn(t) != none {
		return
	}
	taken := map[int]bool{}
	for _, o := range x.stacks() {
		taken[x.standsOn(o)] = true
	}
	w, sum := x.shares(several, inputsOf(t)), 0.0
	for k := range w {
		if n := x.tapNet[k]; n == none || taken[k] || x.doubtless(vss, n) == 0 {
			w[k] = 0
		}
		sum += w[k]
	}
	for k, a := range w {
		if a > 0 {
			x.same(ruleStackSupply, vss, x.tapNet[k], 0.95*a/sum)
		}
	}
}

// unused is how probably a pin of a stack protector is left open.
func (v *view) unused(t *part, pin string) float64 {
	several := len(v.stacks()) > 1
	switch pin {
	case "do_out", "co_out":
		if !several || v.standsOn(t) == 0 {
			return 0.8 // there is nobody below
		}
	case "do", "toc", "tr", "ts":
		if v.upper(t) {
			return 0.7
		}
	}
	return pick(several && v.standsOn(t) == none, 0.2, 0.1)
}

// spare expects inputs that are left over at the one below.
func (x *expectations) spare(t *part) {
	cells, sure := x.watched(t)
	for k := cells + 1; k <= inputsOf(t); k++ {
		x.same(ruleSpareInput, x.at(t, "v"+strconv.Itoa(k)), x.at(t, "v"+strconv.Itoa(k-1)), pick(sure, 0.85, 0.4))
	}
}
