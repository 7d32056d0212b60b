package fault

import (
	"fmt"
	"slices"

	"cupel/internal/board"
	"cupel/internal/catalog"
)

// Kind is what is wrong with a part or a lead.
type Kind string

// The kinds.
const (
	Open     Kind = "open"      // the part is not there
	OneOpen  Kind = "one open"  // one of several in parallel is not
	Short    Kind = "short"     // its main path is bridged
	Tenfold  Kind = "×10"       // ten times its value
	Tenth    Kind = "÷10"       // a tenth of it
	PinOpen  Kind = "pin open"  // one pin lies on nothing
	Bridge   Kind = "bridge"    // two neighbouring pins are joined
	LeadOpen Kind = "lead open" // the lead from the cells to a pad is broken
)

// Fault is one fault. Part is an index into Board.Parts, −1 for a lead.
type Fault struct {
	Kind Kind
	Part int
	Pins [2]string // of PinOpen the first, of Bridge and Short both
	Pad  string    // of LeadOpen
}

// Ref is the part or pad that has the fault.
func (f Fault) Ref(b *board.Board) string {
	if f.Part < 0 {
		return f.Pad
	}
	return b.Parts[f.Part].Ref
}

// Name says what is wrong with it: "pin b open", "pins b and e bridged".
func (f Fault) Name() string {
	switch f.Kind {
	case PinOpen:
		return fmt.Sprintf("pin %s open", f.Pins[0])
	case Bridge:
		return fmt.Sprintf("pins %s and %s bridged", f.Pins[0], f.Pins[1])
	}
	return string(f.Kind)
}

// List lists every single fault of a board, part by part, then the leads.
func List(b *board.Board, sheets func(string) (*catalog.Sheet, bool)) []Fault {
	var out []Fault
	for i := range b.Parts {
		out = append(out, ofPart(b, i, sheets)...)
	}
	for k := 0; k <= b.Cells; k++ {
		if pad, ok := tapPad(b, k); ok {
			out = append(out, Fault{Kind: LeadOpen, Part: -1, Pad: pad})
		}
	}
	return out
}

func ofPart(b *board.Board, i int, sheets func(string) (*catalog.Sheet, bool)) []Fault {
	p := &b.Parts[i]
	kind, sheet := kindOf(p, sheets)
	out := []Fault{{Kind: Open, Part: i}}
	if p.Count > 1 {
		out = append(out, Fault{Kind: OneOpen, Part: i})
	}
	main, ok := mainPath(kind)
	if ok && apart(p, main) {
		out = append(out, Fault{Kind: Short, Part: i, Pins: main})
	}
	if passive(kind) && p.Value.Given() && p.Value.Nominal() > 0 {
		out = append(out, Fault{Kind: Tenfold, Part: i}, Fault{Kind: Tenth, Part: i})
	}
	if len(p.Pins) < 3 {
		return out
	}
	for _, pin := range p.Pins {
		if pin.Net != board.NoNet {
			out = append(out, Fault{Kind: PinOpen, Part: i, Pins: [2]string{pin.Name}})
		}
	}
	for _, pair := range neighbours(p, sheet) {
		if pair != main && apart(p, pair) {
			out = append(out, Fault{Kind: Bridge, Part: i, Pins: pair})
		}
	}
	return out
}

func kindOf(p *board.Part, sheets func(string) (*catalog.Sheet, bool)) (catalog.Kind, *catalog.Sheet) {
	if p.Sheet == "" {
		return catalog.Kind(p.Kind), nil
	}
	if s, ok := sheets(p.Sheet); ok {
		return s.Kind, s
	}
	return "", nil
}

// mainPath are the pins between which a part of a kind fails short.
func mainPath(k catalog.Kind) ([2]string, bool) {
	switch k {
	case catalog.NFET, catalog.PFET:
		return [2]string{"d", "s"}, true
	case catalog.NPN, catalog.PNP:
		return [2]string{"c", "e"}, true
	case catalog.Diode, catalog.Zener:
		return [2]string{"a", "k"}, true
	case catalog.CellProtector, catalog.StackProtector, catalog.Balancer:
		return [2]string{"vdd", "vss"}, true
	case "":
		return [2]string{}, false
	}
	return [2]string{"1", "2"}, true
}

func passive(k catalog.Kind) bool {
	return k == catalog.Resistor || k == catalog.Capacitor || k == catalog.Inductor
}

// apart reports whether two pins lie on two nets.
func apart(p *board.Part, pair [2]string) bool {
	a, b := p.Pin(pair[0]), p.Pin(pair[1])
	return a != board.NoNet && b != board.NoNet && a != b
}

// neighbours lists the pins whose pads lie side by side. Pads are numbered down
// one side and up the other; of a housing of three, every two are neighbours.
func neighbours(p *board.Part, s *catalog.Sheet) [][2]string {
	name := map[int]string{}
	last := 0
	if s != nil {
		for pin, pads := range s.Package.Pads {
			for _, n := range pads {
				name[n], last = pin, max(last, n)
			}
		}
	}
	if last == 0 { // not said: take the pins in their order
		for i, pin := range p.Pins {
			name[i+1], last = pin.Name, i+1
		}
	}
	var out [][2]string
	side := (last + 1) / 2
	for a := 1; a <= last; a++ {
		for c := a + 1; c <= last; c++ {
			next := last == 3 || c == a+1 && a != side
			pair := [2]string{name[a], name[c]}
			if next && pair[0] != "" && pair[1] != "" && pair[0] != pair[1] && !slices.Contains(out, pair) {
				out = append(out, pair)
			}
		}
	}
	return out
}

// tapPad is the pad through which tap k reaches the board.
func tapPad(b *board.Board, k int) (string, bool) {
	net := b.Tap(k)
	names := []string{fmt.Sprintf("T%d", k)}
	switch k {
	case 0:
		names = []string{"B-", "T0"}
	case b.Cells:
		names = []string{"B+", names[0]}
	}
	for _, n := range names {
		if p, ok := b.Pad(n); ok && p.Net == net && net != board.NoNet {
			return n, true
		}
	}
	return "", false
}
