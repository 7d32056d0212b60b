package elaborate

import (
	"fmt"
	"slices"

	"cupel/internal/catalog"
	"cupel/internal/circuit"
	"cupel/internal/circuit/device"
)

// A bleed resistor: common practice, no source.
const (
	leastBleed = 1   // Ω
	mostBleed  = 2e3 // Ω
)

// bleeds finds what takes charge out of one cell: a transistor between
// neighbouring taps, with a resistor of at most 2 kΩ on one side of it or both;
// or a switch inside a stack protector, with the resistor of the sense input.
func (w *work) bleeds() {
	edges := w.resistive()
	for i := range w.board.Parts {
		a, b, ok := w.channel(i)
		if !ok {
			continue
		}
		ta, ra := w.bleedEnd(a, edges)
		tb, rb := w.bleedEnd(b, edges)
		if ta < 0 || tb < 0 || ta-tb != 1 && tb-ta != 1 {
			continue
		}
		for _, r := range append(ra, rb...) {
			w.addBleed(max(ta, tb), r, w.board.Parts[i].Ref)
		}
	}
	for k := range w.c.Units {
		w.insideBleeds(&w.c.Units[k], edges)
	}
	slices.SortStableFunc(w.c.Bleeds, func(a, b Bleed) int { return a.Cell - b.Cell })
}

// channel is the pair of nodes that a transistor switches.
func (w *work) channel(i int) (a, b circuit.Node, ok bool) {
	switch k := w.kind(i); {
	case !w.made(i):
	case isFET(k):
		return w.node(i, "d"), w.node(i, "s"), true
	case k == catalog.NPN || k == catalog.PNP:
		return w.node(i, "c"), w.node(i, "e"), true
	}
	return 0, 0, false
}

// bleedEnd returns the tap at one end of a switch and the resistors on the way
// to it.
func (w *work) bleedEnd(n circuit.Node, edges []edge) (tap int, resistors []edge) {
	taps := w.tapNodes()
	for k, t := range taps {
		if t == n {
			return k, nil
		}
	}
	tap = noTap
	for _, e := range edges {
		if e.a != n && e.b != n || e.kind != catalog.Resistor || e.ohms < leastBleed || e.ohms > mostBleed {
			continue
		}
		for k, t := range taps {
			if t == e.other(n) && (tap == noTap || tap == k) {
				tap, resistors = k, append(resistors, e)
			}
		}
	}
	return tap, resistors
}

func (w *work) addBleed(cell int, r edge, by string) {
	ref := w.board.Parts[r.part].Ref
	for _, e := range w.c.Parts[ref] {
		if r, ok := e.(*device.Resistor); ok {
			w.c.Bleeds = append(w.c.Bleeds, Bleed{Cell: cell, Part: ref, Resistor: r, Switch: by})
		}
	}
}

// insideBleeds are those of a stack protector that balances by itself.
func (w *work) insideBleeds(u *Unit, edges []edge) {
	if u.StackSpec == nil || u.StackSpec.Bal.VBal == 0 {
		return
	}
	for k := 1; k <= u.StackSpec.Used; k++ {
		pin := catalog.SenseInput(k)
		if u.StackSpec.BalPins {
			pin = fmt.Sprintf("bal%d", k)
		}
		if tap, resistors := w.bleedEnd(u.node(pin), edges); tap > 0 {
			for _, r := range resistors {
				w.addBleed(tap, r, u.Part)
			}
		}
	}
}
