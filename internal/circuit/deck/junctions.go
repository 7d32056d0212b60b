package deck

import (
	"fmt"
	"math"
	"strings"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// diode prints a junction as the simulator's own diode, with its temperature
// law; breakdown and leakage beside it.
func (p *Printer) diode(e *device.Diode) {
	name, nodes, par := e.Name(), e.Terminals(), e.Params()
	kelvin := p.kelvin + e.Rise()
	model := p.Model("D", fields(
		param{"is", par.Sat}, param{"n", par.N}, param{"rs", par.Ohms}, param{"xti", par.XTI}, param{"eg", par.Gap},
		param{"tnom", par.Nominal - zeroCelsius}, param{"cjo", par.Farads}, param{"vj", par.Potential},
		param{"m", par.Grading}, param{"tt", par.Transit}))
	p.Card("D", name, "", nodes, model+temperature(kelvin))
	m := par.At(kelvin)
	if m.Breaks {
		p.exponential(name, "_br", nodes[1], nodes[0], m.Breakdown, kelvin)
	}
	p.leak(name, "_leak", nodes, m.LeakAmps, m.LeakVolts)
}

// exponential prints a junction that carries nothing until tens of its slopes
// as a diode of ordinary saturation current behind a source: shifting v by V0
// multiplies e^(v/w) by e^(−V0/w). The gmin that the simulator puts across
// that diode would carry picoamperes for ever; a source takes it away again.
func (p *Printer) exponential(name, suffix string, from, to circuit.Node, e device.Exponential, kelvin float64) {
	const sat = 1e-18 // A: invisible, yet far above the least a simulator takes
	shift := e.Slope * (math.Log(sat) - e.LnSat)
	inner := p.Inner(name, suffix[1:])
	model := p.Model("D", fields(param{"is", sat}, param{"n", e.Slope / device.ThermalVolts(kelvin)},
		param{"rs", e.Ohms}, param{"tnom", kelvin - zeroCelsius}))
	p.Raw(p.id("V", name, suffix), p.Node(from), inner, "DC", number(shift))
	p.Raw(p.id("D", name, suffix), inner, p.Node(to), model+temperature(kelvin))
	p.Raw(p.id("G", name, suffix), inner, p.Node(to), inner, p.Node(to), number(-circuit.Gmin))
}

// leak prints i = I·tanh(v/V).
func (p *Printer) leak(name, suffix string, nodes []circuit.Node, amps, volts float64) {
	if amps > 0 {
		p.Card("B", name, suffix, nodes, fmt.Sprintf("I=%s*tanh(%s/%s)",
			number(amps), p.Volts(nodes[0], nodes[1]), number(volts)))
	}
}

// bjt prints the simulator's own transistor: without base-width modulation and
// resistances its equations are those of Ebers and Moll.
func (p *Printer) bjt(e *device.BJT) {
	name, nodes, par := e.Name(), e.Terminals(), e.Params()
	kelvin := p.kelvin + e.Rise()
	kind := "NPN"
	if par.Polarity == device.P {
		kind = "PNP"
	}
	model := p.Model(kind, fields(
		param{"is", par.Sat}, param{"bf", par.Forward}, param{"br", par.Reverse}, param{"xti", par.XTI},
		param{"xtb", par.XTB}, param{"eg", par.Gap}, param{"tnom", par.Nominal - zeroCelsius},
		param{"cje", par.EmitterFarads}, param{"mje", 0}, param{"cjc", par.CollectorFarads}, param{"mjc", 0},
		param{"tf", par.ForwardTransit}, param{"tr", par.ReverseTransit}))
	p.Card("Q", name, "", nodes, model+temperature(kelvin))
	m := par.At(kelvin)
	if m.Breaks {
		from, to := nodes[2], nodes[1]
		if par.Polarity == device.P {
			from, to = to, from
		}
		p.exponential(name, "_br", from, to, m.Breakdown, kelvin)
	}
	p.leak(name, "_leak", []circuit.Node{nodes[1], nodes[0]}, m.LeakAmps, m.LeakVolts)
}

// temperature prints a part's own temperature, its rise included.
func temperature(kelvin float64) string { return " temp=" + number(kelvin-zeroCelsius) }

// param is one parameter of a model.
type param struct {
	name  string
	value float64
}

// fields prints the parameters of a model, without resistances, capacitances
// and transit times of zero, which are SPICE's defaults.
func fields(params ...param) string {
	var words []string
	for _, q := range params {
		if q.value != 0 || q.name == "m" || q.name == "mje" || q.name == "mjc" {
			words = append(words, q.name+"="+number(q.value))
		}
	}
	return strings.Join(words, " ")
}
