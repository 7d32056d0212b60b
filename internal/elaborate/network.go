package elaborate

import (
	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// edge is a part between two nodes, as far as direct current sees it.
type edge struct {
	a, b circuit.Node
	ohms float64 // of a resistive part at 25 °C
	part int
	kind catalog.Kind
}

// other returns the far end of an edge.
func (e edge) other(n circuit.Node) circuit.Node {
	if e.a == n {
		return e.b
	}
	return e.a
}

// resistive lists the parts that pass direct current either way: resistors,
// coils, links, fuses, thermistors. It is asked for once all parts are made.
func (w *work) resistive() []edge {
	if w.edges == nil {
		w.edges = w.resistiveParts()
	}
	return w.edges
}

func (w *work) resistiveParts() []edge {
	out := []edge{}
	for i := range w.board.Parts {
		kind := w.kind(i)
		for _, e := range w.c.Parts[w.board.Parts[i].Ref] {
			if f, ok := e.(*device.Fuse); ok {
				out = append(out, fuseEdges(f, i)...)
				continue
			}
			ohms, ok := ohmsOf(e)
			if t := e.Terminals(); ok && len(t) == 2 && isResistive(kind) {
				out = append(out, edge{t[0], t[1], ohms, i, kind})
			}
		}
	}
	return out
}

// fuseEdges are a fuse's two halves and its heater, or its one element.
func fuseEdges(f *device.Fuse, part int) []edge {
	n, ohms := f.Terminals(), f.Params().Ohms
	h, ok := f.Heater()
	if !ok {
		return []edge{{n[0], n[1], ohms, part, catalog.Fuse}}
	}
	return []edge{
		{n[0], n[2], ohms / 2, part, catalog.Fuse},
		{n[2], n[1], ohms / 2, part, catalog.Fuse},
		{n[2], n[3], h.Ohms, part, catalog.Fuse},
	}
}

func isResistive(k catalog.Kind) bool {
	switch k {
	case catalog.Resistor, catalog.Inductor, catalog.Link, catalog.Fuse, catalog.Thermistor:
		return true
	}
	return false
}

func ohmsOf(e circuit.Element) (float64, bool) {
	switch e := e.(type) {
	case *device.Resistor:
		return e.Params().Ohms, true
	case *device.Inductor:
		return e.Params().Ohms, true
	case *device.Thermistor:
		return e.Params().OhmsAt(circuit.RoomKelvin), true
	}
	return 0, false
}

// junction is a one-way path from anode to cathode: a diode, the body diode of
// a FET.
type junction struct {
	anode, cathode circuit.Node
	part           int
}

// junctionOf returns the body diode of a FET, or a diode or zener itself.
func (w *work) junctionOf(i int) (junction, bool) {
	switch w.kind(i) {
	case catalog.Diode, catalog.Zener:
		return junction{w.node(i, "a"), w.node(i, "k"), i}, true
	case catalog.NFET:
		return junction{w.node(i, "s"), w.node(i, "d"), i}, true
	case catalog.PFET:
		return junction{w.node(i, "d"), w.node(i, "s"), i}, true
	}
	return junction{}, false
}

// groups is a union of nodes.
type groups []circuit.Node

func newGroups(n int) groups {
	g := make(groups, n)
	for i := range g {
		g[i] = circuit.Node(i)
	}
	return g
}

func (g groups) root(n circuit.Node) circuit.Node {
	for g[n] != n {
		g[n] = g[g[n]]
		n = g[n]
	}
	return n
}

func (g groups) join(a, b circuit.Node) { g[g.root(a)] = g.root(b) }

func (g groups) same(a, b circuit.Node) bool { return g.root(a) == g.root(b) }

// tapNodes are the nodes that cells hold, by tap; a tap without a pad is -1.
func (w *work) tapNodes() []circuit.Node {
	taps := make([]circuit.Node, w.board.Cells+1)
	for k := range taps {
		n, ok := w.c.NodeOf[w.board.Tap(k)]
		if !ok {
			n = -1
		}
		taps[k] = n
	}
	return taps
}
