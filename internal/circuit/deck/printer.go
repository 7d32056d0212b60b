package deck

import (
	"fmt"
	"math"
	"strings"

	"cupel/internal/circuit"
)

// Printer collects the cards of a deck.
type Printer struct {
	names  *Names
	kelvin float64 // of the board
	deck   *Deck
	cards  []string
	models map[string]string // name by text of the model
	funcs  map[string]bool   // functions printed
	taken  map[string]bool   // names of cards
	err    error

	controls map[string]string // node by element that emulated logic moves
}

func newPrinter(d Deck) *Printer {
	return &Printer{names: NameNodes(d.Nodes), kelvin: d.kelvin(), deck: &d, models: map[string]string{}, funcs: map[string]bool{}, taken: map[string]bool{}, controls: map[string]string{}}
}

// Kelvin is the temperature of the board.
func (p *Printer) Kelvin() float64 { return p.kelvin }

// Node returns the name of a node in the deck.
func (p *Printer) Node(n circuit.Node) string { return p.names.Node(n) }

// Card prints one card of an element: its type letter, its name with a suffix
// for one of several cards, its nodes, the rest.
func (p *Printer) Card(letter, name, suffix string, nodes []circuit.Node, rest string) {
	words := []string{p.id(letter, name, suffix)}
	for _, n := range nodes {
		words = append(words, p.Node(n))
	}
	p.cards = append(p.cards, strings.Join(append(words, rest), " "))
}

// id returns the name of one card of an element.
func (p *Printer) id(letter, name, suffix string) string {
	return unique(CardName(letter, p.names.Element(name))+suffix, p.taken)
}

// CardName returns the name of the first card of an element: its name where
// that begins with the type letter already, as R1 of a resistor does.
func CardName(letter, name string) string {
	w := word(name)
	return letter + strings.TrimPrefix(w, strings.ToLower(letter))
}

// Raw prints a card whose nodes are not all nodes of the circuit.
func (p *Printer) Raw(words ...string) { p.cards = append(p.cards, strings.Join(words, " ")) }

// Inner names a node that only the cards of one element share.
func (p *Printer) Inner(name, suffix string) string {
	return "inner_" + p.names.Element(name) + "_" + suffix
}

// Model returns the name of a model with that text, printing it once.
func (p *Printer) Model(kind, parameters string) string {
	text := kind + "(" + parameters + ")"
	if name, ok := p.models[text]; ok {
		return name
	}
	name := fmt.Sprintf("model_%d", len(p.models)+1)
	p.models[text] = name
	p.Raw(".model", name, text)
	return name
}

// function prints the definition of a function once.
func (p *Printer) function(text string) {
	if !p.funcs[text] {
		p.funcs[text] = true
		p.Raw(text)
	}
}

// Volts is the expression of the voltage from a to b.
func (p *Printer) Volts(a, b circuit.Node) string {
	if b == 0 {
		return "v(" + p.Node(a) + ")"
	}
	if a == 0 {
		return "(-v(" + p.Node(b) + "))"
	}
	return "v(" + p.Node(a) + "," + p.Node(b) + ")"
}

// resistor prints a resistance, 0 and infinite ones included, to a fixed value.
func (p *Printer) resistor(name, suffix string, nodes []circuit.Node, siemens float64) {
	if siemens > 0 {
		// tc=0: the value is already that of the part's temperature.
		p.Card("R", name, suffix, nodes, number(1/siemens)+" tc=0")
	}
}

// script returns the node that carries an element's script, printing its
// source, or false if the element has none.
func (p *Printer) script(name string) (node string, ok bool) {
	if node, ok := p.controls[name]; ok {
		return node, true
	}
	s := p.deck.Scripts[name]
	if len(s) == 0 {
		return "", false
	}
	node = "script_" + p.names.Element(name)
	p.Raw(p.id("V", node, ""), node, "0", pwl(s))
	return node, true
}

// pwl prints a script as a source.
func pwl(s Script) string {
	var b strings.Builder
	b.WriteString("PWL(")
	for i, pt := range s {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(number(pt.Seconds) + " " + number(pt.Value))
	}
	return b.String() + ")"
}

// fail records the first thing that cannot be printed.
func (p *Printer) fail(format string, args ...any) {
	if p.err == nil {
		p.err = fmt.Errorf(format, args...)
	}
}

// siemensOf is 1/ohms with 0 for an infinite resistance.
func siemensOf(ohms float64) float64 {
	if math.IsInf(ohms, 1) {
		return 0
	}
	return 1 / ohms
}
