package ringout

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"cupel/internal/finding"
)

// Sample is the stripped board: what a person can see and probe. It holds no
// net, so whoever is given a sample cannot peek.
type Sample struct {
	Cells int
	Parts []Part
	Pads  []Pad // grown by AddPart and AddPad only

	byName map[string]int
	twice  []string // names that more than one pad has
}

// Part is a part that was taken off, or would fit.
type Part struct {
	Ref  string
	Kind string // "resistor", "mosfet-n", "cell-protector", as part sheets call them
	// Type tells which parts are alike: parts of equal type could be swapped
	// without a trace. Its text has no meaning beyond that.
	Type string
	// Value is the resistance of a resistor in Ω, the capacitance of a capacitor
	// in F, the on-resistance of a FET in Ω; 0 when not known.
	Value float64
	Size  string
	Pads  []int // into Sample.Pads
}

// Side is the side of the board that a pad is on.
type Side string

// The sides. A via or a drilled pad can be probed from both.
const (
	Top    Side = "top"
	Bottom Side = "bottom"
	Both   Side = "both"
)

// Pad is a place where a probe can land.
type Pad struct {
	Name string // "U3.2", "T4", "via7"
	Part int    // into Sample.Parts; NoPart for pads of the board itself
	Pin  string // the pin's function, "vdd"; "1" and "2" for bare two-pin parts
	// Terminal is what the outside connects here, "B-", "T3", "P+"; empty for
	// pads of parts, vias and test points.
	Terminal string
	Side     Side
	At       *Point // nil when the position is not known
}

// NoPart marks a pad of the board itself.
const NoPart = -1

// Point is a position on the board in mm, both sides seen from the top.
type Point struct{ X, Y float64 }

// Distance is the distance in mm.
func (p Point) Distance(q Point) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// AddPart adds a part with its pads: pin names in order, each with the numbers
// of its pads. Several pads of one pin are named REF.NUMBER like all others.
func (s *Sample) AddPart(p Part, pins []Pin) {
	index := len(s.Parts)
	for _, pin := range pins {
		for _, n := range pin.Numbers {
			p.Pads = append(p.Pads, len(s.Pads))
			s.add(Pad{Name: p.Ref + "." + strconv.Itoa(n), Part: index, Pin: pin.Name, Side: Top})
		}
	}
	s.Parts = append(s.Parts, p)
}

// Pin is a pin of a part with the numbers of its pads.
type Pin struct {
	Name    string
	Numbers []int
}

// AddPad adds a pad of the board itself: a terminal, a via, a test point.
func (s *Sample) AddPad(p Pad) {
	p.Part = NoPart
	if p.Side == "" {
		p.Side = Both
	}
	s.add(p)
}

func (s *Sample) add(p Pad) {
	if s.byName == nil {
		s.byName = map[string]int{}
	}
	if _, ok := s.byName[p.Name]; ok {
		s.twice = append(s.twice, p.Name)
	} else {
		s.byName[p.Name] = len(s.Pads)
	}
	s.Pads = append(s.Pads, p)
}

// Check says what is wrong with a sample, nil if nothing is.
func (s *Sample) Check() error {
	switch {
	case len(s.twice) > 0:
		return fmt.Errorf("pad %s stands twice: give the second another name", s.twice[0])
	case len(s.Pads) == 0:
		return errors.New("the board has no pads: add its parts, or its pads by hand")
	}
	return nil
}

// Pad returns the number of the pad of that name.
func (s *Sample) Pad(name string) (int, bool) {
	i, ok := s.byName[name]
	return i, ok
}

// names lists the names of all pads.
func (s *Sample) names() []string {
	out := make([]string, len(s.Pads))
	for i := range s.Pads {
		out[i] = s.Pads[i].Name
	}
	return out
}

// Known says why there is no pad of that name, nil if there is one.
func (s *Sample) Known(name string) error {
	_, err := s.pad(name)
	return err
}

// pad is Pad with an error for a person.
func (s *Sample) pad(name string) (int, error) {
	if i, ok := s.Pad(name); ok {
		return i, nil
	}
	if near := finding.Nearest(name, s.names()); near != "" {
		return 0, fmt.Errorf("there is no pad %q, did you mean %q", name, near)
	}
	return 0, fmt.Errorf("there is no pad %q: add it to the board's pads, or name one of the %d there are", name, len(s.Pads))
}

// Tap returns k of a pad that is the top of cell k, 0 for B−.
func (s *Sample) Tap(pad int) (int, bool) {
	switch t := s.Pads[pad].Terminal; {
	case t == "B-":
		return 0, true
	case t == "B+":
		return s.Cells, true
	case len(t) > 1 && t[0] == 'T':
		k, err := strconv.Atoi(t[1:])
		return k, err == nil && k >= 0 && k <= s.Cells
	}
	return 0, false
}

// twins returns the pairs of pads that belong to one pin of one part and are
// taken to be joined by its lead frame's footprint until a beep says so: each
// further pad with the first.
func (s *Sample) twins() [][2]int {
	var out [][2]int
	for _, p := range s.Parts {
		first := map[string]int{}
		for _, pad := range p.Pads {
			if f, ok := first[s.Pads[pad].Pin]; ok {
				out = append(out, [2]int{f, pad})
				continue
			}
			first[s.Pads[pad].Pin] = pad
		}
	}
	return out
}
