package svg

import (
	"cupel/internal/schematic"
)

// drawn is the picture of each shape in its first position, after the public
// descriptions of IEC 60617. Leads are drawn from the pins.
var drawn = map[schematic.Shape]string{
	// Rectangle.
	schematic.Resistor: `<rect class="body" x="-13" y="-5" width="26" height="10"/>`,
	// Two plates.
	schematic.Capacitor: `<path d="M-3 -9V9M3 -9V9"/>`,
	// Four half circles.
	schematic.Inductor: `<path d="M-14 0a3.5 5 0 0 1 7 0a3.5 5 0 0 1 7 0a3.5 5 0 0 1 7 0a3.5 5 0 0 1 7 0"/>`,
	// Resistor with the stroke of a dependence, footed, and the sign of temperature.
	schematic.Thermistor: `<rect class="body" x="-13" y="-5" width="26" height="10"/><path d="M-14 9h5L9 -10"/>`,
	// Rectangle with the line running through.
	schematic.Fuse: `<rect class="body" x="-13" y="-5" width="26" height="10"/><path d="M-13 0H13"/>`,
	// Fuse, under it a heater across to its middle.
	schematic.HeaterFuse: `<rect class="body" x="-13" y="-5" width="26" height="10"/><path d="M-13 0H13M0 5V7"/><rect class="body" x="-8" y="7" width="16" height="7"/>`,
	schematic.LinkShape:  `<path d="M-10 0H10"/><circle class="body" cx="-8" cy="0" r="2.5"/><circle class="body" cx="8" cy="0" r="2.5"/>`,
	schematic.Diode:      `<path class="body" d="M-7 -7V7L7 0Z"/><path d="M7 -7V7M-8 0H8"/>`,
	schematic.Schottky:   `<path class="body" d="M-7 -7V7L7 0Z"/><path d="M3 -5V-7H7V7H11V5M-8 0H8"/>`,
	schematic.Zener:      `<path class="body" d="M-7 -7V7L7 0Z"/><path d="M3 -7H7V7M-8 0H8"/>`,
	schematic.NPN: `<path class="thick" d="M-4 -10V10"/><path d="M-10 0H-4M-4 -4L10 -16M-4 4L10 16"/>` +
		`<path class="solid" d="M8.5 14.7l-6.2 -1.6l3.2 -3.9z"/>`,
	schematic.PNP: `<path class="thick" d="M-4 -10V10"/><path d="M-10 0H-4M-4 -4L10 -16M-4 4L10 16"/>` +
		`<path class="solid" d="M-2.6 -5.2l6 -1.9l-3 -3.7z"/>`,
}

func (p *picture) symbol(s *schematic.Symbol) {
	switch s.Shape {
	case schematic.IC:
		p.box(s)
		return
	case schematic.Pad:
		p.f(`<circle class="body" cx="%d" cy="%d" r="4"/>`, (s.Body.Min.X+s.Body.Max.X)/2, s.At.Y)
		p.leads(s)
		return
	case schematic.Cell:
		p.cell(s)
		return
	}
	p.leads(s)
	p.f(`<g transform="translate(%d %d)%s">`, s.At.X, s.At.Y, turned(s.Turn))
	if s.Shape == schematic.NFET || s.Shape == schematic.PFET {
		p.fet(s.Shape == schematic.PFET)
	} else {
		p.f("%s", drawn[s.Shape])
	}
	p.f("</g>")
}

func turned(t schematic.Turn) string {
	s := ""
	switch t.Quarters & 3 {
	case 1:
		s = " rotate(90)"
	case 2:
		s = " rotate(180)"
	case 3:
		s = " rotate(270)"
	}
	if t.Mirror {
		s += " scale(-1 1)"
	}
	return s
}

// leads draws the lines from the body to the pins; those in a power path as
// thick as it is.
func (p *picture) leads(s *schematic.Symbol) {
	for _, pin := range s.Pins {
		class := "wire"
		if p.power[pin.At] {
			class = "wire power"
		}
		if pin.At != pin.Root {
			p.f(`<path class="%s" d="M%d %dL%d %d"/>`, class, pin.At.X, pin.At.Y, pin.Root.X, pin.Root.Y)
		}
	}
}

// fet draws an insulated-gate FET of enhancement type, substrate at the source,
// with its body diode. In its first position the source of an N type is at the
// bottom, that of a P type at the top; the gate's lead stands at the source's end.
func (p *picture) fet(ptype bool) {
	up := 1 // the source's side: down
	if ptype {
		up = -1
	}
	p.f(`<path d="M-12 %dH-6M-6 %dV%d"/>`, 10*up, -11*up, 11*up) // gate
	p.f(`<path class="thick" d="M-1 -15V-8M-1 -3.5V3.5M-1 8V15"/>`)
	p.f(`<path d="M-1 -11.5H10M10 -17V-11.5M-1 11.5H10M10 17V11.5M-1 0H10V%g"/>`, 11.5*float64(up))
	if ptype {
		p.f(`<path class="solid" d="M9 0l-6 -2.8v5.6z"/>`)
	} else {
		p.f(`<path class="solid" d="M1 0l6 -2.8v5.6z"/>`)
	}
	// The body diode conducts from source to drain in N types, the other way
	// round in P types: in both, upwards on the page.
	p.f(`<path d="M10 -14.5H20V14.5H10"/><path class="body" d="M16 4H24L20 -3Z"/><path d="M16 -3H24"/>`)
}

// box draws an IC: outline, leads, names of pins inside.
func (p *picture) box(s *schematic.Symbol) {
	p.leads(s)
	b := s.Body
	p.f(`<rect class="body" x="%d" y="%d" width="%d" height="%d"/>`, b.Min.X, b.Min.Y, b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)
	for _, pin := range s.Pins {
		p.line(pin.Text, "")
	}
}

// cell hints at a cell outside the board: the long line is its positive pole.
func (p *picture) cell(s *schematic.Symbol) {
	x, y := s.At.X, s.At.Y
	p.f(`<path d="M%d %dh24"/><path class="thick" d="M%d %dh12"/>`, x-12, y-4, x-6, y+3)
	for i, pin := range s.Pins {
		p.f(`<path class="lead" d="M%d %dV%d`, x, pin.Root.Y, pin.At.Y)
		if i == 0 || s.Cell == 1 { // the cell below draws the rest
			p.f("H%d", pin.At.X+schematic.Grid)
		}
		p.f(`"/>`)
	}
}
