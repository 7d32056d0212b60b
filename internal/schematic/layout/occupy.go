package layout

import (
	"cupel/internal/board"
	"cupel/internal/schematic"
)

// occupy enters everything that is placed into a fresh grid.
func (d *drawing) occupy(size schematic.Point) {
	g := newGrid(size)
	d.g = g
	for i := range d.symbols {
		s := &d.symbols[i]
		g.block(s.Body)
		for _, l := range s.Label {
			g.block(l.Box)
		}
		for _, p := range s.Pins {
			g.pin[g.at(p.At)] = pinOf(p.Net)
			g.lead[g.at(p.At)] = leadOf(p)
			g.block(leadRect(p))
		}
	}
	for i := range d.names {
		d.hold(&d.names[i].Name)
	}
	for _, t := range d.texts {
		g.block(t.Box)
	}
}

// pinOf is how the grid notes a pin: one without a net may not be touched.
func pinOf(n board.NetID) int32 {
	if n == board.NoNet {
		return taken
	}
	return int32(n) + 1
}

// leadRect is the lead of a pin but for its end, as something that lies there.
func leadRect(p schematic.Pin) schematic.Rect {
	l := leadOf(p)
	if l == noDir {
		return schematic.Rect{}
	}
	end := schematic.Point{X: p.At.X - dirs[l].X*schematic.Grid/2, Y: p.At.Y - dirs[l].Y*schematic.Grid/2}
	r := schematic.R(p.Root.X, p.Root.Y, end.X, end.Y)
	if l&1 == 0 {
		r.Min.Y, r.Max.Y = r.Min.Y-1, r.Max.Y+1
	} else {
		r.Min.X, r.Max.X = r.Min.X-1, r.Max.X+1
	}
	return r
}

// leadOf is the direction in which a pin's lead points.
func leadOf(p schematic.Pin) int8 {
	switch {
	case p.At.X > p.Root.X:
		return 0
	case p.At.Y > p.Root.Y:
		return 1
	case p.At.X < p.Root.X:
		return 2
	case p.At.Y < p.Root.Y:
		return 3
	}
	return noDir
}

func (d *drawing) hold(n *schematic.Name) {
	d.g.block(n.Box)
	if n.Kind == schematic.Tag {
		return
	}
	d.g.pin[d.g.at(n.At)] = pinOf(n.Net)
}
