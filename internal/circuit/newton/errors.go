package newton

import (
	"fmt"
)

// NotConverged says that the iteration found no solution.
type NotConverged struct {
	Node    string // unknown that moved most in the last iteration
	Element string // nonlinear element on that node
	Time    float64
	Step    float64 // 0 at an operating point
	Tries   int
}

func (e *NotConverged) Error() string {
	at := "at the operating point"
	if e.Step > 0 {
		at = fmt.Sprintf("at %.6g s, step %.3g s", e.Time, e.Step)
	}
	return fmt.Sprintf("no convergence %s after %d iterations: node %s at %s still moves", at, e.Tries, e.Node, e.Element)
}

// Floating says that the equations leave a node open: nothing holds its
// voltage.
type Floating struct{ Node string }

func (e *Floating) Error() string {
	return fmt.Sprintf("nothing holds the voltage of node %s: it floats, or sources form a loop there", e.Node)
}

func (n *Solver) notConverged(tries int) error {
	e := &NotConverged{Node: n.unknown(n.worst), Time: n.Sys.Time, Tries: tries, Element: "a linear part"}
	if n.Sys.Alpha > 0 {
		e.Step = 1 / n.Sys.Alpha
	}
	for _, el := range n.nonlinear {
		for _, t := range el.Terminals() {
			if t == n.worst {
				e.Element = el.Name()
				return e
			}
		}
	}
	return e
}
