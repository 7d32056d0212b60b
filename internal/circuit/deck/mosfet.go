package deck

import (
	"fmt"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// softplus is ln(1 + e^x) without overflow, as a function of the deck.
const softplus = ".func softplus(x) {x>0 ? x+ln(1+exp(-x)) : ln(1+exp(x))}"

// mosfet prints a channel as a behavioural source of the same closed form, the
// body diode as a diode, and what stands beside them.
func (p *Printer) mosfet(e *device.MOSFET) {
	name, nodes, par := e.Name(), e.Terminals(), e.Params()
	drain, gate, source := nodes[0], nodes[1], nodes[2]
	kelvin := p.kelvin + e.Rise()
	m := par.At(kelvin)
	p.channel(name, drain, gate, source, par.Polarity, &m)
	anode, cathode := source, drain
	if par.Polarity == device.P {
		anode, cathode = drain, source
	}
	n := par.Parallel
	body := p.Model("D", fields(param{"is", par.BodySat * n}, param{"n", par.BodyN}, param{"rs", par.BodyOhms / n},
		param{"xti", 3}, param{"eg", 1.11}, param{"tnom", par.Nominal - zeroCelsius}, param{"tt", par.Transit}))
	p.Card("D", name, "_body", []circuit.Node{anode, cathode}, body+temperature(kelvin))
	if m.Breaks {
		p.exponential(name, "_br", cathode, anode, m.Avalanche, kelvin)
	}
	p.leak(name, "_leak", []circuit.Node{drain, source}, m.LeakAmps, m.LeakVolts)
	p.resistor(name, "_gate", []circuit.Node{gate, source}, m.GateSiemens)
	p.gates(e)
}

// channel prints id = (K/2)·(f − r)·(f + r)/(1 + θ·(f + r)/2).
func (p *Printer) channel(name string, drain, gate, source circuit.Node, polarity device.Polarity, m *device.MOSFETModel) {
	p.function(softplus)
	sign := ""
	if polarity == device.P {
		sign = "-"
	}
	over := func(at circuit.Node) string {
		return fmt.Sprintf("%s*softplus((%s%s-(%s))/%s)", number(2*m.Phi),
			sign, p.Volts(gate, at), number(m.Threshold), number(2*m.Phi))
	}
	f, r := "v("+p.Inner(name, "f")+")", "v("+p.Inner(name, "r")+")"
	p.Raw(p.id("B", name, "_f"), p.Inner(name, "f"), "0", "V="+over(source))
	p.Raw(p.id("B", name, "_r"), p.Inner(name, "r"), "0", "V="+over(drain))
	p.Card("B", name, "", []circuit.Node{drain, source}, fmt.Sprintf("I=%s%s*(%s-%s)*(%s+%s)/(1+%s*(%s+%s))",
		sign, number(m.K/2), f, r, f, r, number(m.Theta/2), f, r))
}

// gates prints the capacitances; that of gate to drain by its charge
//
//	q = Cmin·vgd + (Cpeak − Cmin)·W·softplus((vgd + V)/W)
func (p *Printer) gates(e *device.MOSFET) {
	name, nodes, par := e.Name(), e.Terminals(), e.Params()
	drain, gate, source := nodes[0], nodes[1], nodes[2]
	n := par.Parallel
	if par.GateSource > 0 {
		p.Card("C", name, "_gs", []circuit.Node{gate, source}, number(n*par.GateSource))
	}
	if par.DrainSource > 0 {
		p.Card("C", name, "_ds", []circuit.Node{drain, source}, number(n*par.DrainSource))
	}
	extra := n * (par.MillerPeak - par.Miller)
	switch {
	case extra > 0:
		p.function(softplus)
		sign := "1"
		if par.Polarity == device.P {
			sign = "-1"
		}
		v := p.Volts(gate, drain)
		p.Card("C", name, "_gd", []circuit.Node{gate, drain},
			fmt.Sprintf("Q='%s*%s+%s*%s*softplus((%s*%s+%s)/%s)'", number(n*par.Miller), v,
				sign, number(extra*par.MillerWidth), sign, v, number(par.MillerVolts), number(par.MillerWidth)))
	case par.Miller > 0:
		p.Card("C", name, "_gd", []circuit.Node{gate, drain}, number(n*par.Miller))
	}
}
