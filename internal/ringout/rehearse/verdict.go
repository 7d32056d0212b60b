package rehearse

import (
	"math/rand/v2"
	"slices"

	"cupel/internal/board"
	"cupel/internal/evidence"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

// nets counts the nets of the truth; a pad on none is one of its own.
func nets(truth strip.Truth) int {
	seen := map[board.NetID]bool{}
	n := 0
	for _, id := range truth {
		if id == board.NoNet || !seen[id] {
			n++
		}
		seen[id] = true
	}
	return n
}

// representatives is what the usual way takes: each pad against one pad of each
// net there is, in any order, until it beeps.
func representatives(truth strip.Truth, rng *rand.Rand) int {
	var reps []board.NetID
	touches := 0
	for _, i := range rng.Perm(len(truth)) {
		order := rng.Perm(len(reps))
		at := slices.IndexFunc(order, func(k int) bool { return reps[k] == truth[i] && truth[i] != board.NoNet })
		if at >= 0 {
			touches += at + 1
			continue
		}
		touches += len(reps)
		reps = append(reps, truth[i])
	}
	return touches
}

// same reports whether the nets are those of the truth.
func same(c *ringout.Copper, truth strip.Truth) bool {
	root := map[board.NetID]int{}
	used := map[int]bool{}
	for pad, id := range truth {
		r := c.Net(pad)
		have, known := root[id]
		switch {
		case id != board.NoNet && known && have != r:
			return false
		case id != board.NoNet && known:
		case used[r]:
			return false
		default:
			used[r] = true
			if id != board.NoNet {
				root[id] = r
			}
		}
	}
	return true
}

// Net is a net as it was recovered, by its pads' names in the sample as given.
type Net struct {
	Pads []string
	// True are the nets of the truth that its pads are on, each once; a pad on none
	// counts as [board.NoNet].
	True []board.NetID
}

// judge lists the nets that differ from the truth without a sign of it, and those
// that the readings themselves call contradicted.
func judge(c *ringout.Copper, x mixed) (wrong, flagged []Net) {
	size := map[board.NetID]int{}
	for _, id := range x.truth {
		size[id]++
	}
	for _, n := range c.Nets() {
		net := x.net(n)
		whole := len(net.True) == 1 && (net.True[0] == board.NoNet && len(n.Pads) == 1 || net.True[0] != board.NoNet && len(n.Pads) == size[net.True[0]])
		switch {
		case n.Grade == evidence.Contradicted:
			flagged = append(flagged, net)
		case !whole:
			wrong = append(wrong, net)
		}
	}
	return wrong, flagged
}

func (x *mixed) net(n ringout.Net) Net {
	var out Net
	for _, p := range n.Pads {
		out.Pads = append(out.Pads, x.given[p])
		out.True = append(out.True, x.truth[p])
	}
	slices.Sort(out.Pads)
	slices.Sort(out.True)
	out.True = slices.Compact(out.True)
	return out
}
