package deck

import (
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// Scripts collects how elements move while a circuit is run, for a deck that
// moves them likewise. Note it at the start and at every change of an output.
type Scripts map[string]Script

// Edge is how long a noted change takes in a deck: no time for a board, yet
// long enough for a simulator that knows no jumps.
const Edge = 1e-9 // s

// Note adds where the switches and sinks among the elements stand at a time.
func (s Scripts) Note(seconds float64, elements []circuit.Element) {
	for _, e := range elements {
		switch e := e.(type) {
		case *device.Switch:
			s.add(e.Name(), seconds, position(e.On()))
		case *device.Sink:
			s.add(e.Name(), seconds, e.Params().Amps)
		}
	}
}

// add continues a script by an edge where the value changed.
func (s Scripts) add(name string, seconds, value float64) {
	script := s[name]
	if len(script) == 0 {
		s[name] = Script{{seconds, value}}
		return
	}
	last := script[len(script)-1]
	if last.Value != value {
		s[name] = append(script, Point{max(seconds, last.Seconds+Edge), last.Value}, Point{max(seconds, last.Seconds+Edge) + Edge, value})
	}
}

func position(on bool) float64 {
	if on {
		return 1
	}
	return 0
}
