package deck

import (
	"fmt"
	"slices"
	"strings"

	"cupel/internal/circuit"
	"cupel/internal/circuit/protector"
)

// LogicUnit is a protection IC whose thresholds, delays and latches a deck
// emulates instead of being told by a script how its outputs move.
type LogicUnit struct {
	Part    string
	Machine protector.Machine
	State   protector.State // at the start
	Nodes   []circuit.Node  // of the machine's pins
	Links   []string        // elements of the machine's links
}

// The emulation's own figures. A comparator is a slope steep enough to lie within
// microvolts of its threshold; a latch is a capacitor held at either end by its
// own value, with a push of its own to each side, so that it does not rest in
// between; a delay is a capacitor charged to 1 V; an output passes through a
// ramp, at whose ends its two switches conduct and in whose middle neither does.
const (
	edgeVolts   = 20e-6 // V, half width of a comparator
	latchFarads = 1e-6  // F
	latchTau    = 20e-9 // s
	delayReset  = 1e-6  // s, to forget a delay; at most a fiftieth of it
	rampTau     = 55e-9 // s: 50 ns from the opening of one switch to the closing of the other
	delayWidth  = 1e-5  // of a delay, within which its end is found
	never       = 1e3   // s; a delay beyond is none that a deck shows
)

// emulation prints one unit. Nodes are named after its part.
type emulation struct {
	*Printer
	u     *LogicUnit
	logic protector.Logic
	name  string
}

// logics prints all units, and notes which node controls each link.
func (p *Printer) logics(units []LogicUnit) {
	for i := range units {
		u := &units[i]
		l, ok := protector.LogicOf(u.Machine)
		if !ok {
			p.fail("%s: its logic cannot be told as latches", u.Part)
			return
		}
		if sharesRetry(l) {
			p.fail("%s: several overcurrent stages share one retry: its latch and those of the stages clear each other, which analogue latches follow half-way only; export the deck without the logic, its outputs scripted", u.Part)
			return
		}
		e := emulation{p, u, l, "logic_" + p.names.Element(u.Part)}
		e.print()
	}
}

// sharesRetry: emulated, both the retry and the stages came to rest between set
// and cleared, which looks like an answer.
func sharesRetry(l protector.Logic) bool {
	return slices.ContainsFunc(l.Latches, func(l protector.Latch) bool { return l.Name == protector.Retry })
}

func (e *emulation) print() {
	if len(e.logic.Missing) > 0 {
		e.Raw("*", e.u.Part+":", "not emulated:", strings.Join(e.logic.Missing, ", "))
	}
	for i, c := range e.u.Machine.Comparators() {
		node := e.node("c", i)
		e.Raw("B"+node, node, "0", fmt.Sprintf("V=0.5*(1+tanh((%s)/%s))", e.signal(c), number(edgeVolts)))
	}
	for i, l := range e.logic.Latches {
		e.latch(i, l)
	}
	for i, d := range e.logic.Drives {
		e.drive(i, d)
	}
	for _, f := range e.logic.Links {
		e.control(f.Link, e.any(f.On))
	}
}

func (e *emulation) node(kind string, i int) string { return fmt.Sprintf("%s_%s%d", e.name, kind, i) }

func (e *emulation) signal(c protector.Comparator) string {
	n := e.u.Nodes
	return e.Printer.signal(n[c.Plus], n[c.Minus], n[c.RefPlus], n[c.RefMinus], c.Ratio, c.Level)
}

// latch prints a latch with its two delays. The push of one side ends only where
// the latch is nearly at that side, so that it cannot stop half-way.
func (e *emulation) latch(i int, l protector.Latch) {
	q := e.node("l", i)
	v := "v(" + q + ")"
	set := e.delayed(e.node("s", i), e.any(l.Set)+"*"+step("0.9-"+v), l.SetAfter)
	clear := e.delayed(e.node("k", i), e.any(l.Clear)+"*"+step(v+"-0.1"), l.ClearAfter)
	reset := e.any(l.Reset)
	e.Raw("C"+q, q, "0", number(latchFarads))
	e.Raw("B"+q, "0", q, fmt.Sprintf("I=%s*(5*%s*(1-%s)*(1-%s)-5*(%s+%s)*%s+%s-%s)",
		number(latchFarads/latchTau), set, reset, v, clear, reset, v, step(v+"-0.5"), v))
	start := 0
	if f := protector.FlagIndex(e.u.Machine, l.Name); f >= 0 && e.u.State.Has(f) {
		start = 1
	}
	e.Raw(fmt.Sprintf(".ic v(%s)=%d", q, start))
}

// step is 1 where an expression of latches is above zero, 0 below.
func step(x string) string { return "0.5*(1+tanh(50*(" + x + ")))" }

// delayed prints a delay behind a condition and returns when it is over.
func (e *emulation) delayed(node, on string, delay float64) string {
	if delay <= 0 || on == "0" {
		return "(" + on + ")"
	}
	if delay > never {
		return "0"
	}
	v := "v(" + node + ")"
	e.Raw("C"+node, node, "0", number(latchFarads))
	e.Raw("B"+node, "0", node, fmt.Sprintf("I=%s*((%s)*0.5*(1+tanh(100*(1.05-%s)))/%s-(1-(%s))*%s/%s)",
		number(latchFarads), on, v, number(delay), on, v, number(min(delayReset, delay/50))))
	e.Raw(fmt.Sprintf(".ic v(%s)=0", node))
	return fmt.Sprintf("(0.5*(1+tanh((%s-1)/%s)))", v, number(delayWidth))
}

// drive prints an output: break before make.
func (e *emulation) drive(i int, d protector.Drive) {
	node := e.node("d", i)
	v, off, open := "v("+node+")", e.any(d.Off), e.any(d.Open)
	e.Raw("C"+node, node, "0", number(latchFarads))
	e.Raw("B"+node, "0", node, fmt.Sprintf("I=%s*tanh(((%s)-%s)/0.01)", number(latchFarads/rampTau), off, v))
	start := 0
	if d.High >= 0 && !e.conducts(d.High) {
		start = 1
	}
	e.Raw(fmt.Sprintf(".ic v(%s)=%d", node, start))
	e.control(d.High, fmt.Sprintf("0.5*(1-tanh((%s-0.05)/0.01))*(1-(%s))", v, open))
	e.control(d.Low, fmt.Sprintf("0.5*(1+tanh((%s-0.95)/0.01))*(1-(%s))", v, open))
}

func (e *emulation) conducts(link int) bool {
	links, sinks := make([]bool, len(e.u.Machine.Links())), make([]float64, len(e.u.Machine.Sinks()))
	e.u.Machine.Outputs(&e.u.State, links, sinks)
	return links[link]
}

// control prints the node that moves a link's switch.
func (e *emulation) control(link int, expression string) {
	if link < 0 {
		return
	}
	element := e.u.Links[link]
	node := "script_" + e.names.Element(element)
	e.Raw("B"+node, node, "0", "V="+expression)
	e.controls[element] = node
}

// any and all are conditions as expressions of 0 and 1.
func (e *emulation) any(a protector.Any) string {
	switch len(a) {
	case 0:
		return "0"
	case 1:
		return e.all(a[0])
	}
	var none []string
	for _, x := range a {
		none = append(none, "(1-"+e.all(x)+")")
	}
	return "(1-" + strings.Join(none, "*") + ")"
}

func (e *emulation) all(a protector.All) string {
	if len(a) == 0 {
		return "1"
	}
	var terms []string
	for _, t := range a {
		node := e.node("c", t.Comparator)
		if t.Comparator < 0 {
			node = e.node("l", t.Latch)
		}
		v := "v(" + node + ")"
		if t.Not {
			v = "(1-" + v + ")"
		}
		terms = append(terms, v)
	}
	return strings.Join(terms, "*")
}
