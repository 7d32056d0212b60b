package deck

import (
	"fmt"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// print prints the cards of one element.
func (p *Printer) print(e circuit.Element) {
	name, nodes := e.Name(), e.Terminals()
	switch e := e.(type) {
	case Carder:
		e.Cards(p)
	case *device.Resistor:
		p.resistance(e)
	case *device.Switch:
		p.switched(e)
	case *device.Capacitor:
		p.Card("C", name, "", nodes, number(e.Params().Farads))
	case *device.Ceramic:
		p.ceramic(e)
	case *device.Inductor:
		p.inductor(e)
	case *device.Voltage:
		p.source("V", name, nodes, e.Params().Volts, e.Params().Wave != nil)
	case *device.Current:
		p.source("I", name, nodes, e.Params().Amps, e.Params().Wave != nil)
	case *device.Transconductance:
		p.Card("G", name, "", nodes, number(e.Siemens()))
	case *device.Sink:
		p.sink(e)
	case *device.Diode:
		p.diode(e)
	case *device.BJT:
		p.bjt(e)
	case *device.MOSFET:
		p.mosfet(e)
	case *device.Fuse:
		p.fuse(e)
	case *device.Thermistor:
		p.resistor(name, "", nodes, e.Siemens(p.kelvin))
	default:
		if p.outside(e) {
			return
		}
		p.fail("%s: no SPICE cards for a %T", name, e)
	}
}

// resistance prints a resistor as it stands, or the conductance of its script.
func (p *Printer) resistance(e *device.Resistor) {
	name, nodes := e.Name(), e.Terminals()
	if control, ok := p.script(name); ok {
		p.Card("B", name, "", nodes, fmt.Sprintf("I=%s*v(%s)", p.Volts(nodes[0], nodes[1]), control))
		return
	}
	p.resistor(name, "", nodes, e.Siemens(p.kelvin+e.Rise()))
}

// switched prints a switch: a resistor as it stands, or the conductance that
// its script sets between its two.
func (p *Printer) switched(e *device.Switch) {
	name, nodes := e.Name(), e.Terminals()
	control, ok := p.script(name)
	if !ok {
		p.resistor(name, "", nodes, e.Siemens())
		return
	}
	off := 0.0
	if e.Params().OffOhms > 0 {
		off = siemensOf(e.Params().OffOhms)
	}
	on := siemensOf(max(e.Params().OnOhms, device.LeastOhms))
	p.Card("B", name, "", nodes, fmt.Sprintf("I=%s*(%s+v(%s)*%s)",
		p.Volts(nodes[0], nodes[1]), number(off), control, number(on-off)))
}

// source prints an independent source; a waveform needs a script.
func (p *Printer) source(letter, name string, nodes []circuit.Node, value float64, wave bool) {
	s, ok := p.deck.Scripts[name]
	switch {
	case ok:
		p.Card(letter, name, "", nodes, pwl(s))
	case wave:
		p.fail("%s: its waveform is a function; give its points as a script", name)
	default:
		p.Card(letter, name, "", nodes, "DC "+number(value))
	}
}

// inductor prints a coil with its resistance behind an inner node. One without
// inductance is a resistance, one without either a source of 0 V.
func (p *Printer) inductor(e *device.Inductor) {
	name, nodes, par := e.Name(), e.Terminals(), e.Params()
	switch {
	case par.Henry == 0 && par.Ohms == 0:
		p.Card("V", name, "", nodes, "DC 0")
	case par.Henry == 0:
		p.Card("R", name, "", nodes, number(par.Ohms)+" tc=0")
	case par.Ohms == 0:
		p.Card("L", name, "", nodes, number(par.Henry))
	default:
		inner := p.Inner(name, "coil")
		p.Raw(p.id("L", name, ""), p.Node(nodes[0]), inner, number(par.Henry))
		p.Raw(p.id("R", name, ""), inner, p.Node(nodes[1]), number(par.Ohms), "tc=0")
	}
}

// ceramic prints q(v) = C0·(m·v + (1−m)·V·atan(v/V)).
func (p *Printer) ceramic(e *device.Ceramic) {
	nodes, farads := e.Terminals(), e.Params().Farads
	floor, knee := e.Shape()
	if floor == 1 {
		p.Card("C", e.Name(), "", nodes, number(farads))
		return
	}
	v := p.Volts(nodes[0], nodes[1])
	p.Card("C", e.Name(), "", nodes, fmt.Sprintf("Q='%s*(%s*%s+%s*atan(%s/%s))'",
		number(farads), number(floor), v, number((1-floor)*knee), v, number(knee)))
}

// sink prints i = I·tanh²(v/V) for v > 0.
func (p *Printer) sink(e *device.Sink) {
	nodes, par := e.Terminals(), e.Params()
	amps := number(par.Amps)
	if control, ok := p.script(e.Name()); ok {
		amps = "v(" + control + ")"
	}
	v := p.Volts(nodes[0], nodes[1])
	p.Card("B", e.Name(), "", nodes, fmt.Sprintf("I=%s>0 ? %s*tanh(%s/%s)**2 : 0", v, amps, v, number(par.Volts)))
}

// fuse prints a fuse as the resistance it stands at.
func (p *Printer) fuse(e *device.Fuse) {
	name, n := e.Name(), e.Terminals()
	if _, ok := e.Heater(); !ok {
		p.resistor(name, "", n, e.Siemens(p.kelvin))
		return
	}
	p.resistor(name, "a", []circuit.Node{n[0], n[2]}, 2*e.Siemens(p.kelvin))
	p.resistor(name, "b", []circuit.Node{n[2], n[1]}, 2*e.Siemens(p.kelvin))
	p.resistor(name, "h", n[2:4], e.HeaterSiemens())
}
