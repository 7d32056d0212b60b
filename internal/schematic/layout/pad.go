package layout

import (
	"strings"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

// pads draws the taps' pads and cells at the left, the ports at the right, and
// all other pads in a list.
func (d *drawing) pads() {
	drawn := map[string]bool{}
	for i := range d.symbols {
		if d.symbols[i].Shape == schematic.Pad {
			drawn[d.symbols[i].Ref] = true
		}
	}
	b := d.w.b
	for _, p := range b.Pads {
		if drawn[p.Name] || p.Net == board.NoNet {
			continue
		}
		if k := d.w.nets[p.Net].tap; k >= 0 && isTapPad(b, p.Name, k) {
			d.pad(p.Name, p.Net, schematic.Point{X: padX, Y: d.railY[k]}, false)
			drawn[p.Name] = true
		}
	}
	top := schematic.Point{X: d.right, Y: d.topY}
	for _, name := range []string{"P+", "C+"} {
		if p, ok := b.Pad(name); ok && !drawn[name] && p.Net == d.w.taps[b.Cells] && p.Net != board.NoNet {
			d.rails = append(d.rails, rail{p.Net, schematic.Point{X: padX, Y: d.topY}, top, true})
			d.pad(name, p.Net, top, true)
			drawn[name] = true
			break
		}
	}
	d.cells()
	d.otherPads(drawn)
}

func isTapPad(b *board.Board, name string, k int) bool {
	switch name {
	case "B-":
		return k == 0
	case "B+":
		return k == b.Cells
	}
	return strings.HasPrefix(name, "T") && numbered(name, "T") == k
}

// otherPads lists the pads that have no place of their own under the left edge.
func (d *drawing) otherPads(drawn map[string]bool) {
	y := d.lowest + 60
	first := true
	for _, p := range d.w.b.Pads {
		if drawn[p.Name] || p.Net == board.NoNet {
			continue
		}
		at := schematic.Point{X: padX, Y: up(y)}
		if first {
			heading := at.Add(schematic.Point{X: -60, Y: -20})
			d.texts = append(d.texts, schematic.NewLine("other pads", schematic.HeadingText, heading, schematic.Start))
			first = false
		}
		d.pad(p.Name, p.Net, at, false)
		l := &d.symbols[len(d.symbols)-1].Label[0]
		*l = l.Moved(schematic.Point{X: -13, Y: 13})
		d.name(d.w.link(p.Net, at.Add(schematic.Point{X: 2 * schematic.Grid}), true), rim, schematic.Point{})
		d.rails = append(d.rails, rail{p.Net, at, at.Add(schematic.Point{X: 2 * schematic.Grid}), false})
		y += 2 * schematic.Grid
		d.lowest = max(d.lowest, y)
	}
}

// cells hints at the cells outside the board, between their taps' pads.
func (d *drawing) cells() {
	x := padX - 60
	for k := 1; k <= d.w.b.Cells; k++ {
		top, bottom := d.railY[k], d.railY[k-1]
		at := schematic.Point{X: x, Y: (top + bottom) / 2}
		ref := "cell " + itoa(k)
		d.symbols = append(d.symbols, placed{schematic.Symbol{
			Ref: ref, Title: ref + ", outside the board", Part: schematic.NoPart, Cell: k, Shape: schematic.Cell, At: at,
			Body: schematic.R(x-12, at.Y-4, x+12, at.Y+4),
			Pins: []schematic.Pin{
				{Name: "+", Net: board.NoNet, At: schematic.Point{X: padX - 2*schematic.Grid, Y: top}, Root: schematic.Point{X: x, Y: at.Y - 4}},
				{Name: "-", Net: board.NoNet, At: schematic.Point{X: padX - 2*schematic.Grid, Y: bottom}, Root: schematic.Point{X: x, Y: at.Y + 4}},
			},
			Label: []schematic.Line{schematic.NewLine(ref, schematic.HeadingText, schematic.Point{X: x + 18, Y: at.Y + 4}, schematic.Start)},
		}, rim})
	}
}

// pad draws a terminal of the board with its name outside.
func (d *drawing) pad(name string, n board.NetID, at schematic.Point, right bool) {
	o, _ := schematic.OutlineOf(schematic.Pad)
	text, turn := schematic.Point{X: at.X - 3, Y: at.Y - 9}, schematic.Turn{}
	anchor := schematic.End
	if right {
		text = schematic.Point{X: at.X + 17, Y: at.Y + 4}
		turn, anchor = firstRight, schematic.Start
	}
	d.symbols = append(d.symbols, placed{schematic.Symbol{
		Ref: name, Title: "pad " + name + ", net " + d.w.b.Nets[n].Name, Part: schematic.NoPart, Shape: schematic.Pad,
		At: at, Turn: turn, Body: turn.Rect(o.Body).Add(at), Pins: []schematic.Pin{{Net: n, At: at, Root: turn.Point(schematic.Point{X: o.Body.Max.X}).Add(at)}},
		Label: []schematic.Line{schematic.NewLine(printable(name), schematic.HeadingText, text, anchor)},
	}, rim})
}

// printable writes a pad's name with a real minus sign.
func printable(name string) string {
	if len(name) > 1 && name[len(name)-1] == '-' {
		return name[:len(name)-1] + "−"
	}
	return name
}
