package circuit

// Layout says how the unknowns, states and matrix entries of a circuit are
// numbered. It depends on the elements' kinds and terminals alone, not on
// their values.
type Layout struct {
	Nodes    int       // including the reference
	Unknowns int       // nodes, then branch currents
	States   int       // charges and fluxes
	Entries  [][2]Node // row and column by slot; slot 0 is unused
	Owners   []string  // element that owns each branch, by Unknown − Nodes
}

// Lay binds the elements of a circuit of that many nodes, the reference
// included, and returns the numbering. Every node gets an entry on the
// diagonal.
func Lay(nodes int, elements []Element) Layout {
	b := &Binder{unknowns: nodes, slots: map[[2]Node]int32{}, entries: make([][2]Node, 1)}
	for n := Node(1); n < Node(nodes); n++ {
		b.Entry(n, n)
	}
	for _, e := range elements {
		b.owner = e.Name()
		e.Bind(b)
	}
	return Layout{nodes, b.unknowns, b.states, b.entries, b.owners}
}

// NewSystem returns a system of that layout at rest: everything 0, sources at
// full scale, 25 °C.
func (l *Layout) NewSystem() *System {
	return &System{
		X: make([]float64, l.Unknowns), B: make([]float64, l.Unknowns),
		A: make([]float64, len(l.Entries)),
		Q: make([]float64, l.States), F: make([]float64, l.States), Hist: make([]float64, l.States),
		Kelvin: RoomKelvin, Gmin: Gmin, Scale: 1,
	}
}

// RoomKelvin is 25 °C, the temperature of data-sheet figures.
const RoomKelvin = 298.15

// Gmin stands across every junction: small beside the leakage of any part, yet
// enough to keep a blocked junction's equation alive. The usual SPICE value.
const Gmin = 1e-12 // S

// Changed reports whether an element was evaluated anew since the last call.
func (s *System) Changed() bool {
	f := s.fresh
	s.fresh = false
	return f
}

// Strayed reports whether a current strayed from its tangent since the last call.
func (s *System) Strayed() bool {
	v := s.stray
	s.stray = false
	return v
}

// Limited reports whether an element limited its voltages since the last call.
func (s *System) Limited() bool {
	l := s.limited
	s.limited = false
	return l
}
