package pattern

import (
	"fmt"
	"math"
	"slices"

	"cupel/internal/board"
	"cupel/internal/quantity"
)

// Difference is where one slice is not like the others.
type Difference struct {
	Cell int
	Part int // −1: the slice has no such part
	Like int // the part of another slice that it is compared with
	Text string
}

// Differences lists where slices differ: a part that is missing, another value,
// another sheet, a pin that lies elsewhere. Each is either a decision of the
// board's maker or a mistake in tracing it.
func Differences(g *Graph, rows []Repeat) []Difference {
	var out []Difference
	for _, r := range rows {
		usual := g.usual(r)
		for k, i := range r.Parts {
			switch {
			case i < 0:
				out = append(out, Difference{k + 1, -1, usual, "has no part like " + g.Board.Parts[usual].Ref})
			case i != usual:
				if text := g.unlike(i, usual); text != "" {
					out = append(out, Difference{k + 1, i, usual, text})
				}
			}
		}
		out = append(out, g.elsewhere(r, usual)...)
	}
	return out
}

// usual is the part that most of its row are like in value, sheet and wiring.
func (g *Graph) usual(r Repeat) int {
	best, most := -1, 0
	for k, i := range r.Parts {
		if i < 0 {
			continue
		}
		n := 0
		for l, j := range r.Parts {
			if j >= 0 && g.unlike(i, j) == "" && slices.Equal(g.wiring(i, k+1), g.wiring(j, l+1)) {
				n++
			}
		}
		if n > most {
			best, most = i, n
		}
	}
	return best
}

// unlike says how part i differs from part j in itself.
func (g *Graph) unlike(i, j int) string {
	a, b := &g.Board.Parts[i], &g.Board.Parts[j]
	switch x, y := g.value[i], g.value[j]; {
	case a.Sheet != b.Sheet:
		return fmt.Sprintf("is %s, %s is %s", a.Sheet, b.Ref, b.Sheet)
	case math.Abs(x-y) > 1e-9*math.Abs(y):
		return fmt.Sprintf("is %s, %s is %s", short(a.Value), b.Ref, short(b.Value))
	case max(a.Count, 1) != max(b.Count, 1):
		return fmt.Sprintf("is %d in parallel, %s %d", a.Count, b.Ref, b.Count)
	}
	return ""
}

// short prints a nominal value.
func short(q quantity.Quantity) string {
	return quantity.Quantity{Dim: q.Dim, Min: math.NaN(), Typ: q.Nominal(), Max: math.NaN()}.String()
}

// elsewhere compares how the pins of each part of a row lie towards each other
// and the taps of its cell with how those of the usual one do.
func (g *Graph) elsewhere(r Repeat, usual int) []Difference {
	home := 0
	for k, i := range r.Parts {
		if i == usual {
			home = k + 1
		}
	}
	want := g.wiring(usual, home)
	var out []Difference
	for k, i := range r.Parts {
		if i < 0 || i == usual || len(g.Board.Parts[i].Pins) != len(want) {
			continue
		}
		for p, have := range g.wiring(i, k+1) {
			if have != want[p] {
				out = append(out, Difference{k + 1, i, usual, fmt.Sprintf("pin %s lies %s, that of %s %s",
					g.Board.Parts[i].Pins[p].Name, have, g.Board.Parts[usual].Ref, want[p])})
			}
		}
	}
	return out
}

// wiring says of each pin what can be compared between slices: which tap of its
// cell it lies on, or which other pin of the part.
func (g *Graph) wiring(i, cell int) []string {
	pins := g.Board.Parts[i].Pins
	out := make([]string, len(pins))
	if twoEnded(g.kinds[i]) {
		return out // its ends may lie either way
	}
	for p, pin := range pins {
		out[p] = "on a net of its own"
		if pin.Net == board.NoNet {
			out[p] = "on nothing"
			continue
		}
		for q := range p {
			if pins[q].Net == pin.Net {
				out[p] = "on that of pin " + pins[q].Name
			}
		}
		if t := g.taps[pin.Net]; t != noTap {
			out[p] = map[int]string{cell: "on the top of its cell", cell - 1: "on the bottom of its cell"}[t]
			if out[p] == "" {
				out[p] = "on another cell's tap"
			}
		}
	}
	return out
}
