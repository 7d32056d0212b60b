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
// to it. A lead, link or fuse below 1 Ω before the tap counts as the tap.
func (w *work) bleedEnd(n circuit.Node, edges []edge) (tap int, resistors []edge) {
	taps := joined(w.tapNodes(), edges)
	if k, ok := taps[n]; ok {
		return k, nil
	}
	tap = noTap
	for _, e := range edges {
		if e.a != n && e.b != n || e.kind != catalog.Resistor || e.ohms < leastBleed || e.ohms > mostBleed {
			continue
		}
		if k, ok := taps[e.other(n)]; ok && (tap == noTap || tap == k) {
			tap, resistors = k, append(resistors, e)
		}
	}
	return tap, resistors
}

// joined tells the tap of every node that less than a bleed resistor lies
// before.
func joined(taps []circuit.Node, edges []edge) map[circuit.Node]int {
	of := map[circuit.Node]int{}
	for k, n := range taps {
		if n >= 0 {
			of[n] = k
		}
	}
	for grew := true; grew; {
		grew = false
		for _, e := range edges {
			if e.ohms >= leastBleed {
				continue
			}
			for _, from := range []circuit.Node{e.a, e.b} {
				k, ok := of[from]
				if _, known := of[e.other(from)]; ok && !known {
					of[e.other(from)], grew = k, true
				}
			}
		}
	}
	return of
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
