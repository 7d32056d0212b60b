package boardtest

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"cupel/internal/board"
)

// Mutate returns a copy of b with one thing wrong, and what: a part missing,
// bridged or turned, or two nets exchanged at every part.
func Mutate(r *rand.Rand, b *board.Board) (*board.Board, string) {
	m := clone(b)
	p := &m.Parts[r.IntN(len(m.Parts))]
	last := len(p.Pins) - 1
	kind := r.IntN(4)
	switch {
	case kind == 0:
		ref := p.Ref
		m.Parts = slices.DeleteFunc(m.Parts, func(q board.Part) bool { return q.Ref == ref })
		relink(m)
		return m, ref + " open"
	case kind == 1 && last > 0:
		i := r.IntN(last)
		what := fmt.Sprintf("%s.%s bridged to %s.%s", p.Ref, p.Pins[i].Name, p.Ref, p.Pins[i+1].Name)
		move(m, p.Pins[i].Net, p.Pins[i+1].Net)
		return m, what
	case kind == 2 && last > 0:
		p.Pins[0].Net, p.Pins[last].Net = p.Pins[last].Net, p.Pins[0].Net
		relink(m)
		return m, p.Ref + " turned"
	}
	x, y := board.NetID(r.IntN(len(m.Nets))), board.NetID(r.IntN(len(m.Nets)))
	exchange(m, x, y)
	return m, fmt.Sprintf("nets %s and %s exchanged", m.Nets[x].Name, m.Nets[y].Name)
}

func clone(b *board.Board) *board.Board {
	m := *b
	m.Parts, m.Pads, m.Nets = slices.Clone(b.Parts), slices.Clone(b.Pads), slices.Clone(b.Nets)
	for i := range m.Parts {
		m.Parts[i].Pins = slices.Clone(m.Parts[i].Pins)
	}
	return &m
}

// move joins net from to net to, everywhere.
func move(b *board.Board, from, to board.NetID) {
	for i := range b.Parts {
		for j := range b.Parts[i].Pins {
			if b.Parts[i].Pins[j].Net == from {
				b.Parts[i].Pins[j].Net = to
			}
		}
	}
	for i := range b.Pads {
		if b.Pads[i].Net == from {
			b.Pads[i].Net = to
		}
	}
	relink(b)
}

// exchange gives the pins of two nets to each other; the pads stay.
func exchange(b *board.Board, x, y board.NetID) {
	for i := range b.Parts {
		for j := range b.Parts[i].Pins {
			switch b.Parts[i].Pins[j].Net {
			case x:
				b.Parts[i].Pins[j].Net = y
			case y:
				b.Parts[i].Pins[j].Net = x
			}
		}
	}
	relink(b)
}

// relink makes the nets' own lists of pins and pads again.
func relink(b *board.Board) {
	for i := range b.Nets {
		b.Nets[i].Pins, b.Nets[i].Pads = nil, nil
	}
	for i := range b.Parts {
		for j, pin := range b.Parts[i].Pins {
			if pin.Net != board.NoNet {
				b.Nets[pin.Net].Pins = append(b.Nets[pin.Net].Pins, board.PinRef{Part: i, Pin: j})
			}
		}
	}
	for i, pad := range b.Pads {
		if pad.Net != board.NoNet {
			b.Nets[pad.Net].Pads = append(b.Nets[pad.Net].Pads, i)
		}
	}
}
