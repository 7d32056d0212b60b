package simulated

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"cupel/internal/circuit"
	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/transient"
	"cupel/internal/trial/rig"
)

// pointsOfDeck is how many steps at least a deck divides its time into.
const pointsOfDeck = 2000

// Deck carries a capture out and returns what it ran as SPICE cards: the
// circuit as it stood at the start, and a script of every output that moved and
// of every source that the cause set. A load that is a resistance stands in the
// deck from its start on: a resistor has no script. Without time it is the state
// of rest.
func (r *Rig) Deck(ctx context.Context, c rig.Capture) (deck.Deck, error) {
	if err := r.settle(); err != nil {
		return deck.Deck{}, err
	}
	all := slices.Concat(r.circuit.Elements, r.ports.elements)
	d := deck.Deck{
		Nodes: r.ports.names, Elements: all, Kelvin: r.run.Solver().Sys.Kelvin, Near: slices.Clone(r.run.X()),
		Analysis: deck.OperatingPoint{},
	}
	if c.Seconds == 0 {
		return d, nil
	}
	start, scripts, log := r.run.Time, deck.Scripts{}, r.run.Log
	scripts.Note(0, all)
	r.run.Log = func(t float64, u *transient.Unit) {
		scripts.Note(t-start, all)
		log(t, u)
	}
	defer func() { r.run.Log = log }()
	before := r.set.clone()
	if err := r.cause(c.Cause); err != nil {
		return deck.Deck{}, err
	}
	r.scriptCause(scripts, before)
	scripts.Note(0, all)
	if err := r.settle(); err != nil {
		return deck.Deck{}, err
	}
	if err := wrap(r.run.Advance(ctx, start+c.Seconds)); err != nil {
		return deck.Deck{}, err
	}
	d.Scripts = scripts
	d.Analysis = deck.Transient{Seconds: c.Seconds, Step: c.Seconds / pointsOfDeck}
	d.Measures = r.measures(c.Seconds)
	return d, nil
}

// measures are figures that the other simulator prints of its run: what P− and
// the lowest cell's tap see.
func (r *Rig) measures(seconds float64) []deck.Measure {
	names := deck.NameNodes(r.ports.names)
	var out []deck.Measure
	for name, n := range map[string]circuit.Node{"minus": r.ports.minus, "tap_1": r.ports.taps[1]} {
		if n == 0 {
			continue
		}
		v := "v(" + names.Node(n) + ")"
		out = append(out,
			deck.Measure{Name: name + "_highest", What: "max " + v},
			deck.Measure{Name: name + "_lowest", What: "min " + v},
			deck.Measure{Name: name + "_at_end", What: fmt.Sprintf("find %s at=%g", v, 0.999*seconds)},
		)
	}
	slices.SortFunc(out, func(a, b deck.Measure) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// scriptCause adds what a cause moved at the start.
func (r *Rig) scriptCause(scripts deck.Scripts, before settings) {
	for k, s := range r.ports.cells {
		if from, to := before.cells[k], r.set.cells[k]; from != to {
			scripts[s.Name()] = jump(from, to)
		}
	}
	from, to := before.charger, r.set.charger
	if to.Amps != 0 && from.Volts != to.Volts {
		if from.Amps == 0 {
			from.Volts = 0 // a charger that gives nothing: so low that none flows
		}
		scripts[r.ports.charger.Name()] = jump(from.Volts, to.Volts)
	}
}

// jump is a change at the start.
func jump(from, to float64) deck.Script {
	return deck.Script{{Seconds: 0, Value: from}, {Seconds: deck.Edge, Value: from}, {Seconds: 2 * deck.Edge, Value: to}}
}
