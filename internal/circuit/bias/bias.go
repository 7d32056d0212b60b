// Package bias finds the operating point of a circuit: every rate is zero,
// capacitors are open and coils are shorts.
//
// # Method
//
// Four ways are tried, each only when the one before has failed:
//
//  1. plain Newton from the present unknowns;
//  2. gmin stepping: junctions shunted by 10 mS, then by a tenth of it at each
//     step down to the gmin that always stands there;
//  3. source stepping: every independent source at 0, then raised in steps that
//     grow on success and shrink on failure;
//  4. pseudo-transient: every node tied to its last value by a conductance that
//     falls from 1 S; the limit of a transient with a capacitor on each node,
//     of which only the end is wanted.
package bias

import (
	"errors"
	"fmt"

	"cupel/internal/circuit"
	"cupel/internal/circuit/newton"
)

// Way is how an operating point was found.
type Way int

// The ways, in the order they are tried.
const (
	Plain Way = iota
	GminStepping
	SourceStepping
	PseudoTransient
)

func (w Way) String() string {
	return [...]string{"plain Newton", "gmin stepping", "source stepping", "pseudo-transient"}[w]
}

const (
	plainLimit = 100 // iterations; well-behaved boards take under 20
	stepLimit  = 40  // iterations of one step of a continuation
	gminStart  = 1e-2
	anchorFrom = 1.0   // S
	anchorTo   = 1e-13 // S; then it is taken away
	// anchorFails is how often the anchor may be tightened again: where there is no
	// operating point it would be loosened and tightened without end. Links of a
	// chain of 21 cells that tip over one after the other took 20.
	anchorFails = 100
)

// Operate brings n to its operating point and tells which way found it. The
// error is the *newton.Floating or *newton.NotConverged of the last way. A node
// that nothing held on one way may be held on another: far from the solution
// conductances beside gmin are lost in the last digit.
func Operate(n *newton.Solver) (Way, error) {
	s := n.Sys
	defer func(loose float64) { n.Loose = loose }(n.Loose)
	n.Loose = 1
	s.Alpha, s.Scale, s.Gmin, n.Anchor = 0, 1, circuit.Gmin, 0
	clear(s.Hist)
	n.Touch()
	start := append([]float64(nil), s.X...)
	var err error
	for way, try := range []func(*newton.Solver) error{plain, gmin, sources, pseudo} {
		if err = try(n); err == nil {
			return Way(way), nil
		}
		s.Scale, s.Gmin, n.Anchor = 1, circuit.Gmin, 0
		copy(s.X, start)
		n.Forget()
		n.Touch()
	}
	var floating *newton.Floating
	if errors.As(err, &floating) {
		return 0, err
	}
	return 0, fmt.Errorf("%w (plain Newton, gmin stepping, source stepping and pseudo-transient all failed)", err)
}

func plain(n *newton.Solver) error { return n.Solve(plainLimit) }

func gmin(n *newton.Solver) error {
	for g := gminStart; g > circuit.Gmin; g /= 10 {
		n.Sys.Gmin = g
		n.Touch()
		if err := n.Solve(stepLimit); err != nil {
			return err
		}
	}
	n.Sys.Gmin = circuit.Gmin
	n.Touch()
	return n.Solve(stepLimit)
}

func sources(n *newton.Solver) error {
	s := n.Sys
	clear(s.X)
	good := append([]float64(nil), s.X...)
	at, step := 0.0, 0.05
	for at < 1 {
		s.Scale = min(1, at+step)
		n.Touch()
		err := n.Solve(stepLimit)
		if err == nil {
			at, step = s.Scale, step*1.5
			copy(good, s.X)
			continue
		}
		if step /= 4; step < 1e-6 {
			return err
		}
		copy(s.X, good)
		n.Forget()
	}
	return nil
}

func pseudo(n *newton.Solver) error {
	n.Anchor = anchorFrom
	fails := 0
	for n.Anchor > anchorTo {
		copy(n.AnchorTo, n.Sys.X)
		n.Touch()
		if err := n.Solve(stepLimit); err != nil {
			fails++
			if n.Anchor *= 10; n.Anchor > 1e6 || fails > anchorFails {
				return err
			}
			copy(n.Sys.X, n.AnchorTo)
			n.Forget()
			continue
		}
		n.Anchor /= 4
	}
	n.Anchor = 0
	n.Touch()
	return n.Solve(stepLimit)
}
