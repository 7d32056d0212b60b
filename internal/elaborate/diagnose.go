package elaborate

import (
	"fmt"
	"slices"
	"strings"

	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/finding"
)

// The checks count in cells: a node one cell above another is 1 above it.
const (
	forward  = 0.3 // a junction that stands forward by more conducts
	oneLeast = 0.7 // a pin pair that watches one cell
	oneMost  = 1.3
)

// shortOhms is what joins two taps for good: common practice, no source.
const shortOhms = 0.1 // Ω

// diagnose reports what cannot be right about the wiring.
func (w *work) diagnose() {
	w.taps()
	if w.list.Has(finding.Error) {
		return // nothing else can be told without the cells
	}
	w.directions()
	v := w.potentials()
	w.supplies()
	w.spans(v)
	w.junctions(v)
	w.transistors(v)
	w.watchedCells()
	w.floating()
}

// taps reports cells that no pad reaches and cells that are shorted.
func (w *work) taps() {
	taps := w.tapNodes()
	for k, n := range taps {
		if n < 0 {
			w.fail(NoTap, w.board.Place, fmt.Sprintf("add the pad T%d", k), "tap %d, the top of cell %d, has no pad", k, k)
		}
	}
	g := newGroups(len(w.c.Nodes))
	for _, e := range w.resistive() {
		if e.ohms < shortOhms {
			g.join(e.a, e.b)
		}
	}
	for k := 1; k < len(taps); k++ {
		if taps[k] < 0 || taps[k-1] < 0 || !g.same(taps[k], taps[k-1]) {
			continue
		}
		w.fail(CellShorted, w.board.Place, "look the nets of these pads up again", "cell %d is shorted: %s", k, w.shortedBy(g, taps[k-1], taps[k]))
	}
}

// shortedBy says what joins two taps.
func (w *work) shortedBy(g groups, low, high circuit.Node) string {
	if low == high {
		return "both its taps are on net " + w.c.Nodes[low]
	}
	var refs []string
	for _, e := range w.resistive() {
		ref := w.board.Parts[e.part].Ref
		if e.ohms < shortOhms && g.same(e.a, low) && e.a != e.b && !slices.Contains(refs, ref) {
			refs = append(refs, ref)
		}
	}
	return strings.Join(refs, ", ") + " join nets " + w.c.Nodes[low] + " and " + w.c.Nodes[high]
}

// supplies reports ICs whose supply pins no current from the cells can reach.
func (w *work) supplies() {
	g := w.conducting()
	for i := range w.c.Units {
		u := &w.c.Units[i]
		for _, pin := range []string{"vdd", "vss"} {
			if n := u.node(pin); !g.same(n, 0) {
				w.fail(NoSupply, w.place(u), "look the net of the pin up again",
					"%s.%s, on net %s, has no path to a cell", u.Part, pin, w.c.Nodes[n])
			}
		}
	}
}

// conducting joins the nodes that parts other than ICs and capacitors join.
func (w *work) conducting() groups {
	g := newGroups(len(w.c.Nodes))
	for _, n := range w.tapNodes() {
		if n >= 0 {
			g.join(n, 0)
		}
	}
	for _, e := range w.resistive() {
		g.join(e.a, e.b)
	}
	for i := range w.board.Parts {
		if !w.made(i) {
			continue
		}
		if j, ok := w.junctionOf(i); ok {
			g.join(j.anode, j.cathode)
		}
		if k := w.kind(i); k == catalog.NPN || k == catalog.PNP {
			g.join(w.node(i, "c"), w.node(i, "e"))
			g.join(w.node(i, "b"), w.node(i, "e"))
		}
	}
	return g
}

// spans reports ICs whose pins lie across other than the cells they are made
// for.
func (w *work) spans(v []float64) {
	for i := range w.c.Units {
		u := &w.c.Units[i]
		n := u.inputs()
		if n == 0 {
			w.span(u, v, "vdd", "vss")
			continue
		}
		below := "vss"
		for k := 1; k <= n; k++ {
			w.span(u, v, catalog.SenseInput(k), below)
			below = catalog.SenseInput(k)
		}
	}
}

func (w *work) span(u *Unit, v []float64, top, bottom string) {
	a, b := u.node(top), u.node(bottom)
	d := v[a] - v[b]
	nets := fmt.Sprintf("%s on net %s, %s on net %s", top, w.c.Nodes[a], bottom, w.c.Nodes[b])
	switch {
	case d <= -forward:
		w.fail(Backwards, w.place(u), "exchange the two nets", "%s stands the wrong way round: %s is %.2g cells lower", u.Part, nets, -d)
	case d < oneLeast:
		w.fail(NoSupply, w.place(u), "look the nets of these pins up again", "%s sees no cell: %s", u.Part, nets)
	case d > oneMost:
		w.fail(WrongSpan, w.place(u), "look the nets of these pins up again", "%s watches %.2g cells instead of one: %s", u.Part, d, nets)
	}
}

// junctions reports diodes, zeners and body diodes that conduct for good.
func (w *work) junctions(v []float64) {
	for i := range w.board.Parts {
		j, ok := w.junctionOf(i)
		if !ok || !w.made(i) || !(v[j.anode]-v[j.cathode] > forward) {
			continue
		}
		p := &w.board.Parts[i]
		text := fmt.Sprintf("%s conducts for good from net %s to net %s", p.Ref, w.c.Nodes[j.anode], w.c.Nodes[j.cathode])
		switch w.kind(i) {
		case catalog.Diode: // it may be meant to
			w.warn(Backwards, p.Place, "exchange anode and cathode, if it is meant to block", "diode %s", text)
		case catalog.Zener:
			w.fail(Backwards, p.Place, "exchange anode and cathode", "zener %s", text)
		default:
			w.fail(Backwards, p.Place, "exchange drain and source", "the body diode of %s", text)
		}
	}
}

// transistors reports bipolar transistors with collector and emitter
// exchanged.
func (w *work) transistors(v []float64) {
	for i := range w.board.Parts {
		k := w.kind(i)
		if k != catalog.NPN && k != catalog.PNP || !w.made(i) {
			continue
		}
		c, e := w.node(i, "c"), w.node(i, "e")
		over := v[c] - v[e]
		if k == catalog.PNP {
			over = -over
		}
		if over < -forward {
			p := &w.board.Parts[i]
			w.fail(Backwards, p.Place, "exchange collector and emitter",
				"%s stands the wrong way round: collector on net %s, emitter on net %s", p.Ref, w.c.Nodes[c], w.c.Nodes[e])
		}
	}
}

// watchedCells reports a cell that two protectors watch while another has none.
func (w *work) watchedCells() {
	by := make([][]string, w.board.Cells+1)
	any := false
	for i := range w.c.Units {
		u := &w.c.Units[i]
		if u.BalancerSpec != nil || u.SecondarySpec != nil {
			continue
		}
		for _, k := range u.Cells {
			by[k], any = append(by[k], u.Part), true
		}
	}
	for k := 1; any && k < len(by); k++ {
		if len(by[k]) == 0 {
			w.warn(Unwatched, w.board.Place, "look the taps of the protectors up again", "no protector watches cell %d%s", k, doubles(by))
		}
	}
}

// doubles names the cells that have more protectors than one.
func doubles(by [][]string) string {
	text := ""
	for k, parts := range by {
		if len(parts) > 1 {
			text += fmt.Sprintf("; %s both watch cell %d", strings.Join(parts, " and "), k)
		}
	}
	return text
}

// place is where a unit's part stands in the text.
func (w *work) place(u *Unit) finding.Place {
	ref, _, _ := strings.Cut(u.Part, ".")
	for _, name := range []string{u.Part, ref} {
		if part, ok := w.board.Part(name); ok {
			return part.Place
		}
	}
	return w.board.Place
}
