package ringout

// deduce joins what only one way is left for: a bridge beeped at a pad, and
// readings hold the pad apart from all bridged nets but one. It goes on until
// nothing more follows.
func (c *Copper) deduce() {
	for {
		i, b, ok := c.lastWay()
		if !ok {
			return
		}
		r := &c.entries[i]
		v := c.verdict(r.a, b)
		v.implied = c.ground(i, b)
		c.join(r.a, b, v)
		c.holdAll()
	}
}

// lastWay finds a bridge that beeped and the one pad left that explains it. It
// drops those that are explained.
func (c *Copper) lastWay() (entry, pad int, ok bool) {
	kept := c.unjoined[:0]
	for _, i := range c.unjoined {
		ways, b := c.ways(i)
		switch {
		case ways == explained:
			continue
		case ways == 1 && !ok && c.pairs[pairOf(c.entries[i].a, b)].is() == nothing:
			entry, pad, ok = i, b, true
			continue
		}
		kept = append(kept, i)
	}
	c.unjoined = kept
	return entry, pad, ok
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
// the bridge, and what excludes each of its other nets.
func (c *Copper) ground(i, b int) []int {
	r := &c.entries[i]
	out := []int{i}
	seen := map[int]bool{c.Net(b): true}
	for _, o := range r.b {
		if rb := c.Net(o); !seen[rb] {
			seen[rb] = true
			j, _, _ := c.holder(c.Net(r.a), rb)
			out = append(out, j)
		}
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
