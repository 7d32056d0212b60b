// Package boardtest makes boards for tests: every topology of the trade in any
// size, whole or with one thing wrong.
package boardtest

import (
	"fmt"
	"math/rand/v2"
)

// Topology is how the cells are watched.
type Topology int

// The topologies.
const (
	Chain   Topology = iota // a protector a cell, and level shifters
	Stack                   // one part for all cells
	Cascade                 // stack protectors on one another, the upper speak through control pins
)

// Port is how load and charger connect.
type Port int

// The ports.
const (
	Common   Port = iota // P− for both
	Separate             // C− beside P−, behind a charge bank of its own
	Half                 // C− behind both banks, P− behind the discharge bank
)

// Sense is what the drop that counts as current is taken over.
type Sense int

// The senses.
const (
	Shunt   Sense = iota
	OneBank       // the discharge bank alone: sense between the banks
	Banks         // both banks: sense at P−
	Neck          // a neck in the foil: a shunt with the tempco of copper
)

// Signal is what a level shifter of a chain says while it conducts.
type Signal int

// The signals.
const (
	Fault Signal = iota // "this cell has tripped": a lost part is a lost protection
	Fine                // "this cell is well": a lost part trips the board
)

// Sensor is what lies at the temperature input of a stack protector.
type Sensor int

// The sensors.
const (
	NTC        Sensor = iota // the thermistor the ratios are made for
	SteepNTC                 // one of another B value
	HundredNTC               // 100 kΩ with a reference to match
	FixedOhms                // a resistor in its place: no temperature protection
	NoSensor                 // the inputs are not used
)

// Spec is a board to make. The zero value is a chain of no cells: set Cells.
// What the sheets cannot make of it is moved to the nearest that they can.
type Spec struct {
	Topology  Topology
	Cells     int // Chain 2–24; Stack 3–8; Cascade 9–24
	Port      Port
	Sense     Sense
	Signal    Signal // of the discharge line of a Chain
	Phosphate bool   // LFP thresholds
	Balance   bool   // a Chain's balancers, a Stack's switches inside
	FETs      int    // in parallel in each bank; 0: 2
	High      bool   // P-FETs in the positive line, up to 12 cells
	Sensor    Sensor // of a Stack and a Cascade
	Secondary bool   // a second-level detector and a heater fuse, up to 5 cells
}

// The limits of what the sheets can make.
const (
	mostHigh      = 12 // cells below a P-FET of 60 V
	mostSecondary = 5  // cells of a second-level detector
	mostStack     = 8  // cells of one stack protector
	mostCells     = 24
)

// Name names the board after its spec.
func (s Spec) Name() string {
	s = s.possible()
	name := fmt.Sprintf("%s-%ds-%s-%s",
		[...]string{"chain", "stack", "cascade"}[s.Topology], s.Cells,
		[...]string{"common", "separate", "half"}[s.Port], [...]string{"shunt", "bank", "banks", "neck"}[s.Sense])
	for _, part := range []struct {
		has  bool
		word string
	}{
		{s.Topology == Chain && s.Signal == Fault, "fault"},
		{s.Topology == Chain && s.Signal == Fine, "fine"},
		{s.High, "high"},
		{s.Phosphate, "lfp"},
		{s.Balance, "balance"},
		{s.Topology != Chain && s.Sensor != NTC, [...]string{"", "steep", "hundred", "fixed", "blind"}[s.Sensor]},
		{s.Secondary, "secondary"},
	} {
		if part.has {
			name += "-" + part.word
		}
	}
	return name
}

// Random draws a spec that can be made.
func Random(r *rand.Rand) Spec {
	s := Spec{
		Topology: Topology(r.IntN(3)), Port: Port(r.IntN(3)), Sense: Sense(r.IntN(4)),
		Signal: Signal(r.IntN(2)), Phosphate: r.IntN(3) == 0, FETs: 1 + r.IntN(6), Balance: r.IntN(2) == 0,
		High: r.IntN(4) == 0, Sensor: Sensor(r.IntN(5)), Secondary: r.IntN(3) == 0,
	}
	switch s.Topology {
	case Chain:
		s.Cells = 2 + r.IntN(mostCells-1)
	case Stack:
		s.Cells = 3 + r.IntN(mostStack-2)
	case Cascade:
		s.Cells = mostStack + 1 + r.IntN(mostCells-mostStack)
	}
	return s.possible()
}

// possible moves a spec to the nearest that the sheets allow.
func (s Spec) possible() Spec {
	if s.FETs == 0 {
		s.FETs = 2
	}
	if s.Topology == Chain {
		s.Sensor = NTC
	} else {
		s.Signal = Fault
	}
	if s.Topology == Stack && s.Phosphate && s.Cells < 4 {
		s.Cells = 4
	}
	s.Balance = s.Balance && (s.Topology == Chain || s.Topology == Stack && s.Cells <= 5 && !s.Phosphate)
	s.High = s.High && s.Cells <= mostHigh
	if s.High && s.Sense != Neck {
		s.Sense = Shunt // in the negative line, where the parts that look at it are
	}
	if s.Port != Common && s.Sense == Banks {
		s.Sense = OneBank
	}
	s.Secondary = s.Secondary && s.Cells >= 3 && s.Cells <= mostSecondary && !s.Phosphate
	return s
}
