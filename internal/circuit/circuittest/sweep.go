package circuittest

import (
	"fmt"
	"slices"
	"strings"

	"cupel/internal/circuit"
	"cupel/internal/circuit/bias"
	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/newton"
)

// Sweep is a part in the simplest circuit that shows what it does, at rest
// while one source takes equally spaced values.
type Sweep struct {
	Name     string
	About    string
	Kelvin   float64
	Nodes    []string // [0] is the reference
	Elements []circuit.Element
	Source   *device.Voltage
	From, To float64 // V
	Steps    int
	Watch    []Watch
	// Within is how far a figure may lie from the reference, with its reason.
	Within Limits
}

// Watch is one figure of a sweep: the voltage of a node, or the current of a
// source, counted from its plus through the source as SPICE counts it.
type Watch struct {
	Column string // "v_c_V", "i_base_A"
	Node   string
	Source *device.Voltage
}

func (s *Sweep) at(i int) float64 { return s.From + (s.To-s.From)*float64(i)/float64(s.Steps) }

// Solve computes the sweep with Cupel.
func (s *Sweep) Solve() (Table, error) {
	t := s.table()
	n := newton.New(s.Nodes, s.Elements)
	n.Sys.Kelvin = s.Kelvin
	for i := 0; i <= s.Steps; i++ {
		s.Source.SetVolts(s.at(i))
		n.Touch()
		if _, err := bias.Operate(n); err != nil {
			return t, fmt.Errorf("%s at %g V: %w", s.Name, s.at(i), err)
		}
		row := []float64{s.at(i)}
		for _, w := range s.Watch {
			row = append(row, w.value(s.Nodes, n.Sys.X))
		}
		t.Rows = append(t.Rows, row)
	}
	return t, nil
}

func (w Watch) value(nodes []string, x []float64) float64 {
	if w.Source != nil {
		return w.Source.Current(x)
	}
	return x[w.node(nodes)]
}

func (w Watch) node(nodes []string) circuit.Node {
	if i := slices.Index(nodes, w.Node); i >= 0 {
		return circuit.Node(i)
	}
	panic("circuittest: no node " + w.Node)
}

// vector is what the reference simulator calls it.
func (w Watch) vector(nodes []string) string {
	if w.Source != nil {
		return "i(" + strings.ToLower(deck.CardName("V", w.Source.Name())) + ")"
	}
	return "v(" + deck.NameNodes(nodes).Node(w.node(nodes)) + ")"
}

func (s *Sweep) table() Table {
	t := Table{Columns: []string{s.Source.Name() + "_V"}}
	for _, w := range s.Watch {
		t.Columns = append(t.Columns, w.Column)
	}
	return t
}

// Deck prints the sweep for the reference simulator.
func (s *Sweep) Deck() (string, error) {
	s.Source.SetVolts(s.From)
	var b strings.Builder
	err := deck.Write(&b, deck.Deck{
		Title: s.Name, Comments: []string{s.About}, Nodes: s.Nodes, Elements: s.Elements, Kelvin: s.Kelvin,
		Analysis: deck.Sweep{
			Source: deck.CardName("V", s.Source.Name()),
			From:   s.From, To: s.To, Step: (s.To - s.From) / float64(s.Steps),
		},
	})
	return b.String(), err
}

// FromVectors makes the table from the vectors of the reference simulator.
func (s *Sweep) FromVectors(vectors map[string][]float64) (Table, error) {
	t := s.table()
	for i := 0; i <= s.Steps; i++ {
		t.Rows = append(t.Rows, []float64{s.at(i)})
	}
	for _, w := range s.Watch {
		name := w.vector(s.Nodes)
		v := vectors[name]
		if len(v) != s.Steps+1 {
			return t, fmt.Errorf("%s: %d values of %s, want %d", s.Name, len(v), name, s.Steps+1)
		}
		for i := range v {
			t.Rows[i] = append(t.Rows[i], v[i])
		}
	}
	return t, nil
}
