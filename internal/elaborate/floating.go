package elaborate

import (
	"fmt"
	"strings"

	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// FloatOhms holds a floating node, so that the equations have a solution. Its
// voltage means nothing all the same.
const FloatOhms = 1e12 // Ω

// floating reports nodes that no direct current can reach, and holds them.
// Gates, capacitors and the inputs of ICs pass none; a junction does, by its
// leakage.
func (w *work) floating() {
	g := w.conducting()
	for i := range w.c.Units {
		w.joinOutputs(&w.c.Units[i], g)
	}
	for _, p := range w.inside {
		g.join(p[0], p[1])
	}
	touched := w.touched()
	islands := map[circuit.Node][]circuit.Node{}
	var order []circuit.Node
	for n := range w.c.Nodes {
		node := circuit.Node(n)
		if g.same(node, 0) {
			continue
		}
		if touched[node] {
			r := g.root(node)
			if islands[r] == nil {
				order = append(order, r)
			}
			islands[r] = append(islands[r], node)
		}
		w.hold(node)
	}
	for _, r := range order {
		w.reportIsland(islands[r])
	}
}

// joinOutputs joins what the output stages of a unit join. Its pulls at cs and
// vm conduct only after a trip and count for nothing.
func (w *work) joinOutputs(u *Unit, g groups) {
	for _, l := range u.Machine.Links() {
		if from, to := u.Machine.Pins()[l.From], u.Machine.Pins()[l.To]; !isSense(from) && !isSense(to) {
			g.join(u.Nodes[l.From], u.Nodes[l.To])
		}
	}
	for _, pin := range []string{"do", "co", "out"} {
		if n := u.node(pin); n >= 0 {
			g.join(n, u.node("vdd"))
		}
	}
}

func isSense(pin string) bool { return pin == "cs" || pin == "vm" }

// touched are the nodes that an element lies at.
func (w *work) touched() map[circuit.Node]bool {
	t := map[circuit.Node]bool{}
	for _, e := range w.c.Elements {
		for _, n := range e.Terminals() {
			t[n] = true
		}
	}
	return t
}

func (w *work) hold(n circuit.Node) {
	w.c.Floating = append(w.c.Floating, n)
	w.c.Elements = append(w.c.Elements,
		device.NewResistor("floating "+w.c.Nodes[n], n, 0, device.ResistorParams{Ohms: FloatOhms}))
}

// reportIsland reports nodes that float together. It is an error where one of
// them controls something.
func (w *work) reportIsland(nodes []circuit.Node) {
	var names, pins []string
	controls := false
	for _, n := range nodes {
		names = append(names, w.c.Nodes[n])
		for i := range w.board.Parts {
			for _, pin := range w.board.Parts[i].Pins {
				if w.pins[pinKey{i, pin.Name}] == n {
					pins = append(pins, w.board.Parts[i].Ref+"."+pin.Name)
					controls = controls || w.controls(i, pin.Name)
				}
			}
		}
	}
	controls = controls && !w.outside(nodes)
	text := fmt.Sprintf("net %s floats: nothing but gates, inputs and capacitors hang on it (%s)", list(names), list(pins))
	if len(pins) == 0 {
		text = fmt.Sprintf("pin %s is on no net", list(names))
		controls = true
	}
	const do = "look for the part that ties it, or tie it down"
	place := w.board.Place
	if controls {
		w.fail(FloatingNet, place, do, "%s", text)
		return
	}
	w.warn(FloatingNet, place, do, "%s", text)
}

// controls reports whether a floating pin leaves a result without a ground.
func (w *work) controls(i int, pin string) bool {
	switch w.kind(i) {
	case catalog.NFET, catalog.PFET:
		return pin == "g"
	case catalog.CellProtector, catalog.StackProtector, catalog.Balancer, catalog.SecondaryProtector:
		return true
	}
	return false
}

// outside reports whether a pad leads out of an island: what hangs there may
// hold it.
func (w *work) outside(nodes []circuit.Node) bool {
	for _, p := range w.board.Pads {
		n, ok := w.c.NodeOf[p.Net]
		for _, f := range nodes {
			if ok && n == f {
				return true
			}
		}
	}
	return false
}

func list(words []string) string {
	const most = 6
	if len(words) > most {
		return strings.Join(words[:most], ", ") + fmt.Sprintf(" and %d more", len(words)-most)
	}
	return strings.Join(words, ", ")
}
