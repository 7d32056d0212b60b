package elaborate

import (
	"math"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// recognise finds what the rig needs to know about the circuit.
func (w *work) recognise() {
	for _, e := range w.c.Elements {
		switch e := e.(type) {
		case *device.Thermistor:
			w.c.Sensors = append(w.c.Sensors, e)
		case *device.Fuse:
			w.c.Fuses = append(w.c.Fuses, e)
		}
	}
	w.banks()
	for i := range w.c.Banks {
		w.c.Banks[i].Drift = w.drift(&w.c.Banks[i])
	}
	near := w.nearestTaps()
	w.bleeds()
	for i := range w.c.Units {
		u := &w.c.Units[i]
		u.Cells = w.watched(u, near)
		u.Filter = w.filter(u)
	}
}

// noTap marks a node that no tap reaches.
const noTap = -1

// sensePath is the most resistance between a tap and a pin that still watches
// it: a supply or sense filter. Common practice, no source.
const sensePath = 22e3 // Ω

// nearestTaps tells, for each node, the tap that reaches it through the least
// resistance.
func (w *work) nearestTaps() []int {
	near, far := make([]int, len(w.c.Nodes)), make([]float64, len(w.c.Nodes))
	for n := range near {
		near[n], far[n] = noTap, math.Inf(1)
	}
	for k, n := range w.tapNodes() {
		if n >= 0 {
			near[n], far[n] = k, 0
		}
	}
	edges := w.resistive()
	for changed := true; changed; {
		changed = false
		for _, e := range edges {
			for _, from := range []circuit.Node{e.a, e.b} {
				to := e.other(from)
				if d := far[from] + e.ohms; e.ohms <= sensePath && d < far[to] {
					near[to], far[to], changed = near[from], d, true
				}
			}
		}
	}
	return near
}

// watched are the cells between whose taps the pins of a unit lie.
func (w *work) watched(u *Unit, near []int) []int {
	var cells []int
	tap := func(pin string) int { return near[u.node(pin)] }
	span := func(top, bottom string) {
		if t, b := tap(top), tap(bottom); b >= 0 && t == b+1 {
			cells = append(cells, t)
		}
	}
	n := u.inputs()
	if n == 0 {
		span("vdd", "vss")
		return cells
	}
	below := "vss"
	for k := 1; k <= n; k++ {
		span(catalog.SenseInput(k), below)
		below = catalog.SenseInput(k)
	}
	return cells
}

// inputs is how many sense inputs of a unit are used; 0 for a part that sees its
// cell by its supply.
func (u *Unit) inputs() int {
	switch {
	case u.StackSpec != nil:
		return u.StackSpec.Used
	case u.SecondarySpec != nil:
		return u.SecondarySpec.Cells
	}
	return 0
}

// node returns the node of a machine's pin; −1 where it has none.
func (u *Unit) node(pin string) circuit.Node {
	for k, name := range u.Machine.Pins() {
		if name == pin {
			return u.Nodes[k]
		}
	}
	return -1
}

// filter is the longest R·C before a supply or sense pin of a unit: the
// capacitance on the pin's net by what its resistors are in parallel.
func (w *work) filter(u *Unit) float64 {
	pins := []string{"vdd", "cs", "vm"}
	if u.StackSpec != nil {
		for k := 1; k <= u.StackSpec.Cells; k++ {
			pins = append(pins, catalog.SenseInput(k))
		}
	}
	longest := 0.
	for _, pin := range pins {
		if n := u.node(pin); n > 0 {
			longest = math.Max(longest, w.timeConstant(n))
		}
	}
	return longest
}

func (w *work) timeConstant(n circuit.Node) float64 {
	siemens, farads := 0., 0.
	for _, e := range w.resistive() {
		if e.a == n || e.b == n {
			siemens += 1 / math.Max(e.ohms, device.LeastOhms)
		}
	}
	for _, e := range w.c.Elements {
		if t := e.Terminals(); len(t) == 2 && (t[0] == n || t[1] == n) {
			farads += faradsOf(e)
		}
	}
	if siemens == 0 {
		return 0
	}
	return farads / siemens
}

func faradsOf(e circuit.Element) float64 {
	switch e := e.(type) {
	case *device.Capacitor:
		return e.Params().Farads
	case *device.Ceramic:
		return e.Params().Farads
	}
	return 0
}

// padNode returns the node of a pad.
func (w *work) padNode(name string) (circuit.Node, bool) {
	p, ok := w.board.Pad(name)
	if !ok || p.Net == board.NoNet {
		return 0, false
	}
	n, ok := w.c.NodeOf[p.Net]
	return n, ok
}
