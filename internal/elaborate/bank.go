package elaborate

import (
	"slices"
	"strings"

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

// directions reports a port whose FETs can block neither discharging nor
// charging as it should.
func (w *work) directions() {
	w.parallel()
	top, ok := w.c.NodeOf[w.board.Tap(w.board.Cells)]
	w.through("P-", 0)
	w.through("P+", top)
	for _, name := range []string{"discharge", "charge"} {
		if w.hasBank(name) {
			continue
		}
		pads := map[string][]string{"discharge": {"P-", "P+"}, "charge": {"C-", "C+"}}[name]
		w.facing(name, false, 0, pads[0], "P-")
		if ok {
			w.facing(name, true, top, pads[1], "P+")
		}
	}
}

// through reports a load pad that the current cannot reach.
func (w *work) through(pad string, from circuit.Node) {
	to, ok := w.padNode(pad)
	if ok && to != from && len(w.ways(from, to)) == 0 {
		p, _ := w.board.Pad(pad)
		w.warn(NoPath, p.Place, "look the net of the pad, and of the FETs between, up again",
			"nothing below %g Ω and no FET leads from net %s to pad %s on net %s", lowOhms, w.c.Nodes[from], pad, w.c.Nodes[to])
	}
}

// facing reports FETs on the ways to a port of which none can block the
// direction. Where they stand in series, or the port is for that direction
// alone, one of them must be backwards; else the board may do without.
func (w *work) facing(name string, high bool, from circuit.Node, own, shared string) {
	to, separate := w.padNode(own)
	if separate = separate && own != shared; !separate {
		var ok bool
		if to, ok = w.padNode(shared); !ok {
			return
		}
	}
	if other, ok := w.padNode(map[string]string{"P-": "C-", "P+": "C+"}[own]); ok && other != to {
		separate = true
	}
	refs, hops := w.fetsOnWays(from, to)
	if to == from || len(refs) == 0 {
		return
	}
	say := w.warn
	if hops > 1 || separate {
		say = w.fail
	}
	p, _ := w.board.Part(refs[0])
	say(Backwards, p.Place, "look at drain and source of these FETs again",
		"nothing can block %s: between nets %s and %s every FET faces the other way (%s)",
		doing[name], w.c.Nodes[from], w.c.Nodes[to], strings.Join(refs, ", "))
}

var doing = map[string]string{"discharge": "discharging", "charge": "charging"}

// fetsOnWays names the FETs on the ways between two nodes, and counts the
// pairs of nodes between which they lie.
func (w *work) fetsOnWays(from, to circuit.Node) (refs []string, hops int) {
	for _, way := range w.ways(from, to) {
		for h := range len(way) - 1 {
			fresh := false
			for _, i := range w.fetsBetween(way[h], way[h+1]) {
				if ref := w.board.Parts[i].Ref; !slices.Contains(refs, ref) {
					refs, fresh = append(refs, ref), true
				}
			}
			if fresh {
				hops++
			}
		}
	}
	return refs, hops
}

// parallel reports FETs side by side in a bank that face opposite ways.
func (w *work) parallel() {
	for _, b := range w.c.Banks {
		for _, i := range w.fetsBetween(b.Source, b.Drain) {
			if w.node(i, "s") != b.Source && w.kind(i) == w.kindOfBank(b) {
				w.fail(Backwards, w.board.Parts[i].Place, "exchange its drain and source, or look at the others again",
					"FET %s faces the other way than those beside it between nets %s and %s",
					w.board.Parts[i].Ref, w.c.Nodes[b.Source], w.c.Nodes[b.Drain])
			}
		}
	}
}

func (w *work) kindOfBank(b Bank) catalog.Kind {
	if len(b.FETs) > 0 && b.FETs[0].Params().Polarity == device.P {
		return catalog.PFET
	}
	return catalog.NFET
}
