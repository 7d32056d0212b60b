package planner

import (
	"slices"

	"cupel/internal/ringout"
)

// Stage says what a question is for.
type Stage string

// The stages.
const (
	Find    Stage = "find"    // what is joined
	Confirm Stage = "confirm" // a join that the meter could have got wrong
	Clear   Stage = "clear"   // a contradiction
	Close   Stage = "close"   // that the rest is apart
)

// Ask is what to probe next.
type Ask struct {
	Kind    ringout.EntryKind
	A       int
	B       []int // one pad for a pair; in turn for a sweep; together for a bridge
	Stage   Stage
	Because string
	Chance  float64 // how probably it is thought to beep
	Settles int     // pairs of pads that the answer settles, itself included
}

// Options says how careful to be. The zero value believes every reading and
// closes pair by pair.
type Options struct {
	// ErrorRate is the share of readings that the meter, or the hand that holds
	// the lead, gets wrong. 0 believes every reading.
	ErrorRate float64
	// Doubt is how probable a wrong join or split may remain, each; 0 means 1e-7. It
	// matters with an error rate only.
	Doubt float64
	// Pairs asks for pairs and sweeps only, never for bridged pads.
	Pairs bool
	// Luck is the chance below which a guess is left to the closing sweep; 0
	// means 0.002.
	Luck float64
}

// Planner plans for one sample.
type Planner struct {
	sample *ringout.Sample
	opt    Options
	parts  []part
	pads   []pad
	native []int       // of our pads, the number in the sample
	own    []int       // of the sample's pads, the number here
	tapPad map[int]int // tap to one of its pads
	kinds  int         // how many pin types there are
	alike  []int       // parts of each class
	kept   kept
}

// New plans for s.
func New(s *ringout.Sample, opt Options) *Planner {
	if opt.Luck == 0 {
		opt.Luck = 0.002
	}
	if opt.Doubt == 0 {
		opt.Doubt = 1e-7
	}
	p := &Planner{sample: s, opt: opt, tapPad: map[int]int{}}
	p.order()
	p.classify()
	p.kept.of, p.kept.expected = make([][]chance, len(p.pads)), map[knew]bool{}
	return p
}

// order numbers pads by name.
func (p *Planner) order() {
	n := len(p.sample.Pads)
	p.native, p.own = make([]int, n), make([]int, n)
	for i := range p.native {
		p.native[i] = i
	}
	slices.SortFunc(p.native, func(a, b int) int { return natural(p.sample.Pads[a].Name, p.sample.Pads[b].Name) })
	for i, a := range p.native {
		p.own[a] = i
	}
}

// natural compares names so that R2 stands before R10.
func natural(a, b string) int {
	for a != "" && b != "" {
		na, nb := digits(a), digits(b)
		switch {
		case na > 0 && nb > 0:
			x, y := trimZeros(a[:na]), trimZeros(b[:nb])
			if len(x) != len(y) {
				return len(x) - len(y)
			}
			if x != y {
				return compare(x, y)
			}
			a, b = a[na:], b[nb:]
		case a[0] != b[0]:
			return int(a[0]) - int(b[0])
		default:
			a, b = a[1:], b[1:]
		}
	}
	return len(a) - len(b)
}

func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

func trimZeros(s string) string {
	for len(s) > 1 && s[0] == '0' {
		s = s[1:]
	}
	return s
}

func compare(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// Next says what to probe next, given what is known. ok is false when nothing
// is left to ask.
func (p *Planner) Next(c *ringout.Copper) (a Ask, ok bool) {
	stages := []func(*ringout.Copper) (Ask, bool){p.clear, p.find, p.resolve, p.close, p.confirm}
	if p.opt.ErrorRate > 0 { // a beep is made sure of before guesses are built on it
		stages = []func(*ringout.Copper) (Ask, bool){p.clear, p.resolve, p.find, p.confirm, p.strengthen, p.close}
	}
	for _, stage := range stages {
		if a, ok = stage(c); ok {
			return p.outward(a), true
		}
	}
	return Ask{}, false
}

// outward turns our numbers into the sample's.
func (p *Planner) outward(a Ask) Ask {
	a.A = p.native[a.A]
	b := make([]int, len(a.B))
	for i, x := range a.B {
		b[i] = p.native[x]
	}
	a.B = b
	return a
}
