package fault

import (
	"slices"

	"cupel/internal/board"
	"cupel/internal/evidence"
	"cupel/internal/quantity"
)

// Apply returns the board with a fault. The board itself is left as it is.
func Apply(b *board.Board, f Fault) *board.Board {
	c := clone(b)
	switch f.Kind {
	case Open:
		c.Parts = slices.Delete(c.Parts, f.Part, f.Part+1)
	case OneOpen:
		c.Parts[f.Part].Count--
	case Short, Bridge:
		p := &c.Parts[f.Part]
		solder(c, p.Ref, p.Pin(f.Pins[0]), p.Pin(f.Pins[1]))
	case Tenfold:
		scale(&c.Parts[f.Part], 10)
	case Tenth:
		scale(&c.Parts[f.Part], 0.1)
	case PinOpen:
		pins := c.Parts[f.Part].Pins
		for i := range pins {
			if pins[i].Name == f.Pins[0] {
				pins[i].Net = board.NoNet
			}
		}
	case LeadOpen:
		breakLead(c, f.Pad)
	}
	join(c)
	return c
}

// clone copies what an edit may change.
func clone(b *board.Board) *board.Board {
	c := *b
	c.Parts, c.Pads, c.Nets = slices.Clone(b.Parts), slices.Clone(b.Pads), slices.Clone(b.Nets)
	for i := range c.Parts {
		c.Parts[i].Pins = slices.Clone(c.Parts[i].Pins)
	}
	return &c
}

// solderOhms is a bridge between two pads of the outside: common practice, no
// source.
const solderOhms = 5e-3

// Held returns the board with a net held where another one is, through ohms.
func Held(b *board.Board, net, at board.NetID, ohms float64) *board.Board {
	c := clone(b)
	c.Parts = append(c.Parts, board.Part{
		Ref: "hold", Kind: board.Resistor, Count: 1, Value: quantity.Exact(quantity.Resistance, ohms),
		Pins: []board.Pin{{Name: "1", Net: net}, {Name: "2", Net: at}},
	})
	join(c)
	return c
}

// solder joins two nets. Where both lead outside they stay two, a bridge apart, so
// that a load between them is still one; else one net takes all, and a delay pin
// on vss is known as one by its net.
func solder(b *board.Board, ref string, keep, gone board.NetID) {
	if len(b.Nets[keep].Pads) > 0 && len(b.Nets[gone].Pads) > 0 {
		b.Parts = append(b.Parts, board.Part{
			Ref: "bridge-" + ref, Kind: board.Resistor, Count: 1, Value: quantity.Exact(quantity.Resistance, solderOhms),
			Pins: []board.Pin{{Name: "1", Net: keep}, {Name: "2", Net: gone}},
		})
		return
	}
	merge(b, keep, gone)
}

// merge makes one net of two.
func merge(b *board.Board, keep, gone board.NetID) {
	for i := range b.Parts {
		for p := range b.Parts[i].Pins {
			if b.Parts[i].Pins[p].Net == gone {
				b.Parts[i].Pins[p].Net = keep
			}
		}
	}
	for i := range b.Pads {
		if b.Pads[i].Net == gone {
			b.Pads[i].Net = keep
		}
	}
}

func scale(p *board.Part, by float64) {
	p.Value = quantity.Exact(p.Value.Dim, p.Value.Nominal()*by)
}

// breakLead moves a pad to a net of its own: the cells behind it reach nothing
// else.
func breakLead(b *board.Board, pad string) {
	b.Nets = append(b.Nets, board.Net{Name: "broken lead of " + pad, Grade: evidence.Implied})
	for i := range b.Pads {
		if b.Pads[i].Name == pad {
			b.Pads[i].Net = board.NetID(len(b.Nets) - 1)
		}
	}
}

// join writes anew which pins and pads lie on each net.
func join(b *board.Board) {
	for n := range b.Nets {
		b.Nets[n].Pins, b.Nets[n].Pads = nil, nil
	}
	for i := range b.Parts {
		for p, pin := range b.Parts[i].Pins {
			if pin.Net != board.NoNet {
				b.Nets[pin.Net].Pins = append(b.Nets[pin.Net].Pins, board.PinRef{Part: i, Pin: p})
			}
		}
	}
	for i, pad := range b.Pads {
		if pad.Net != board.NoNet {
			b.Nets[pad.Net].Pads = append(b.Nets[pad.Net].Pads, i)
		}
	}
}
