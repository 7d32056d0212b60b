// Package deck prints a circuit as SPICE cards that a general-purpose simulator
// runs with the same equations.
//
// # What is printed how
//
// Resistors, capacitors, coils, sources, junctions and bipolar transistors are
// the simulator's own devices, so that its equations check ours. Whatever SPICE
// has no device for (the channel of a MOSFET, a current sink, leakage that
// doubles with temperature) is a behavioural source with the very expression
// that Cupel solves. Temperature laws that are not SPICE's are evaluated here
// and printed as numbers.
//
// # Protection ICs
//
// They are state machines and have no cards. Their outputs are switches and
// sinks of the circuit, and a Script says how each moves over time, as points
// of a PWL source that controls it. Emulating the logic by analogue sources
// gives plausible wrong answers where latches rest at fractional states. A deck
// with Logic does emulate it, as latched comparators whose setting and release
// are apart; it is for the thresholds, not for times to the microsecond.
//
// A Witness finds the threshold that each edge goes back to, and the deck looks
// for the same crossing in its own waveforms: crossing and delay together must
// be the scripted edge.
//
// # Names
//
// SPICE does not tell upper from lower case, takes "gnd" for node 0 and reads
// operators in expressions, so names are rewritten; each name that had to be
// is explained in a comment of the deck.
package deck

import (
	"bufio"
	"fmt"
	"io"
	"strconv"

	"cupel/internal/circuit"
)

// Deck is what is printed.
type Deck struct {
	Title    string
	Comments []string // printed under the title
	Nodes    []string // names by circuit.Node; [0] is the reference
	Elements []circuit.Element
	Kelvin   float64 // of the board; 0 is 25 °C
	// Scripts says by element name how an element moves over time: the
	// position of a switch (0 open, 1 closed), the current of a sink, the
	// value of a source. An element without one stays as it is.
	Scripts  map[string]Script
	Analysis Analysis
	Measures []Measure
	// Crossings are the scripted edges with what they go back to, and Cause is
	// when the board was disturbed, s.
	Crossings []Crossing
	Cause     float64
	// Logic are the units whose logic is emulated; scripts of their links do
	// not count then.
	Logic []LogicUnit
	// Near are voltages by node to start the search of the state of rest from;
	// the simulator lets them go before it has found it. nil: none.
	Near []float64
}

// Script is a polyline over time.
type Script []Point

// Point is a value at a time.
type Point struct{ Seconds, Value float64 }

// A Carder is an element that prints its own cards: one that is no part of
// package device.
type Carder interface {
	circuit.Element
	// Cards prints itself through p.
	Cards(p *Printer)
}

// Write prints the deck. The error names an element that has no cards.
func Write(w io.Writer, d Deck) error {
	p := newPrinter(d)
	p.logics(d.Logic)
	for _, e := range d.Elements {
		p.print(e)
	}
	if len(d.Crossings) > 0 {
		p.pace(d.Cause, d.Analysis)
	}
	for i, c := range d.Crossings {
		if len(d.Logic) == 0 {
			p.watch(i, c)
		}
	}
	if p.err != nil {
		return p.err
	}
	b := bufio.NewWriter(w)
	d.head(b, p.names)
	for _, card := range p.cards {
		fmt.Fprintln(b, card)
	}
	d.near(b, p.names)
	d.tail(b, p.names)
	return b.Flush()
}

// The simulator's tolerances, tighter than its own. As tight as for a part alone
// a whole board no longer settles, and behavioural capacitors stall a run: with
// reltol 1e-4 the shorts of both demo boards ended at their first edge as often
// as not, as values moved in the fourth digit.
const (
	options      = ".options temp=%s tnom=27 gmin=%s "
	sweepOptions = "reltol=1e-6 abstol=1e-14 vntol=1e-7 itl1=1000 itl2=1000"
	restOptions  = "reltol=1e-5 abstol=1e-12 vntol=1e-7 itl1=300"
	runOptions   = "reltol=1e-3 abstol=1e-9 vntol=1e-5 chgtol=1e-13 method=gear itl1=300 itl4=200"
	// A charger at its knee, behind a bank that opens, stalls a run of higher
	// order.
	crossingOptions = " maxord=2 trtol=1"
)

func (d *Deck) accuracy() string {
	switch d.Analysis.(type) {
	case Transient:
		if len(d.Crossings) > 0 {
			return runOptions + crossingOptions
		}
		return runOptions
	case Sweep:
		return sweepOptions
	}
	return restOptions
}

func (d *Deck) head(b *bufio.Writer, n *Names) {
	fmt.Fprintf(b, "%s\n", oneLine(d.Title))
	for _, c := range d.Comments {
		fmt.Fprintf(b, "* %s\n", oneLine(c))
	}
	for _, c := range n.comments() {
		fmt.Fprintf(b, "* %s\n", c)
	}
	if len(d.Crossings) > 0 {
		fmt.Fprintln(b, "* if a run ends early: add cshunt=1e-13 or noopiter to the options")
	}
	fmt.Fprintf(b, options+d.accuracy()+"\n", number(d.kelvin()-zeroCelsius), number(circuit.Gmin))
}

func (d *Deck) near(b *bufio.Writer, n *Names) {
	for i := 1; i < len(d.Nodes) && i < len(d.Near); i++ {
		fmt.Fprintf(b, ".nodeset v(%s)=%s\n", n.Node(circuit.Node(i)), number(d.Near[i]))
	}
}

func (d *Deck) tail(b *bufio.Writer, n *Names) {
	if d.Analysis != nil {
		fmt.Fprintln(b, d.Analysis.card())
	}
	for _, m := range d.Measures {
		fmt.Fprintln(b, m.card(d.Analysis))
	}
	for i, c := range d.Crossings {
		if len(d.Logic) > 0 {
			c.emulated(b, i, n)
			continue
		}
		c.measure(b, i)
	}
	fmt.Fprintln(b, ".end")
}

const zeroCelsius = 273.15 // K

func (d *Deck) kelvin() float64 {
	if d.Kelvin == 0 {
		return circuit.RoomKelvin
	}
	return d.Kelvin
}

// number prints a number so that it reads back equal.
func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
