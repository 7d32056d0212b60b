package circuit

// Port is a pair of nodes with the matrix entries of a conductance between
// them. Its voltage counts from A to B, its current flows from A to B through
// the element.
type Port struct {
	A, B Node
	pair Pair
}

// Port reserves what a two-terminal element between x and y needs.
func (b *Binder) Port(x, y Node) Port { return Port{x, y, b.Pair(x, y)} }

// Volts returns the port's voltage at the unknowns x.
func (p Port) Volts(x []float64) float64 { return x[p.A] - x[p.B] }

// Conductance adds g to the matrix.
func (p Port) Conductance(s *System, g float64) { p.pair.Add(s, g) }

// Current adds the known current i to the right side.
func (p Port) Current(s *System, i float64) {
	s.B[p.A] -= i
	s.B[p.B] += i
}

// Linearised adds a current that is i at voltage v and has the slope g there.
func (p Port) Linearised(s *System, i, g, v float64) {
	p.pair.Add(s, g)
	p.Current(s, i-g*v)
}

// Transfer is the four matrix entries by which the voltage of one port drives
// the current of another.
type Transfer struct{ aa, ab, ba, bb int32 }

// Transfer reserves the entries by which in drives out.
func (b *Binder) Transfer(out, in Port) Transfer {
	return Transfer{b.Entry(out.A, in.A), b.Entry(out.A, in.B), b.Entry(out.B, in.A), b.Entry(out.B, in.B)}
}

// Add adds transconductance g. The known part of a linearised current is the
// driven port's.
func (t Transfer) Add(s *System, g float64) {
	s.A[t.aa] += g
	s.A[t.ab] -= g
	s.A[t.ba] -= g
	s.A[t.bb] += g
}

// Triple is three nodes with all nine entries between them: what a transistor is
// loaded into at once.
type Triple struct {
	nodes [3]Node
	slots [9]int32 // row by row
}

// Triple reserves what a three-terminal element needs.
func (b *Binder) Triple(x, y, z Node) Triple {
	t := Triple{nodes: [3]Node{x, y, z}}
	for i, row := range t.nodes {
		for j, col := range t.nodes {
			t.slots[3*i+j] = b.Entry(row, col)
		}
	}
	return t
}

// Add adds conductances, row by row, and the known currents that flow from each
// node into the element.
func (t *Triple) Add(s *System, g *[9]float64, i *[3]float64) {
	for k, slot := range t.slots {
		s.A[slot] += g[k]
	}
	for k, n := range t.nodes {
		s.B[n] -= i[k]
	}
}

// Branch is a voltage-defined branch between two nodes: its current is an
// unknown and flows from A to B through the element. Its equation reads
//
//	v(A) − v(B) − z·i = e
type Branch struct {
	A, B, I            Node
	ai, bi, ia, ib, ii int32
}

// BranchBetween reserves a branch current between x and y.
func (b *Binder) BranchBetween(x, y Node) Branch {
	i := b.Branch()
	return Branch{
		x, y, i,
		b.Entry(x, i), b.Entry(y, i), b.Entry(i, x), b.Entry(i, y), b.Entry(i, i),
	}
}

// Impedance adds the branch's left side.
func (r Branch) Impedance(s *System, z float64) {
	s.A[r.ai]++
	s.A[r.bi]--
	s.A[r.ia]++
	s.A[r.ib]--
	s.A[r.ii] -= z
}

// Volts adds e to the branch's right side.
func (r Branch) Volts(s *System, e float64) { s.B[r.I] += e }
