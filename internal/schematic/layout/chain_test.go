package layout_test

import (
	"fmt"
	"strings"
	"testing"

	"cupel/internal/board"
)

// chain is the five-cell demo board with more slices: copies of slice 3.
func chain(t testing.TB, cells int) (*board.Board, lookup) {
	t.Helper()
	five, sheets := demoBoard(t, "sluice-5s")
	b := &board.Board{Name: fmt.Sprintf("chain-%ds", cells), Title: "A long chain", Cells: cells}
	net := func(name string) board.NetID {
		if n := b.Net(name); n != board.NoNet {
			return n
		}
		b.Nets = append(b.Nets, board.Net{Name: name})
		return board.NetID(len(b.Nets) - 1)
	}
	for k := 1; k <= cells; k++ {
		from := min(k, 2)
		for _, p := range five.Parts {
			if len(p.Ref) == 4 && p.Ref[1] == byte('0'+from) {
				copyPart(b, five, p, net, func(name string) string { return shifted(name, from, k) })
				b.Parts[len(b.Parts)-1].Ref = fmt.Sprintf("%c%d%s", p.Ref[0], k, p.Ref[2:])
			}
		}
	}
	for _, p := range five.Parts {
		if len(p.Ref) < 4 {
			copyPart(b, five, p, net, func(name string) string {
				if name == "tap5" {
					return fmt.Sprintf("tap%d", cells)
				}
				return name
			})
		}
	}
	pad := func(name, at string) { b.Pads = append(b.Pads, board.Pad{Name: name, Net: net(at)}) }
	pad("B-", "bminus")
	for k := 1; k < cells; k++ {
		pad(fmt.Sprintf("T%d", k), fmt.Sprintf("tap%d", k))
	}
	pad("B+", fmt.Sprintf("tap%d", cells))
	pad("P+", fmt.Sprintf("tap%d", cells))
	pad("P-", "pminus")
	return b, sheets
}

func copyPart(b, from *board.Board, p board.Part, net func(string) board.NetID, name func(string) string) {
	pins := make([]board.Pin, len(p.Pins))
	for i, pin := range p.Pins {
		pins[i] = board.Pin{Name: pin.Name, Net: net(name(from.Nets[pin.Net].Name))}
	}
	p.Pins = pins
	b.Parts = append(b.Parts, p)
}

// shifted is the name of a net of slice from in slice k.
func shifted(name string, from, k int) string {
	for _, d := range []int{0, -1} {
		if s, ok := strings.CutSuffix(name, fmt.Sprint(from+d)); ok && from+d > 0 {
			return s + fmt.Sprint(k+d)
		}
	}
	return name
}
