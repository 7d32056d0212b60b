package boardtest

import (
	"fmt"
	"strings"
)

// Text returns the board.yaml of a spec.
func Text(s Spec) string {
	s = s.possible()
	w := &writer{Spec: s}
	fmt.Fprintf(&w.text, "cupel: 1\nboard: %s\ntitle: made for a test\ncells: %d\n", s.Name(), s.Cells)
	fmt.Fprintf(&w.text, "pads: {%s}\nparts:\n", w.pads())
	switch s.Topology {
	case Chain:
		w.chain()
	case Stack:
		w.stack()
	case Cascade:
		w.cascade()
	}
	if s.High {
		w.highPath()
	} else {
		w.path()
	}
	if s.Secondary {
		w.secondary()
	}
	return w.text.String()
}

// writer writes one board.
type writer struct {
	Spec
	text strings.Builder
	last map[string]int // of each letter
}

// part writes a part under the next free reference of its letter.
func (w *writer) part(letter, format string, args ...any) {
	if w.last == nil {
		w.last = map[string]int{}
	}
	w.last[letter]++
	fmt.Fprintf(&w.text, "  %s%d: {%s}\n", letter, w.last[letter], fmt.Sprintf(format, args...))
}

func (w *writer) resistor(value, a, b string) {
	w.part("R", "value: %s, size: 0603, pins: [%s, %s]", value, a, b)
}

func (w *writer) capacitor(value, a, b string) {
	w.part("C", "value: %s, size: 0603, pins: [%s, %s]", value, a, b)
}

func (w *writer) diode(sheet, a, k string) {
	w.part("D", "sheet: %s, pins: {a: %s, k: %s}", sheet, a, k)
}

func (w *writer) bjt(sheet, c, b, e string) {
	w.part("Q", "sheet: %s, pins: {c: %s, b: %s, e: %s}", sheet, c, b, e)
}

func (w *writer) tap(k int) string {
	if k == 0 {
		return "bminus"
	}
	return fmt.Sprintf("tap%d", k)
}

func (w *writer) top() string { return w.tap(w.Cells) }

func (w *writer) pads() string {
	p := []string{"B-: bminus"}
	for k := 1; k < w.Cells; k++ {
		p = append(p, fmt.Sprintf("T%d: tap%d", k, k))
	}
	p = append(p, "B+: "+w.top(), "P+: "+w.plus(), "P-: "+w.minus())
	if w.Port != Common {
		if w.High {
			p = append(p, "C+: cplus")
		} else {
			p = append(p, "C-: cminus")
		}
	}
	return strings.Join(p, ", ")
}

// plus is the load's positive net.
func (w *writer) plus() string {
	if w.High {
		return "pplus"
	}
	return w.rail()
}

// rail is the positive end of the pack behind a fuse, if there is one.
func (w *writer) rail() string {
	if w.Secondary {
		return "fused"
	}
	return w.top()
}

// minus is the load's negative net. With the switches in the positive line it
// is the far end of the shunt.
func (w *writer) minus() string {
	if w.High {
		return "shunt"
	}
	return "pminus"
}

// shunted reports whether a resistance in the negative line is the sense.
func (w *writer) shunted() bool { return w.Sense == Shunt || w.Sense == Neck }

// lowSource is the source of the discharge bank, farSource that of the charge
// bank.
func (w *writer) lowSource() string {
	if w.shunted() {
		return "shunt"
	}
	return "bminus"
}

func (w *writer) farSource() string {
	if w.Port == Common {
		return "pminus"
	}
	return "cminus"
}

// secondary writes what parts the pack from its ports for good when the first
// protection failed. Its filters are its own.
func (w *writer) secondary() {
	w.resistor("1 kΩ", w.top(), "second-supply")
	w.capacitor("100 nF 50 V X7R", "second-supply", "bminus")
	pins, last := []string{"vdd: second-supply", "vss: bminus", "out: fire"}, "bminus"
	for k := 1; k <= mostSecondary; k++ {
		if k <= w.Cells {
			last = fmt.Sprintf("second%d", k)
			w.resistor("1 kΩ", w.tap(k), last)
			w.capacitor("100 nF 25 V X7R", last, w.tap(k-1))
		}
		pins = append(pins, fmt.Sprintf("v%d: %s", k, last))
	}
	w.part("U", "sheet: secondary-protector-5c-4v45, pins: {%s}", strings.Join(pins, ", "))
	w.resistor("10 kΩ", "fire", "fire-gate")
	w.resistor("1 MΩ", "fire-gate", "bminus")
	w.diode("zener-15v-350mw", "bminus", "fire-gate")
	w.part("Q", "sheet: nfet-60v-12m, pins: {d: heater, g: fire-gate, s: bminus}")
	w.part("F", "sheet: fuse-30a-heater, pins: {1: %s, 2: fused, h: heater}", w.top())
}
