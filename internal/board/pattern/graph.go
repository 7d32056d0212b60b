package pattern

import (
	"math"

	"cupel/internal/board"
	"cupel/internal/catalog"
)

// Graph is a board with what a pattern can ask of it.
type Graph struct {
	Board *board.Board
	kinds []catalog.Kind // by part
	value []float64      // by part: ohms, farads, henries; NaN where it has none
	pins  [][]board.PinRef
	taps  []int // by net: which tap it is, or noTap
}

const noTap = -1

// NewGraph looks at a board; sheets finds part sheets by name. A part whose
// sheet is missing has no kind and matches nothing.
func NewGraph(b *board.Board, sheets func(string) (*catalog.Sheet, bool)) *Graph {
	g := &Graph{Board: b, pins: make([][]board.PinRef, len(b.Nets)), taps: make([]int, len(b.Nets))}
	for i := range b.Parts {
		kind, value := describe(&b.Parts[i], sheets)
		g.kinds, g.value = append(g.kinds, kind), append(g.value, value)
		for p, pin := range b.Parts[i].Pins {
			if pin.Net != board.NoNet {
				g.pins[pin.Net] = append(g.pins[pin.Net], board.PinRef{Part: i, Pin: p})
			}
		}
	}
	for n := range g.taps {
		g.taps[n] = noTap
	}
	for k := 0; k <= b.Cells; k++ {
		if n := b.Tap(k); n != board.NoNet {
			g.taps[n] = k
		}
	}
	return g
}

// describe gives the kind of a part, bare or by its sheet, and its value.
func describe(p *board.Part, sheets func(string) (*catalog.Sheet, bool)) (catalog.Kind, float64) {
	if p.Sheet == "" {
		return catalog.Kind(p.Kind), p.Value.Nominal()
	}
	s, ok := sheets(p.Sheet)
	if !ok {
		return "", math.NaN()
	}
	if p.Value.Given() {
		return s.Kind, p.Value.Nominal()
	}
	name := map[catalog.Kind]string{catalog.Resistor: "r", catalog.Capacitor: "c", catalog.Inductor: "l", catalog.Link: "r"}[s.Kind]
	if f, ok := s.Figure(name); ok || f.Value.Given() {
		return s.Kind, f.Value.Nominal()
	}
	return s.Kind, math.NaN()
}

// Kind is the kind of part i.
func (g *Graph) Kind(i int) catalog.Kind { return g.kinds[i] }

// Value is the value of part i in SI units: ohms, farads or henries; NaN for
// other kinds.
func (g *Graph) Value(i int) float64 { return g.value[i] }

// Tap is which tap a net is; −1 where it is none.
func (g *Graph) Tap(n board.NetID) int {
	if n < 0 || int(n) >= len(g.taps) {
		return noTap
	}
	return g.taps[n]
}

// Pins lists the pins on a net.
func (g *Graph) Pins(n board.NetID) []board.PinRef { return g.pins[n] }

// net is the net of pin p of part i.
func (g *Graph) net(i, p int) board.NetID { return g.Board.Parts[i].Pins[p].Net }

// hasPad reports whether a net carries one of the pads; any pad if none is
// named.
func (g *Graph) hasPad(n board.NetID, names ...string) bool {
	for _, i := range g.Board.Nets[n].Pads {
		if len(names) == 0 {
			return true
		}
		for _, name := range names {
			if g.Board.Pads[i].Name == name {
				return true
			}
		}
	}
	return false
}

// twoEnded reports whether the pins of a kind can be exchanged.
func twoEnded(k catalog.Kind) bool {
	switch k {
	case catalog.Resistor, catalog.Capacitor, catalog.Inductor, catalog.Link, catalog.Thermistor, catalog.Fuse:
		return true
	}
	return false
}
