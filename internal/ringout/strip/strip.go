// Package strip takes the parts off a board that is known: what is left is a
// sample, which holds no net, and apart from it the truth.
package strip

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/ringout"
)

// Lookup returns the part sheet of a name.
type Lookup func(name string) (*catalog.Sheet, bool)

// Truth is the net of each pad of a sample, by the pad's number.
type Truth []board.NetID

// Board strips b. Equal parts in parallel become parts of their own: that they
// lie in parallel is for the readings to find out.
func Board(b *board.Board, sheets Lookup) (*ringout.Sample, Truth) {
	s := &ringout.Sample{Cells: b.Cells}
	var truth Truth
	for _, p := range b.Pads {
		s.AddPad(ringout.Pad{Name: p.Name, Terminal: p.Name})
		truth = append(truth, p.Net)
	}
	for i := range b.Parts {
		p := &b.Parts[i]
		sheet, _ := sheets(p.Sheet)
		for k := range max(1, p.Count) {
			part := describe(p, sheet)
			if p.Count > 1 {
				part.Ref += "." + strconv.Itoa(k+1)
			}
			pins := housing(p, sheet)
			s.AddPart(part, pins)
			for _, pin := range pins {
				for range pin.Numbers {
					truth = append(truth, p.Pin(pin.Name))
				}
			}
		}
	}
	return s, truth
}

// describe says of a part what can be known of it once it lies on the bench.
func describe(p *board.Part, sheet *catalog.Sheet) ringout.Part {
	out := ringout.Part{Ref: p.Ref, Kind: string(p.Kind), Size: p.Size, Value: known(p.Value.Nominal())}
	out.Type = strings.Join([]string{p.Sheet, string(p.Kind), fmt.Sprint(out.Value), p.Size}, " ")
	if sheet == nil {
		return out
	}
	out.Kind = string(sheet.Kind)
	for _, figure := range []string{"r", "c", "l", "r_ds_on"} {
		if f, ok := sheet.Figure(figure); ok && out.Value == 0 {
			out.Value = known(f.Value.Nominal())
		}
	}
	return out
}

// known is v, or 0 where it is not given.
func known(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// housing lists the pins with the numbers of their pads: as the sheet's package
// has them, else one pad a pin in order.
func housing(p *board.Part, sheet *catalog.Sheet) []ringout.Pin {
	var out []ringout.Pin
	for i, pin := range p.Pins {
		numbers := []int{i + 1}
		if sheet != nil && len(sheet.Package.Pads[pin.Name]) > 0 {
			numbers = sheet.Package.Pads[pin.Name]
		}
		out = append(out, ringout.Pin{Name: pin.Name, Numbers: numbers})
	}
	return out
}
