package ringout

// deduce joins what only one way is left for: a bridge beeped at a pad, and
// readings hold the pad apart from all bridged nets but one. It goes on until
// nothing more follows. What follows at one time is joined at one time, so that
// the order of the entries makes no difference.
func (c *Copper) deduce() {
	for {
		found := c.lastWays()
		if len(found) == 0 {
			return
		}
		for i := range found {
			found[i].ground = c.ground(found[i].entry, found[i].pad)
		}
		for _, f := range found {
			a := c.entries[f.entry].a
			v := c.verdict(a, f.pad)
			v.implied = f.ground
			c.join(a, f.pad, v)
		}
		c.holdAll()
	}
}

// deduction is a bridge that beeped, and the pad of it that is left.
type deduction struct {
	entry, pad int
	ground     []int // entries that it follows from
}

// lastWays finds the bridges that beeped of which one pad is left that explains
// it. It drops those that are explained.
func (c *Copper) lastWays() []deduction {
	var out []deduction
	kept := c.unjoined[:0]
	for _, i := range c.unjoined {
		ways, b := c.ways(i)
		switch {
		case ways == explained:
			continue
		case ways == 1 && c.pairs[pairOf(c.entries[i].a, b)].blank():
			out = append(out, deduction{entry: i, pad: b})
			continue
		case ways == 0:
			c.torn = true
		}
		kept = append(kept, i)
	}
	c.unjoined = kept
	return out
}

const explained = -1

// ways counts the nets of a bridge that nothing holds apart from its probe, and
// names a pad of one; explained if the probe is known to be on one.
func (c *Copper) ways(i int) (n, pad int) {
	r := &c.entries[i]
	ra := c.Net(r.a)
	seen := map[int]bool{}
	for _, b := range r.b {
		rb := c.Net(b)
		switch {
		case rb == ra:
			return explained, b
		case seen[rb] || c.Opens(ra, rb) > 0:
		default:
			n, pad = n+1, b
		}
		seen[rb] = true
	}
	return n, pad
}

// ground lists the entries from which it follows that a bridge beeped at pad b:
// the bridge, and of each of its other nets what excludes it.
func (c *Copper) ground(i, b int) []int {
	r := &c.entries[i]
	out := []int{i}
	done := map[int]bool{c.Net(b): true}
	for _, o := range r.b {
		if ro := c.Net(o); !done[ro] {
			done[ro] = true
			j, x, y := c.holder(c.Net(r.a), ro)
			out = append(append(append(out, j), c.chain(r.a, x)...), c.chain(y, o)...)
		}
	}
	// All pads of the bridge on the one net left are one way only because they are one.
	for _, o := range r.b {
		if o != b && c.Net(o) == c.Net(b) {
			out = append(out, c.chain(o, b)...)
		}
	}
	// So are pads of an excluded net: what excludes one excludes the others.
	first := map[int]int{}
	for _, o := range r.b {
		if f, ok := first[c.Net(o)]; !ok {
			first[c.Net(o)] = o
		} else if c.Net(o) != c.Net(b) {
			out = append(out, c.chain(f, o)...)
		}
	}
	return tidy(out)
}

// chain lists the entries that join two pads of one net.
func (c *Copper) chain(a, b int) []int {
	if a == b {
		return nil
	}
	var out []int
	for _, l := range c.path(a, b) {
		out = append(out, c.behind(l.v)...)
	}
	return out
}

// Beep is a bridge that beeped and is not explained yet: the probe is on one of
// the nets.
type Beep struct {
	Pad  int
	Nets []int // roots, in order
}

// Beeps lists the bridges that beeped of which it is not known why.
func (c *Copper) Beeps() []Beep {
	var out []Beep
	for _, i := range c.unjoined {
		r := &c.entries[i]
		b := Beep{Pad: r.a}
		for _, p := range r.b {
			b.Nets = append(b.Nets, c.Net(p))
		}
		b.Nets = tidy(b.Nets)
		out = append(out, b)
	}
	return out
}

// Clipped lists the pads that have a clip.
func (c *Copper) Clipped() []int {
	out := make([]int, 0, len(c.strip.Pads))
	for _, name := range c.strip.Pads {
		p, _ := c.sample.Pad(name)
		out = append(out, p)
	}
	return out
}
