package planner

// place is where some part is expected to lie: the nets of its pins, in the
// family's order of pins, none where not known.
type place struct {
	family family
	class  int // none: any class of the family within lo and hi
	lo, hi float64
	nets   []int
	chance float64 // that there is such a part
	rule   int     // into rules; none for slices
	// slot tells places that are alternatives: one part is expected in one of
	// those with equal slots. 0 stands alone.
	slot slot
	why  why
}

// slot names what is expected once: the purpose and the net it is for.
type slot struct{ purpose, net int }

// why says where an expectation comes from: a rule by its number, bySlice or
// byCompany.
type why struct {
	source   int32
	part, by int32 // of a slice: the part that lies so, and how many cells away
}

// row is a part that is not yet settled, or several alike of which nothing is
// known.
type row struct {
	part   int
	many   float64
	first  int // its entries are those from first to before last
	last   int
	weight float64 // that it lies where nobody expects it
	u      float64
}

// entry is a way to put a row's part into a place: pins as they are, or
// swapped.
type entry struct {
	place, column int32
	swapped       bool
	w             float64
}

// A matching says how probably each part lies in each place. What was expected
// before any reading is such that the chances of a part sum to one over all places
// and elsewhere, and those of a place over all parts and nobody. Readings take
// away from both; scaling rows and columns in turn, as Sinkhorn and Knopp do,
// makes them sum to one again. The result approximates the marginals of a random
// matching of parts and places.
type matching struct {
	places []place
	rows   []row
	entry  []entry
	column []int             // of each place; alternatives share one
	slack  []float64         // of each column, the chance that nobody is there
	v      []float64         // of each column
	fits   map[int][]float64 // of each class, how it fits each place
	sum    []float64
}

// columns gives every place its column.
func (m *matching) columns() {
	index := map[slot]int{}
	m.column, m.slack = m.column[:0], m.slack[:0]
	for _, p := range m.places {
		at, ok := index[p.slot]
		if !ok || p.slot == (slot{}) {
			at = len(m.slack)
			m.slack = append(m.slack, 1)
			index[p.slot] = at
		}
		m.column = append(m.column, at)
		m.slack[at] = max(m.slack[at]-p.chance, 0.02)
	}
	zeros(&m.v, len(m.slack))
}

const rounds = 12

// scale finds the factors u of rows and v of places.
func (m *matching) scale() {
	sum := zeros(&m.sum, len(m.v))
	for i := range m.rows {
		m.rows[i].u = 1
		m.add(sum, &m.rows[i])
	}
	for round := range rounds {
		for j := range m.v {
			m.v[j] = 1 / (m.slack[j] + sum[j])
		}
		clear(sum)
		for i := range m.rows {
			r := &m.rows[i]
			t := r.weight
			for _, e := range m.entry[r.first:r.last] {
				t += e.w * m.v[e.column]
			}
			r.u = 1 / t
			if round < rounds-1 {
				m.add(sum, r)
			}
		}
	}
}

// add adds what a row puts into each place.
func (m *matching) add(sum []float64, r *row) {
	u := r.many * r.u
	for _, e := range m.entry[r.first:r.last] {
		sum[e.column] += u * e.w
	}
}

// chance is how probable an entry of a row is, once scaled.
func (m *matching) chance(r *row, e entry) float64 { return r.u * e.w * m.v[e.column] }
