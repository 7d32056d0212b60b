package deck

import "fmt"

// Analysis is what the simulator is to compute.
type Analysis interface {
	card() string
	kind() string
}

// OperatingPoint asks for the state of rest.
type OperatingPoint struct{}

func (OperatingPoint) card() string { return ".op" }
func (OperatingPoint) kind() string { return "op" }

// Sweep asks for states of rest while a source takes equally spaced values.
type Sweep struct {
	Source         string // as the deck names it, type letter included: "vdrain"
	From, To, Step float64
}

func (s Sweep) card() string {
	return fmt.Sprintf(".dc %s %s %s %s", s.Source, number(s.From), number(s.To), number(s.Step))
}
func (Sweep) kind() string { return "dc" }

// Transient asks for a run through time from the state of rest.
type Transient struct {
	Seconds float64
	Step    float64 // the largest
}

func (t Transient) card() string {
	return fmt.Sprintf(".tran %s %s 0 %s", number(t.Step), number(t.Seconds), number(t.Step))
}
func (Transient) kind() string { return "tran" }

// Measure is one figure to extract from a sweep or a transient.
type Measure struct {
	Name string
	What string // "when v(gate)=1 fall=1", "max i(vsense)", "find v(p) at=1m"
}

func (m Measure) card(a Analysis) string {
	kind := "tran"
	if a != nil {
		kind = a.kind()
	}
	return fmt.Sprintf(".meas %s %s %s", kind, word(m.Name), oneLine(m.What))
}
