package simulated

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"cupel/internal/circuit"
	"cupel/internal/circuit/bias"
	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/transient"
	"cupel/internal/trial/rig"
)

// pointsOfDeck is how many steps at least a deck divides its time into.
const pointsOfDeck = 2000

// deckVolts and deckStep are the local error and the step never taken back of a
// run that another simulator is held against: a crossing must be right to a part
// of a microsecond on a signal that rises by a millivolt in that time.
const deckVolts, deckStep = 5e-6, 2e-9

// deckLead is how long a deck stands at rest before the cause, s: its first
// steps are the other simulator's least sure.
const deckLead = 10e-6

// Deck carries a capture out and returns what it ran as SPICE cards: the
// circuit at rest at the start, a script of every output that moved and of every
// source that the cause set, and the threshold that each edge goes back to.
// Without time it is the state of rest. With logic the thresholds are emulated
// instead, and the edges are what the deck is to find.
func (r *Rig) Deck(ctx context.Context, c rig.Capture, logic bool) (deck.Deck, error) {
	if err := r.calm(); err != nil {
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
	r.run.SetAccuracy(deckVolts, deckStep)
	defer r.tolerance()
	f := r.filming()
	defer f.stop()
	if logic {
		d.Logic = r.logic()
	}
	f.scripts.Note(0, all)
	if err := wrap(r.run.Advance(ctx, f.start+deckLead)); err != nil {
		return deck.Deck{}, err
	}
	before := r.set.clone()
	if err := r.cause(c.Cause); err != nil {
		return deck.Deck{}, err
	}
	r.run.SetAccuracy(deckVolts, deckStep)
	r.scriptCause(f.scripts, before)
	f.scripts.Note(deckLead, all)
	if err := r.settle(); err != nil {
		return deck.Deck{}, err
	}
	end := deckLead + c.Seconds
	if err := wrap(r.run.Advance(ctx, f.start+end)); err != nil {
		return deck.Deck{}, err
	}
	d.Scripts, d.Crossings, d.Cause = f.scripts, f.crossings, deckLead
	d.Analysis = deck.Transient{Seconds: end, Step: end / pointsOfDeck}
	d.Measures = r.measures(end)
	return d, nil
}

// calm lets everything but the state machines come to rest, as the other
// simulator does before it starts.
func (r *Rig) calm() error {
	if err := r.settle(); err != nil {
		return err
	}
	if _, err := bias.Operate(r.run.Solver()); err != nil {
		return wrap(err)
	}
	return wrap(r.run.Disturb())
}

// logic is every unit as it stands.
func (r *Rig) logic() (units []deck.LogicUnit) {
	names := r.elementNames()
	for _, u := range r.run.Units {
		m := u.Machine.(*deck.Witness).Machine
		units = append(units, deck.LogicUnit{Part: u.Part, Machine: m, State: u.State, Nodes: u.Nodes, Links: names[u]})
	}
	return units
}

// elementNames are the names of the links of each unit.
func (r *Rig) elementNames() map[*transient.Unit][]string {
	names := map[*transient.Unit][]string{}
	for i, u := range r.run.Units {
		for _, s := range r.circuit.Units[i].Links {
			names[u] = append(names[u], s.Name())
		}
	}
	return names
}

// film is what a run did to the outputs of its state machines.
type film struct {
	run       *transient.Run
	start     float64
	log       func(float64, *transient.Unit)
	scripts   deck.Scripts
	crossings []deck.Crossing
	turns     map[string]int // moves so far by element and way
}

// filming puts a witness before every machine.
func (r *Rig) filming() *film {
	f := &film{run: r.run, start: r.run.Time, log: r.run.Log, scripts: deck.Scripts{}, turns: map[string]int{}}
	links := r.elementNames()
	all := slices.Concat(r.circuit.Elements, r.ports.elements)
	for _, u := range r.run.Units {
		u.Machine = deck.NewWitness(u.Machine, &u.State)
	}
	r.run.Log = func(t float64, u *transient.Unit) {
		f.scripts.Note(t-f.start, all)
		f.note(t-f.start, u, links[u])
		f.log(t, u)
	}
	return f
}

func (f *film) stop() {
	f.run.Log = f.log
	for _, u := range f.run.Units {
		u.Machine = u.Machine.(*deck.Witness).Machine
	}
}

// note adds what a unit moved at a time.
func (f *film) note(t float64, u *transient.Unit, elements []string) {
	for _, m := range u.Machine.(*deck.Witness).Moved(&u.State) {
		what := "opens"
		if m.On {
			what = "closes"
		}
		x := deck.Crossing{What: u.Part + " " + what + " " + u.Machine.Links()[m.Link].Name, Edge: t, Delay: m.Delay, On: m.On, Control: elements[m.Link]}
		f.turns[what+x.Control]++
		x.Turn = f.turns[what+x.Control]
		if m.Cause.Comparator >= 0 && m.Cause.Seconds >= f.start {
			c := u.Machine.Comparators()[m.Cause.Comparator]
			x.Threshold, x.Rises, x.Level, x.Ratio = u.Part+" "+c.Name, m.Cause.Rises, c.Level, c.Ratio
			x.Plus, x.Minus, x.RefPlus, x.RefMinus = u.Nodes[c.Plus], u.Nodes[c.Minus], u.Nodes[c.RefPlus], u.Nodes[c.RefMinus]
		}
		f.crossings = append(f.crossings, x)
	}
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

// scriptCause adds what a cause moved.
func (r *Rig) scriptCause(scripts deck.Scripts, before settings) {
	for k, s := range r.ports.cells {
		if from, to := before.cells[k], r.set.cells[k]; from != to {
			scripts[s.Name()] = jump(from, to)
		}
	}
	r.scriptCharger(scripts, before.charger, r.set.charger)
	ohmic := func(l rig.Load) float64 {
		if l.Kind == rig.Resistance {
			return 1 / l.Value
		}
		return 0
	}
	if from, to := ohmic(before.load), ohmic(r.set.load); from != to {
		scripts[r.ports.ohmic.Name()] = jump(from, to)
	}
}

// scriptCharger adds what was set on a charger: its voltage at once, its current
// limit as fast as it rises.
func (r *Rig) scriptCharger(scripts deck.Scripts, from, to rig.Charger) {
	name := r.ports.charger.Name()
	if from.Amps != 0 && from.Volts != to.Volts {
		scripts[name] = jump(from.Volts, to.Volts)
	}
	if rise := r.ports.charger.Settled() - r.run.Time; from.Amps < to.Amps && rise > 0 {
		scripts[deck.LimitOf(name)] = deck.Script{{Value: from.Amps}, {Seconds: deckLead, Value: from.Amps}, {Seconds: deckLead + rise, Value: to.Amps}}
	} else if from.Amps != to.Amps {
		scripts[deck.LimitOf(name)] = jump(from.Amps, to.Amps)
	}
}

// jump is a change by the cause.
func jump(from, to float64) deck.Script {
	return deck.Script{{Value: from}, {Seconds: deckLead, Value: from}, {Seconds: deckLead + deck.Edge, Value: to}}
}
