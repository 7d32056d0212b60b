package study

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/ringout"
	"cupel/internal/ringout/session"
)

// netOfPads gives each pad the name of its net, empty for none.
func netOfPads(named []ringout.NamedNet, pads int) []string {
	out := make([]string, pads)
	for _, n := range named {
		for _, p := range n.Pads {
			out[p] = n.Name
		}
	}
	return out
}

// netlistDifferences lists the pads that the readings put on another net than
// board.yaml does.
func netlistDifferences(d *dossier.Dossier, s *session.Session, named []ringout.NamedNet) answer.List[answer.NetlistDifference] {
	hand := byHand(d, s.Sample())
	read := netOfPads(named, len(hand))
	var out answer.List[answer.NetlistDifference]
	for i := range hand {
		if hand[i] == read[i] {
			continue
		}
		out = append(out, answer.NetlistDifference{
			At: s.Sample().Pads[i].Name, ByHand: answer.Text(hand[i]), Readings: answer.Text(read[i]), Because: why(s.Copper(), named, read, hand, i),
		})
	}
	return out
}

// why are the entries that put a pad on another net: those that join it with its
// net, or hold it apart from the one that it has by hand.
func why(c *ringout.Copper, named []ringout.NamedNet, read, hand []string, pad int) answer.List[int] {
	for _, n := range named {
		if n.Name != read[pad] && n.Name != hand[pad] {
			continue
		}
		for _, p := range n.Pads {
			if p == pad || n.Name == hand[pad] && c.Net(p) == c.Net(pad) {
				continue
			}
			e, ok := c.Why(pad, p)
			if n.Name == hand[pad] {
				e, ok = c.WhyApart(pad, p)
			}
			if ok && len(e) > 0 {
				return e
			}
		}
	}
	return nil
}

// Rung is the board of a dossier with the nets that the readings show.
func Rung(d *dossier.Dossier, s *session.Session) *board.Board {
	named := s.Copper().Netlist(byHand(d, s.Sample()))
	return rung(d, s.Sample(), netOfPads(named, len(s.Sample().Pads)), named)
}

func rung(d *dossier.Dossier, s *ringout.Sample, netOf []string, named []ringout.NamedNet) *board.Board {
	b := *d.Board
	b.Nets = nil
	ids := map[string]board.NetID{}
	for _, n := range named {
		ids[n.Name] = board.NetID(len(b.Nets))
		b.Nets = append(b.Nets, board.Net{Name: n.Name, Grade: n.Grade, Note: note(n)})
	}
	id := func(name string) board.NetID {
		if n, ok := ids[name]; ok {
			return n
		}
		return board.NoNet
	}
	pins := padsOfPins(s)
	b.Parts = slices.Clone(d.Board.Parts)
	for i := range b.Parts {
		p := &b.Parts[i]
		p.Pins = slices.Clone(p.Pins)
		for k := range p.Pins {
			pin := &p.Pins[k]
			pin.Net = board.NoNet
			if pads := pins[pinOf{unit(p, 0), pin.Name}]; len(pads) > 0 {
				pin.Net = id(netOf[pads[0]])
			}
			if pin.Net != board.NoNet {
				b.Nets[pin.Net].Pins = append(b.Nets[pin.Net].Pins, board.PinRef{Part: i, Pin: k})
			}
		}
	}
	b.Pads = nil
	for i := range s.Pads {
		if p := &s.Pads[i]; p.Part == ringout.NoPart {
			n := id(netOf[i])
			if n != board.NoNet {
				b.Nets[n].Pads = append(b.Nets[n].Pads, len(b.Pads))
			}
			b.Pads = append(b.Pads, board.Pad{Name: p.Name, Net: n})
		}
	}
	return &b
}

// pinOf names a pin of one of the parts that lie on the bench.
type pinOf struct{ ref, pin string }

func padsOfPins(s *ringout.Sample) map[pinOf][]int {
	out := map[pinOf][]int{}
	for i := range s.Parts {
		for _, x := range s.Parts[i].Pads {
			k := pinOf{s.Parts[i].Ref, s.Pads[x].Pin}
			out[k] = append(out[k], x)
		}
	}
	return out
}

// unit is the reference of the kth of equal parts, as strip gives it.
func unit(p *board.Part, k int) string {
	if p.Count > 1 {
		return p.Ref + "." + strconv.Itoa(k+1)
	}
	return p.Ref
}

// noteOfRingout begins the notes that come from readings.
const noteOfRingout = "ring-out "

// noted is how many entries the note of a net names.
const noted = 6

// note says in board.yaml why a net has its grade.
func note(n ringout.NamedNet) string {
	if len(n.Because) == 0 {
		return ""
	}
	var words []string
	for _, e := range n.Because[:min(noted, len(n.Because))] {
		words = append(words, strconv.Itoa(e))
	}
	s := noteOfRingout + strings.Join(words, ", ")
	if more := len(n.Because) - noted; more > 0 {
		s += fmt.Sprintf(" and %d more", more)
	}
	if len(n.Roots) > 1 {
		s += fmt.Sprintf("; its %d pieces are joined by hand only", len(n.Roots))
	}
	return s
}
