// Package circuit holds the equations of a board: nodes, elements and the system
// they are loaded into. Its children are the elements, the solver of the linear
// system, the operating point and the integration in time.
package circuit

// Node numbers an unknown. Node 0 is the reference, B−; it carries no
// equation. Branch currents are numbered behind the nodes.
type Node int32

// Element is one thing that carries current. One element may be a whole part
// or one of several that a part is made of. An element is bound once to a
// System and then loaded many times, from one goroutine.
type Element interface {
	// Name is the part it belongs to and, where needed, which piece: "U101 do to vdd".
	Name() string
	// Terminals are the nodes it touches.
	Terminals() []Node
	// Bind reserves branch unknowns, states and matrix entries.
	Bind(b *Binder)
}

// Linear is an element whose equations are linear while nothing switches it.
// Its matrix entries are added once for each Alpha; its right side once a solve.
type Linear interface {
	Element
	// LoadMatrix adds its entries to s.A for s.Alpha.
	LoadMatrix(s *System)
	// LoadSource adds its sources and history to s.B.
	LoadSource(s *System)
	// Store computes Q and F of its states from the solution in s.X.
	Store(s *System)
}

// Static is a linear element without source or state: its LoadSource and Store
// do nothing and need not be called.
type Static interface {
	Linear
	Static()
}

// Nonlinear is an element that is linearised anew in each Newton iteration.
type Nonlinear interface {
	Element
	// Load linearises at s.X, limited against its own last iterate, adds the
	// entries to s.A and s.B and sets Q and F of its states. It calls
	// s.Limit() when it moved its own voltages.
	Load(s *System)
	// Reset forgets the last iterate: the next Load starts from rest.
	Reset()
}

// Rester is a nonlinear element that knows when it stands still. While it does,
// what Load adds stays the same for the same Alpha and Hist, and need not be
// added anew in each iteration.
type Rester interface {
	Nonlinear
	// Rests reports whether at s.X it is still where it was last evaluated: Load
	// would carry it on along its tangent.
	Rests(s *System) bool
	// Carry sets Q and F of its states along the tangent, as Load would, and adds
	// nothing.
	Carry(s *System)
}

// Holder is an element with memory beyond its states (a blown fuse, the last
// iterate of a limited junction) that a rewound run must get back.
type Holder interface {
	// Hold appends what it remembers to m; Recall takes the same count from
	// its front and returns the rest.
	Hold(m []float64) []float64
	Recall(m []float64) []float64
}

// System is what an element sees while it is loaded: unknowns, matrix, right
// side and the states of the integration.
//
// For a state i with charge q (a capacitor's charge, a coil's flux) the method
// of integration gives the rate at the solution sought as
//
//	f = Alpha·q + Hist[i]
//
// At an operating point Alpha and Hist are 0. A capacitor of C farads between
// a and b therefore adds Alpha·C to the matrix and −Hist[i] to the right side
// at a, +Hist[i] at b.
type System struct {
	X       []float64 // unknowns by Node; X[0] is 0
	A       []float64 // matrix values by slot; slot 0 takes what falls on the reference
	B       []float64 // right side by Node; B[0] takes what falls on the reference
	Q, F    []float64 // charge and its rate, by state
	Hist    []float64
	Alpha   float64 // 1/s
	Time    float64 // s
	Kelvin  float64 // temperature of the board
	Gmin    float64 // S, across junctions only
	Scale   float64 // of independent sources: 1, less while stepping them
	limited bool
	fresh   bool
	stray   bool
}

// Limit records that an element limited its voltages, so that the iteration
// is not taken for converged.
func (s *System) Limit() { s.limited = true }

// Still is how far a junction or gate may move before its element is evaluated
// again rather than carried on along its tangent: across a junction the error
// of that is (20 µV/26 mV)²/2 = 3e-7 of the current.
const Still = 20e-6 // V

// What a current may stray from its tangent and still count as on it: KCL is then
// violated by as much and no more.
const (
	strayRelative = 1e-4
	strayAmps     = 1e-12 // A; the abstol of SPICE
)

// Stray records how far a current, evaluated anew, lies from what the tangent of
// the last evaluation promised there.
func (s *System) Stray(now, promised float64) {
	d := now - promised
	if d < 0 {
		d = -d
	}
	if now < 0 {
		now = -now
	}
	if !(d <= strayRelative*now+strayAmps) {
		s.stray = true
	}
}

// Fresh records that an element was evaluated anew, so that its slopes differ
// from those of the last load.
func (s *System) Fresh() { s.fresh = true }

// Binder hands out what an element needs in a System.
type Binder struct {
	unknowns int
	states   int
	slots    map[[2]Node]int32
	entries  [][2]Node // by slot
	owners   []string  // of the unknowns behind the nodes
	owner    string
}

// Branch reserves one more unknown, a current, and returns its number.
func (b *Binder) Branch() Node {
	b.unknowns++
	b.owners = append(b.owners, b.owner)
	return Node(b.unknowns - 1)
}

// State reserves n consecutive states and returns the first.
func (b *Binder) State(n int) int {
	b.states += n
	return b.states - n
}

// Entry returns the slot of matrix entry (row, col): the equation of row, the
// unknown col. Slot 0 stands for every entry on the reference.
func (b *Binder) Entry(row, col Node) int32 {
	if row == 0 || col == 0 {
		return 0
	}
	key := [2]Node{row, col}
	if s, ok := b.slots[key]; ok {
		return s
	}
	s := int32(len(b.entries))
	b.slots[key] = s
	b.entries = append(b.entries, key)
	return s
}

// Pair is the four slots of a conductance between two nodes.
type Pair struct{ aa, bb, ab, ba int32 }

// Pair reserves the four entries of a conductance between a and b.
func (b *Binder) Pair(x, y Node) Pair {
	return Pair{b.Entry(x, x), b.Entry(y, y), b.Entry(x, y), b.Entry(y, x)}
}

// Add adds conductance g.
func (p Pair) Add(s *System, g float64) {
	s.A[p.aa] += g
	s.A[p.bb] += g
	s.A[p.ab] -= g
	s.A[p.ba] -= g
}
