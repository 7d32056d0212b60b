package transient

import (
	"cupel/internal/circuit"
	"cupel/internal/circuit/protector"
)

// Switcher is an element that a machine opens and closes; Set reports whether
// that changed it.
type Switcher interface{ Set(on bool) bool }

// Drawer is an element whose current a machine sets, in A.
type Drawer interface{ SetAmps(amps float64) }

// Unit is a state machine joined to a circuit.
type Unit struct {
	Part    string
	Machine protector.Machine
	Nodes   []circuit.Node // of the machine's pins
	Links   []Switcher     // of the machine's links
	Sinks   []Drawer       // of the machine's sinks

	State protector.State

	comparators []comparator
	truth       []bool
	links, newL []bool
	sinks, newS []float64
	timers      int
	toggles     toggles

	trial      protector.State // State as the step under trial would leave it
	trialTruth []bool
}

// comparator is a protector.Comparator on node numbers.
type comparator struct {
	plus, minus, refPlus, refMinus circuit.Node
	ratio, level                   float64
}

// margin is the hysteresis of every comparator: a signal within it of its
// threshold leaves the comparator as it was, so that rounding does not make
// events. Far below any tolerance of a sheet.
const margin = 1e-7 // V

func (u *Unit) init() {
	for _, c := range u.Machine.Comparators() {
		u.comparators = append(u.comparators, comparator{
			u.Nodes[c.Plus], u.Nodes[c.Minus], u.Nodes[c.RefPlus], u.Nodes[c.RefMinus], c.Ratio, c.Level,
		})
	}
	u.truth = make([]bool, len(u.comparators))
	u.trialTruth = make([]bool, len(u.comparators))
	u.links, u.newL = make([]bool, len(u.Links)), make([]bool, len(u.Links))
	u.sinks, u.newS = make([]float64, len(u.Sinks)), make([]float64, len(u.Sinks))
	u.timers = u.Machine.Timers()
}

// signal is what the comparator compares with zero.
func (c *comparator) signal(x []float64) float64 {
	s := x[c.plus] - x[c.minus] - c.level
	if c.ratio != 0 {
		s -= c.ratio * (x[c.refPlus] - x[c.refMinus])
	}
	return s
}

// read sets truth from the unknowns, with hysteresis, and reports a change.
func (u *Unit) read(x []float64) (changed bool) {
	for i := range u.comparators {
		s := u.comparators[i].signal(x)
		switch {
		case u.truth[i] && s < -margin:
			u.truth[i], changed = false, true
		case !u.truth[i] && s > margin:
			u.truth[i], changed = true, true
		}
	}
	return changed
}

// readFresh sets truth from the unknowns alone.
func (u *Unit) readFresh(x []float64) {
	for i := range u.comparators {
		u.truth[i] = u.comparators[i].signal(x) > 0
	}
}

// differs reports whether state s asks for other outputs than those applied.
func (u *Unit) differs(s *protector.State) bool {
	u.Machine.Outputs(s, u.newL, u.newS)
	for i, on := range u.newL {
		if on != u.links[i] {
			return true
		}
	}
	for i, a := range u.newS {
		if a != u.sinks[i] {
			return true
		}
	}
	return false
}

// apply carries the outputs of the state out and reports whether any changed.
func (u *Unit) apply() bool {
	if !u.differs(&u.State) {
		return false
	}
	u.force()
	return true
}

// force carries the outputs out whether they changed or not.
func (u *Unit) force() {
	u.Machine.Outputs(&u.State, u.links, u.sinks)
	for i, on := range u.links {
		u.Links[i].Set(on)
	}
	for i, a := range u.sinks {
		u.Sinks[i].SetAmps(a)
	}
}

// Deadline is when the next timer of the unit runs out.
func (u *Unit) Deadline() float64 { return u.State.Deadline(u.timers) }
