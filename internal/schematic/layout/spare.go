package layout

import (
	"strconv"

	"cupel/internal/board"
	"cupel/internal/schematic"
)

func itoa(k int) string { return strconv.Itoa(k) }

// spareBox puts every part that has found no place into a box of its own, each
// pin with the name of its net.
func (d *drawing) spareBox() {
	have := make([]bool, len(d.w.parts))
	for i := range d.symbols {
		if p := d.symbols[i].Part; p >= 0 {
			have[p] = true
		}
	}
	var cells []column
	for i := range d.w.parts {
		if !have[i] {
			cells = append(cells, d.w.loose(&d.w.parts[i]))
		}
	}
	if len(cells) == 0 {
		return
	}
	const left = padX
	width := max(d.right, 600)
	x, y, row := left+gap, up(d.lowest+60), 0
	top := y - 24
	var line []column
	flush := func() {
		above, below := 0, 0
		for i := range line {
			a, b := line[i].reach()
			above, below = min(above, a), max(below, b)
		}
		at, _ := pack(line, left+gap)
		d.lane(line, at, up(y-above), spare)
		y = up(y - above + below + gap)
		line, row = nil, row+1
	}
	for _, c := range cells {
		l, r := c.span()
		if x+r-l+2*gap > width && len(line) > 0 {
			flush()
			x = left + gap
		}
		line = append(line, c)
		x += r - l + 2*gap
	}
	flush()
	d.boxes = append(d.boxes, schematic.Box{Rect: schematic.R(left, top, width, y), Heading: "not placed in any function"})
	d.lowest = y
}

// loose draws a part alone, with the names of the nets at its pins.
func (w *work) loose(p *part) column {
	var c column
	var s schematic.Symbol
	switch {
	case len(p.Pins) == 2 && p.shape != schematic.IC:
		s = w.level(p, p.nets[0])
	case isTransistor(p.shape):
		s = w.standing(p)
	default:
		b := box{first: 20, step: 20}
		for k := range p.Pins {
			side := left
			if 2*k >= len(p.Pins) {
				side = right
			}
			b.sides = append(b.sides, side)
		}
		b.measure(w, p)
		s = w.boxSymbol(p, b)
	}
	centre := schematic.Point{X: (s.Body.Min.X + s.Body.Max.X) / 2, Y: (s.Body.Min.Y + s.Body.Max.Y) / 2}
	for _, pin := range s.Pins {
		if pin.Net == board.NoNet {
			continue
		}
		switch {
		case pin.Root.X == pin.At.X:
			c.names = append(c.names, w.flag(pin.Net, pin.At, pin.At.Y < centre.Y))
		default:
			c.names = append(c.names, w.link(pin.Net, pin.At, pin.At.X > centre.X))
		}
	}
	c.symbols = append(c.symbols, s)
	return c
}
