package deck

import (
	"fmt"

	"cupel/internal/circuit"
	"cupel/internal/circuit/cell"
	"cupel/internal/circuit/device"
)

// outside prints what hangs on a board: cells, chargers, loads. It reports
// whether it knew the element.
func (p *Printer) outside(e circuit.Element) bool {
	switch e := e.(type) {
	case *cell.Source:
		p.cellSource(e)
	case *cell.Cell:
		p.cell(e)
	case *cell.Charger:
		p.charger(e)
	case *cell.Power:
		p.constantPower(e)
	case *cell.Inrush:
		p.inrush(e)
	default:
		return false
	}
	return true
}

// cellSource prints a voltage behind a resistance; its script moves the voltage.
func (p *Printer) cellSource(e *cell.Source) {
	if !e.Connected() {
		return
	}
	name, nodes, inner := e.Name(), e.Terminals(), p.Inner(e.Name(), "emf")
	value := "DC " + number(e.Params().Volts)
	if s, ok := p.deck.Scripts[name]; ok {
		value = pwl(s)
	}
	p.Raw(p.id("V", name, ""), inner, p.Node(nodes[1]), value)
	p.Raw(p.id("R", name, "_r0"), inner, p.Node(nodes[0]), number(e.Params().Ohms), "tc=0")
}

// cell prints a cell at its present charge, which the deck does not move: the
// runs a deck is for are far shorter than a discharge.
func (p *Printer) cell(e *cell.Cell) {
	name, nodes, par := e.Name(), e.Terminals(), e.Params()
	ocv, _ := par.Curve.At(par.SOC)
	at := p.Inner(name, "emf")
	p.Raw(p.id("V", name, ""), at, p.Node(nodes[1]), "DC "+number(ocv))
	for i, pair := range par.Pairs {
		if pair.Ohms <= 0 {
			continue
		}
		next, suffix := p.Inner(name, fmt.Sprintf("pair%d", i+1)), fmt.Sprintf("_%d", i+1)
		p.Raw(p.id("R", name, suffix), at, next, number(pair.Ohms), "tc=0")
		p.Raw(p.id("C", name, suffix), at, next, number(pair.Farads))
		at = next
	}
	p.Raw(p.id("R", name, "_r0"), at, p.Node(nodes[0]), number(par.Ohms), "tc=0")
}

// LimitOf names the script of a charger's current limit; the script of its own
// name moves its voltage.
func LimitOf(charger string) string { return charger + " limit" }

// charger prints i = I·(ℓ(10·u) − ℓ(10·u − 10))/10 with u = (V − v)/K; scripts
// move V and I. Of a reversed one v, V and i are turned round.
func (p *Printer) charger(e *cell.Charger) {
	par, nodes := e.Params(), e.Terminals()
	amps := number(par.Amps)
	if control, ok := p.script(LimitOf(e.Name())); ok {
		amps = "v(" + control + ")"
	} else if par.Amps == 0 {
		return
	}
	volts := number(par.Volts)
	if control, ok := p.script(e.Name()); ok {
		volts = "v(" + control + ")"
	}
	p.function(softplus)
	plus, minus := nodes[0], nodes[1]
	if par.Volts < 0 {
		plus, minus, volts = minus, plus, "-("+volts+")"
	}
	u := fmt.Sprintf("10*(%s-%s)/%s", volts, p.Volts(plus, minus), number(par.Knee))
	p.Card("B", e.Name(), "", []circuit.Node{minus, plus},
		fmt.Sprintf("I=%s*(softplus(%s)-softplus(%s-10))/10", amps, u, u))
}

// constantPower prints i = P·v/(v² + V²).
func (p *Printer) constantPower(e *cell.Power) {
	par, nodes := e.Params(), e.Terminals()
	if par.Watts == 0 {
		return
	}
	v := p.Volts(nodes[0], nodes[1])
	p.Card("B", e.Name(), "", nodes, fmt.Sprintf("I=%s*%s/(%s*%s+%s)",
		number(par.Watts), v, v, v, number(par.Least*par.Least)))
}

// inrush prints a capacitor behind a resistance, which its script switches on.
func (p *Printer) inrush(e *cell.Inrush) {
	name, nodes, par, inner := e.Name(), e.Terminals(), e.Params(), p.Inner(e.Name(), "c")
	if par.Farads == 0 {
		return
	}
	p.Raw(p.id("C", name, ""), inner, p.Node(nodes[1]), number(par.Farads))
	control, ok := p.script(name)
	if !ok {
		p.fail("%s: say by a script when it is switched on", name)
		return
	}
	p.Raw(p.id("B", name, ""), p.Node(nodes[0]), inner, fmt.Sprintf("I=v(%s,%s)*v(%s)*%s",
		p.Node(nodes[0]), inner, control, number(1/max(par.Ohms, device.LeastOhms))))
}
