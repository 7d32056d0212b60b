package elaborate

import (
	"slices"

	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// lowOhms is the most resistance of a part that carries the pack's current.
// Common practice, no source: 1 Ω would take a volt at an ampere.
const lowOhms = 1. // Ω

// mostWays bounds how many ways through the low-ohm parts are followed.
const mostWays = 64

// banks finds the FETs that switch the load's and the charger's current.
//
// They lie on a way from B− to P− or C−, or from B+ to P+ or C+, through
// nothing but FETs and parts below 1 Ω. Which direction a FET can block follows
// from its body diode alone: in the negative line, one whose anode is towards
// the cells blocks discharging.
func (w *work) banks() {
	top, ok := w.c.NodeOf[w.board.Tap(w.board.Cells)]
	w.bank("discharge", false, 0, "P-")
	w.bank("charge", false, 0, "C-", "P-")
	if ok {
		w.bank("discharge", true, top, "P+")
		w.bank("charge", true, top, "C+", "P+")
	}
	w.c.Middle = w.middle()
}

// bank follows the ways from a tap to the first pad of the names that the
// board has, and keeps the FETs on them that block the direction.
func (w *work) bank(name string, high bool, from circuit.Node, pads ...string) {
	var to circuit.Node
	found := false
	for _, pad := range pads {
		if to, found = w.padNode(pad); found {
			break
		}
	}
	if !found || to == from {
		return
	}
	ways := w.ways(from, to)
	w.shunts(ways)
	for _, way := range ways {
		for h := range len(way) - 1 {
			if w.hop(name, high, way[h], way[h+1]) {
				return
			}
		}
	}
}

// hop adds the FETs between two nodes of a way, the first nearer the cells,
// that block the direction; it reports whether there were any.
func (w *work) hop(name string, high bool, near, far circuit.Node) bool {
	var bank *Bank
	for _, i := range w.fetsBetween(near, far) {
		if w.blocks(i, high, near) != name || w.hasBank(name) && bank == nil {
			continue
		}
		if bank == nil {
			w.c.Banks = append(w.c.Banks, Bank{
				Name: name, High: high, Gate: w.node(i, "g"), Source: w.node(i, "s"), Drain: w.node(i, "d"),
			})
			bank = &w.c.Banks[len(w.c.Banks)-1]
		}
		for _, e := range w.c.Parts[w.board.Parts[i].Ref] {
			if t, ok := e.(*device.MOSFET); ok {
				bank.FETs = append(bank.FETs, t)
			}
		}
	}
	return bank != nil
}

// blocks names the direction that a FET with one end at the node near, towards
// the cells, can block.
func (w *work) blocks(i int, high bool, near circuit.Node) string {
	j, _ := w.junctionOf(i)
	if (j.anode == near) != high {
		return "discharge"
	}
	return "charge"
}

func (w *work) hasBank(name string) bool {
	return slices.ContainsFunc(w.c.Banks, func(b Bank) bool { return b.Name == name })
}

func isFET(k catalog.Kind) bool { return k == catalog.NFET || k == catalog.PFET }

// made reports whether part i became elements.
func (w *work) made(i int) bool { return len(w.c.Parts[w.board.Parts[i].Ref]) > 0 }

func (w *work) fetsBetween(a, b circuit.Node) []int {
	var out []int
	for i := range w.board.Parts {
		if !isFET(w.kind(i)) || !w.made(i) {
			continue
		}
		if d, s := w.node(i, "d"), w.node(i, "s"); d == a && s == b || d == b && s == a {
			out = append(out, i)
		}
	}
	return out
}

// ways lists the ways from one node to another through FETs and low-ohm parts,
// past no other tap.
func (w *work) ways(from, to circuit.Node) [][]circuit.Node {
	next := w.lowNeighbours()
	closed := map[circuit.Node]bool{}
	for _, n := range w.tapNodes() {
		closed[n] = n != to
	}
	var ways [][]circuit.Node
	var walk func(way []circuit.Node)
	walk = func(way []circuit.Node) {
		at := way[len(way)-1]
		if at == to {
			ways = append(ways, slices.Clone(way))
			return
		}
		for _, n := range next[at] {
			if !closed[n] && !slices.Contains(way, n) && len(ways) < mostWays {
				walk(append(way, n))
			}
		}
	}
	walk([]circuit.Node{from})
	return ways
}

// lowNeighbours lists, by node, the nodes behind a FET or a low-ohm part.
func (w *work) lowNeighbours() map[circuit.Node][]circuit.Node {
	next := map[circuit.Node][]circuit.Node{}
	join := func(a, b circuit.Node) {
		if a != b && !slices.Contains(next[a], b) {
			next[a], next[b] = append(next[a], b), append(next[b], a)
		}
	}
	for _, e := range w.resistive() {
		if e.ohms < lowOhms {
			join(e.a, e.b)
		}
	}
	for i := range w.board.Parts {
		if isFET(w.kind(i)) && w.made(i) {
			join(w.node(i, "d"), w.node(i, "s"))
		}
	}
	return next
}

// shunts adds the low-ohm resistors on the ways.
func (w *work) shunts(ways [][]circuit.Node) {
	for _, way := range ways {
		for h := range len(way) - 1 {
			w.shuntsBetween(way[h], way[h+1])
		}
	}
}

func (w *work) shuntsBetween(a, b circuit.Node) {
	for _, e := range w.resistive() {
		if e.kind != catalog.Resistor || e.ohms >= lowOhms || !(e.a == a && e.b == b || e.a == b && e.b == a) {
			continue
		}
		for _, el := range w.c.Parts[w.board.Parts[e.part].Ref] {
			if r, ok := el.(*device.Resistor); ok && !slices.Contains(w.c.Shunts, r) {
				w.c.Shunts = append(w.c.Shunts, r)
			}
		}
	}
}

// middle is the node that both banks touch.
func (w *work) middle() circuit.Node {
	if len(w.c.Banks) != 2 {
		return 0
	}
	a, b := w.c.Banks[0], w.c.Banks[1]
	for _, n := range []circuit.Node{a.Drain, a.Source} {
		if n == b.Drain || n == b.Source {
			return n
		}
	}
	return 0
}
