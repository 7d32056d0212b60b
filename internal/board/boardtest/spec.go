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
	Chain Topology = iota // a protector a cell, and level shifters
	Stack                 // one part for all cells
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
)

// Signal is what a level shifter of a chain says while it conducts.
type Signal int

// The signals.
const (
	Fault Signal = iota // "this cell has tripped": a lost part is a lost protection
	Fine                // "this cell is well": a lost part trips the board
)

// Spec is a board to make. The zero value is a chain of no cells: set Cells.
type Spec struct {
	Topology  Topology
	Cells     int // Chain 2–24; Stack 3, 4, 5, 8
	Port      Port
	Sense     Sense
	Signal    Signal // of the discharge line of a Chain
	Phosphate bool   // LFP thresholds
	Balance   bool   // of a Chain
	FETs      int    // in parallel in each bank; 0: 2
}

// Name names the board after its spec.
func (s Spec) Name() string {
	topology := [...]string{"chain", "stack"}[s.Topology]
	port := [...]string{"common", "separate", "half"}[s.Port]
	sense := [...]string{"shunt", "bank", "banks"}[s.Sense]
	name := fmt.Sprintf("%s-%ds-%s-%s", topology, s.Cells, port, sense)
	if s.Topology == Chain {
		name += [...]string{"-fault", "-fine"}[s.Signal]
	}
	if s.Phosphate {
		name += "-lfp"
	}
	if s.Balance {
		name += "-balance"
	}
	return name
}

// Random draws a spec that can be made.
func Random(r *rand.Rand) Spec {
	s := Spec{
		Topology: Topology(r.IntN(2)), Port: Port(r.IntN(3)), Sense: Sense(r.IntN(3)),
		Signal: Signal(r.IntN(2)), Phosphate: r.IntN(3) == 0, FETs: 1 + r.IntN(6),
	}
	if s.Topology == Chain {
		s.Cells, s.Balance = 2+r.IntN(23), r.IntN(2) == 0
	} else {
		s.Cells = []int{3, 4, 5, 8}[r.IntN(4)]
	}
	return s.possible()
}

// possible moves a spec to the nearest that the sheets allow.
func (s Spec) possible() Spec {
	if s.FETs == 0 {
		s.FETs = 2
	}
	if s.Topology != Chain {
		s.Balance, s.Signal = false, Fault
		if s.Phosphate && s.Cells != 8 {
			s.Cells = 4
		}
	}
	if s.Port != Common && s.Sense == Banks {
		s.Sense = OneBank
	}
	return s
}
