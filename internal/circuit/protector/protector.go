// Package protector holds protection ICs and balancers as pure state machines.
// A machine knows no circuit: it names comparators between its pins, is told
// which of them are true and when, and answers with which links between its
// pins conduct and what it draws. The caller watches voltages and carries the
// answer out.
package protector

import "math"

// Pin indexes into Machine.Pins.
type Pin int

// Comparator is true while
//
//	v(Plus) − v(Minus) − Ratio·(v(RefPlus) − v(RefMinus)) > Level.
//
// Levels are in volts. Ratio is 0 for a plain comparator.
type Comparator struct {
	Name              string // "v>V_ov"
	Plus, Minus       Pin
	Ratio             float64
	RefPlus, RefMinus Pin
	Level             float64 // V
}

// Link is a resistance between two pins that the machine switches: an output
// stage, a pull, a bleed switch.
type Link struct {
	Name     string // "do to vdd"
	From, To Pin
	Ohms     float64
}

// Sink is a current the machine draws from one pin to another; how much is
// chosen by its state.
type Sink struct {
	Name     string
	From, To Pin
}

// Clamp is a diode of the part, always there: from Anode to Cathode, breaking
// down at Breakdown volts (+Inf: never).
type Clamp struct {
	Name           string
	Anode, Cathode Pin
	Breakdown      float64 // V
}

// Truth is the state of a machine's comparators, in their order.
type Truth []bool

// MaxTimers bounds the timers and MaxFlags the flags of one machine.
const (
	MaxTimers = 96
	MaxFlags  = 192 // the flags a machine names, then one a timer: it runs back
)

// State is all that a machine remembers. It is a plain value: copying it saves
// it, assigning it back rewinds the machine.
type State struct {
	Flags [MaxFlags / 64]uint64
	Due   [MaxTimers]float64 // s; +Inf where no timer runs; where one runs back, when nothing of it is left
}

// Has reports whether flag i is set.
func (s *State) Has(i int) bool { return s.Flags[i/64]&(1<<(i%64)) != 0 }

// Put sets or clears flag i.
func (s *State) Put(i int, on bool) {
	if on {
		s.Flags[i/64] |= 1 << (i % 64)
	} else {
		s.Flags[i/64] &^= 1 << (i % 64)
	}
}

// Deadline is the time at which the next timer runs out; +Inf when none runs.
func (s *State) Deadline(timers int) float64 {
	d := math.Inf(1)
	for _, t := range s.Due[:timers] {
		d = min(d, t)
	}
	return d
}

// Machine is one protection IC, balancer or detector.
type Machine interface {
	// Pins names the pins, in the order that Pin counts.
	Pins() []string
	Comparators() []Comparator
	Links() []Link
	Sinks() []Sink
	Clamps() []Clamp
	// Flags names the flags of a State, in order; Timers counts its timers.
	Flags() []string
	Timers() int

	// Start puts s into the state of a part whose inputs have long been as
	// truth says: every delay has run out. Only what has no rest runs on: a
	// retry, a release whose trip holds too, periodic sampling.
	Start(s *State, t float64, truth Truth)
	// Advance brings s to time t, at which the comparators are as truth says:
	// timers whose condition begins are started, lapsed ones stopped, expired
	// ones acted on, until nothing changes at this instant. It never looks
	// ahead: the caller calls it at each comparator change and each Deadline.
	Advance(s *State, t float64, truth Truth)
	// Outputs fills links (one a Link: does it conduct) and sinks (one a Sink:
	// amperes). It allocates nothing.
	Outputs(s *State, links []bool, sinks []float64)
}
