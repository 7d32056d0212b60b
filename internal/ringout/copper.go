package ringout

import (
	"fmt"
	"math"
	"slices"
)

// Copper is what the readings say about the copper of one sample. Pads are
// numbered as in the sample; a net is named by its root, the number of one of
// its pads.
//
// Joining is a union-find whose tree is not used for proofs: proofs are
// shortest paths in the graph of joining readings, which is kept beside it.
type Copper struct {
	sample *Sample
	rules  Rules

	entries []reading
	pairs   map[pair]*verdict
	near    [][]link // of each pad, the pads that readings join it with

	root    []int32
	members [][]int32 // of each root
	// opens counts, for roots a and b at a·n+b, the readings that hold their nets
	// apart. Invariant: symmetric, 0 where a or b is no root.
	opens []uint8
	held  []int32 // of each root, how many readings hold its net apart from any other

	apartMM   []float32 // distances of pads in mm, at a·n+b; nil without positions
	nearest   []float32 // the same of roots: the least of their pads
	unjoined  []int     // indices of bridge entries that beeped
	bridges   int       // bridge entries taken in
	beeps     int       // those of them that beeped
	torn      bool      // readings contradict the nets: see Add
	strip     Strip
	conflicts []conflict
	checked   bool // conflicts are those of now

	repeated, differed int // readings of pairs of which the answer was known
}

// reading is an entry with its pads looked up.
type reading struct {
	Entry
	a    int
	b    []int
	says meaning
}

type pair struct{ a, b int32 }

func pairOf(a, b int) pair {
	if a > b {
		a, b = b, a
	}
	return pair{int32(a), int32(b)}
}

// verdict counts what the readings of one pair say.
type verdict struct {
	joined, apart int
	assumed       bool  // one pin's pads
	implied       []int // entries that leave no other way than that the pair is joined
	entries       []int
}

// is the majority; a tie of real readings is neither.
func (v *verdict) is() meaning {
	switch {
	case v == nil:
		return nothing
	case v.joined > v.apart || v.apart == 0 && (v.assumed || v.implied != nil):
		return joined
	case v.apart > v.joined:
		return apart
	}
	return nothing
}

// blank reports whether no reading says anything of a pair.
func (v *verdict) blank() bool { return v == nil || v.joined == 0 && v.apart == 0 }

// proven reports whether a pair was itself read as joined.
func (v *verdict) proven() bool { return v != nil && v.joined > v.apart }

// read reports whether readings join a pair, and not only an assumption.
func (v *verdict) read() bool { return v.proven() || v != nil && v.apart == 0 && v.implied != nil }

type link struct {
	pad int32
	v   *verdict
}

// NewCopper begins with no reading. The pads of one pin are taken to be joined,
// as an assumption.
func NewCopper(s *Sample, rules Rules) *Copper {
	c := &Copper{sample: s, rules: rules}
	c.rebuild()
	return c
}

// Sample is the sample the readings are of.
func (c *Copper) Sample() *Sample { return c.sample }

// Add takes in one entry. Entries that were undone must not be added: undoing
// means to begin anew with the entries of [Log.Active]. An error means that the
// entry says nothing about this sample; it is then not taken in.
func (c *Copper) Add(e Entry) error {
	r, err := c.lookUp(e)
	if err != nil {
		return fmt.Errorf("entry %d: %w", e.Number, err)
	}
	c.again(&r)
	c.entries = append(c.entries, r)
	c.checked = false
	if r.Kind == Bridge {
		c.strip.Use(r.B)
	}
	// While readings contradict each other, what follows from a bridge that beeped
	// would hang on the order in which it was worked out.
	if !c.take(len(c.entries)-1) || c.torn && c.beeps > 0 {
		c.rebuild()
		return nil
	}
	c.deduce()
	if c.torn && c.beeps > 0 {
		c.rebuild()
	}
	return nil
}

// Holds says why an entry could not be added, nil if it could.
func (c *Copper) Holds(e Entry) error {
	if _, err := c.lookUp(e); err != nil {
		return fmt.Errorf("entry %d: %w", e.Number, err)
	}
	return nil
}

func (c *Copper) lookUp(e Entry) (reading, error) {
	if err := check(e); err != nil {
		return reading{}, err
	}
	if e.Kind == Undo {
		return reading{}, fmt.Errorf("an undo is no reading")
	}
	r := reading{Entry: e, says: c.rules.judge(e)}
	var err error
	if r.a, err = c.sample.pad(e.A); err != nil {
		return r, err
	}
	for _, name := range e.B {
		b, err := c.sample.pad(name)
		if err != nil {
			return r, err
		}
		r.b = append(r.b, b)
	}
	return r, nil
}

// take works entry i into what is known. It returns false when an earlier
// verdict has changed, so that everything must be worked out anew.
func (c *Copper) take(i int) bool {
	r := &c.entries[i]
	if r.Kind == Bridge {
		c.takeBridge(i)
		return true
	}
	ok := true
	for _, b := range r.b {
		ok = c.takePair(i, r.a, b) && ok
	}
	return ok
}

func (c *Copper) takePair(i, a, b int) bool {
	v, says := c.count(i, a, b), c.entries[i].says
	before, now := c.beforeLast(v, says), v.is()
	switch {
	case before == joined && now != joined, before == apart && says == joined:
		return false
	case now == joined && before != joined:
		c.join(a, b, v)
		if c.bridges > 0 {
			c.holdAll() // what one bridge held apart from both counts once now
		}
	case now == apart && says == apart:
		c.hold(a, b)
	}
	return true
}

// beforeLast is the verdict as it was before its last reading.
func (c *Copper) beforeLast(v *verdict, says meaning) meaning {
	old := *v
	switch says {
	case joined:
		old.joined--
	case apart:
		old.apart--
	}
	return old.is()
}

// count adds entry i to the verdict of a pair.
func (c *Copper) count(i, a, b int) *verdict {
	v := c.verdict(a, b)
	switch c.entries[i].says {
	case joined:
		v.joined++
	case apart:
		v.apart++
	}
	v.entries = append(v.entries, i)
	return v
}

func (c *Copper) verdict(a, b int) *verdict {
	p := pairOf(a, b)
	v := c.pairs[p]
	if v == nil {
		v = &verdict{}
		c.pairs[p] = v
	}
	return v
}

// takeBridge works in a probe against bridged pads. An open one holds a apart
// from each; a beep says only that one of them is joined with it.
func (c *Copper) takeBridge(i int) {
	c.bridges++
	switch r := &c.entries[i]; r.says {
	case apart:
		c.holdBridge(r)
	case joined:
		c.beeps++
		c.unjoined = append(c.unjoined, i)
	}
}

func (c *Copper) holdBridge(r *reading) {
	seen := map[int]bool{}
	for _, b := range r.b {
		if rb := c.Net(b); !seen[rb] {
			seen[rb] = true
			c.hold(r.a, b)
		}
	}
}

// rebuild works all entries out anew.
func (c *Copper) rebuild() {
	n := len(c.sample.Pads)
	c.pairs, c.near = map[pair]*verdict{}, make([][]link, n)
	c.unjoined, c.bridges, c.beeps, c.torn, c.checked = nil, 0, 0, false, false
	c.root, c.members, c.opens = make([]int32, n), make([][]int32, n), make([]uint8, n*n)
	c.held = make([]int32, n)
	for i := range c.root {
		c.root[i], c.members[i] = int32(i), []int32{int32(i)}
	}
	c.measure()
	for _, t := range c.sample.twins() {
		c.verdict(t[0], t[1]).assumed = true
	}
	for i := range c.entries {
		if r := &c.entries[i]; r.Kind != Bridge {
			for _, b := range r.b {
				c.count(i, r.a, b)
			}
		}
	}
	c.replay()
}

// replay joins and holds apart by the verdicts as they stand.
func (c *Copper) replay() {
	for _, t := range c.sample.twins() {
		c.settle(t[0], t[1])
	}
	for i := range c.entries {
		r := &c.entries[i]
		switch {
		case r.Kind != Bridge:
			for _, b := range r.b {
				c.settle(r.a, b)
			}
		case r.says == joined:
			c.beeps++
			c.unjoined = append(c.unjoined, i)
			fallthrough
		default:
			c.bridges++
		}
	}
	c.holdAll()
	c.deduce()
}

func (c *Copper) settle(a, b int) {
	if v := c.verdict(a, b); v.is() == joined && !c.linked(a, b) {
		c.join(a, b, v)
	}
}

// holdAll counts anew what holds nets apart.
func (c *Copper) holdAll() {
	clear(c.opens)
	clear(c.held)
	done := map[pair]bool{}
	for i := range c.entries {
		r := &c.entries[i]
		if r.Kind == Bridge {
			if r.says == apart {
				c.holdBridge(r)
			}
			continue
		}
		for _, b := range r.b {
			// A sweep that is just being taken in has pads that are not counted yet.
			if p, v := pairOf(r.a, b), c.pairs[pairOf(r.a, b)]; v != nil && !done[p] {
				done[p] = true
				for range v.apart - v.joined {
					c.hold(r.a, b)
				}
			}
		}
	}
}

func (c *Copper) linked(a, b int) bool {
	return slices.ContainsFunc(c.near[a], func(l link) bool { return int(l.pad) == b })
}

// join makes a and b one net.
func (c *Copper) join(a, b int, v *verdict) {
	if !c.linked(a, b) {
		c.near[a] = append(c.near[a], link{int32(b), v})
		c.near[b] = append(c.near[b], link{int32(a), v})
	}
	ra, rb := c.Net(a), c.Net(b)
	if ra == rb {
		return
	}
	if c.Opens(ra, rb) > 0 {
		c.torn = true
	}
	if len(c.members[ra]) < len(c.members[rb]) {
		ra, rb = rb, ra
	}
	for _, m := range c.members[rb] {
		c.root[m] = int32(ra)
	}
	c.members[ra] = append(c.members[ra], c.members[rb]...)
	c.members[rb] = nil
	c.merge(ra, rb)
}

// merge moves what was counted for root rb to ra.
func (c *Copper) merge(ra, rb int) {
	n := len(c.root)
	c.held[ra] += c.held[rb]
	for x := range n {
		if o := c.opens[rb*n+x]; o > 0 {
			if x != ra {
				sum := more(c.opens[ra*n+x], o)
				c.opens[ra*n+x], c.opens[x*n+ra] = sum, sum
			}
			c.opens[rb*n+x], c.opens[x*n+rb] = 0, 0
		}
	}
	if c.nearest != nil {
		for x := range n {
			d := min(c.nearest[ra*n+x], c.nearest[rb*n+x])
			c.nearest[ra*n+x], c.nearest[x*n+ra] = d, d
		}
	}
}

// more adds without running over.
func more(a, b uint8) uint8 { return uint8(min(int(a)+int(b), math.MaxUint8)) }

// hold counts a reading that holds the nets of a and b apart.
func (c *Copper) hold(a, b int) {
	ra, rb, n := c.Net(a), c.Net(b), len(c.root)
	if ra == rb {
		c.torn = true // a contradiction, found when it is asked for
		return
	}
	sum := more(c.opens[ra*n+rb], 1)
	c.opens[ra*n+rb], c.opens[rb*n+ra] = sum, sum
	c.held[ra]++
	c.held[rb]++
}

// measure fills in the distances of pads, where all have a position.
func (c *Copper) measure() {
	if c.apartMM == nil {
		c.apartMM = distances(c.sample)
	}
	c.nearest = slices.Clone(c.apartMM)
}

// distances are the distances of all pads in mm, nil unless all have positions.
func distances(s *Sample) []float32 {
	n := len(s.Pads)
	for i := range s.Pads {
		if s.Pads[i].At == nil {
			return nil
		}
	}
	d := make([]float32, n*n)
	for i := range n {
		for j := range i {
			mm := float32(s.Pads[i].At.Distance(*s.Pads[j].At))
			d[i*n+j], d[j*n+i] = mm, mm
		}
	}
	return d
}

// Net is the root of the net that a pad is on.
func (c *Copper) Net(pad int) int { return int(c.root[pad]) }

// Members are the pads of the net with that root; the caller must not change
// them.
func (c *Copper) Members(root int) []int32 { return c.members[root] }

// Opens counts the readings that hold two nets apart, by their roots.
func (c *Copper) Opens(a, b int) int { return int(c.opens[a*len(c.root)+b]) }

// Held counts the readings that hold a net apart from any other, by its root.
func (c *Copper) Held(root int) int { return int(c.held[root]) }

// Distance is the least distance in mm between pads of two nets, by their
// roots; false when positions are not known.
func (c *Copper) Distance(a, b int) (float64, bool) {
	if c.nearest == nil {
		return 0, false
	}
	return float64(c.nearest[a*len(c.root)+b]), true
}

// Margin says by how many readings a pair is joined, negative when apart.
func (c *Copper) Margin(a, b int) int {
	if v := c.pairs[pairOf(a, b)]; v != nil {
		return v.joined - v.apart
	}
	return 0
}

// Read reports how many readings the pair has, whatever they said.
func (c *Copper) Read(a, b int) int {
	if v := c.pairs[pairOf(a, b)]; v != nil {
		return len(v.entries)
	}
	return 0
}

// Readings counts the entries taken in.
func (c *Copper) Readings() int { return len(c.entries) }

// Roots lists the roots of all nets in order.
func (c *Copper) Roots() []int {
	var out []int
	for i, r := range c.root {
		if int(r) == i {
			out = append(out, i)
		}
	}
	return out
}
