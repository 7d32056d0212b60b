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
	if s.Topology == Chain {
		w.chain()
	} else {
		w.stack()
	}
	w.path()
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
	p = append(p, "B+: "+w.top(), "P+: "+w.top(), "P-: pminus")
	if w.Port != Common {
		p = append(p, "C-: cminus")
	}
	return strings.Join(p, ", ")
}

// chain writes a protector a cell, its level shifters and the drivers at the
// bottom.
func (w *writer) chain() {
	protector, balancer := "cell-protector-4v25-auto", "cell-balancer-4v18"
	if w.Phosphate {
		protector, balancer = "cell-protector-3v65-auto", "cell-balancer-3v50"
	}
	for k := 1; k <= w.Cells; k++ {
		w.slice(k, protector)
		if w.Balance {
			w.balancer(k, balancer)
		}
	}
	if w.Signal == Fine {
		w.well()
	}
	w.drivers()
}

func (w *writer) slice(k int, protector string) {
	below, here := w.tap(k-1), w.tap(k)
	cs := below
	if k == 1 {
		cs = "sense"
	}
	w.resistor("330 Ω", here, fmt.Sprintf("supply%d", k))
	w.capacitor("1 µF 16 V X7R", fmt.Sprintf("supply%d", k), below)
	w.part("U", "sheet: %s, pins: {vdd: supply%d, vss: %s, cs: %s, do: do%d, co: co%d}", protector, k, below, cs, k, k)
	if w.Signal == Fault || k == 1 {
		w.shifter(k, "do", "discharge-fault", k == 1)
	} else {
		w.link(k)
	}
	w.shifter(k, "co", "charge-fault", k == 1)
}

// shifter carries "cut" from an output of cell k to a line above B−. The lowest
// works from a single cell and may not waste it.
func (w *writer) shifter(k int, pin, line string, lowest bool) {
	out := "1 MΩ"
	switch {
	case lowest && pin == "do":
		out = "47 kΩ"
	case lowest:
		out = "220 kΩ"
	}
	w.resistor("220 kΩ", fmt.Sprintf("%s%d", pin, k), fmt.Sprintf("base-%s%d", pin, k))
	w.resistor("1 MΩ", fmt.Sprintf("base-%s%d", pin, k), fmt.Sprintf("supply%d", k))
	w.part("Q", "sheet: pnp-150v-200ma, pins: {c: out-%s%d, b: base-%s%d, e: supply%d}", pin, k, pin, k, k)
	w.resistor(out, fmt.Sprintf("out-%s%d", pin, k), line)
}

// link is a slice of the daisy chain of a Fine line: while its own output and
// the slice above say "well", it passes a current on to the slice below. Each
// stage stands across two cells at most, so a chain may have any length.
func (w *writer) link(k int) {
	below, own := w.tap(k-1), fmt.Sprintf("own%d", k)
	if k == w.Cells {
		own = fmt.Sprintf("drive%d", k) // nobody above to ask
	}
	w.resistor("220 kΩ", fmt.Sprintf("do%d", k), fmt.Sprintf("well%d", k))
	w.resistor("1 MΩ", fmt.Sprintf("well%d", k), below)
	w.part("Q", "sheet: npn-60v-100ma, pins: {c: %s, b: well%d, e: %s}", own, k, below)
	if k < w.Cells {
		w.resistor("1 MΩ", fmt.Sprintf("passed%d", k+1), fmt.Sprintf("above%d", k))
		w.resistor("1 MΩ", fmt.Sprintf("above%d", k), below)
		w.part("Q", "sheet: npn-60v-100ma, pins: {c: drive%d, b: above%d, e: %s}", k, k, own)
	}
	w.resistor("470 kΩ", fmt.Sprintf("drive%d", k), fmt.Sprintf("pass-base%d", k))
	w.resistor("1 MΩ", fmt.Sprintf("pass-base%d", k), w.tap(k))
	w.part("Q", "sheet: pnp-60v-100ma, pins: {c: passed%d, b: pass-base%d, e: %s}", k, k, w.tap(k))
}

// well turns what comes out of the daisy chain into a Fault line: while a
// current arrives, the line is left alone.
func (w *writer) well() {
	w.resistor("1 MΩ", "passed2", "hold-base")
	w.resistor("1 MΩ", "hold-base", "bminus")
	w.part("Q", "sheet: npn-60v-100ma, pins: {c: not-well, b: hold-base, e: bminus}")
	w.resistor("1 MΩ", "tap1", "not-well")
	w.part("D", "sheet: diode-75v-small, pins: {a: not-well, k: discharge-fault}")
}

func (w *writer) balancer(k int, sheet string) {
	below := w.tap(k - 1)
	w.resistor("330 Ω", w.tap(k), fmt.Sprintf("balance-supply%d", k))
	w.capacitor("1 µF 16 V X7R", fmt.Sprintf("balance-supply%d", k), below)
	w.part("U", "sheet: %s, pins: {vdd: balance-supply%d, vss: %s, out: bleed-gate%d}", sheet, k, below, k)
	w.resistor("1 MΩ", fmt.Sprintf("bleed-gate%d", k), below)
	w.part("Q", "sheet: nfet-20v-1r5-small, pins: {d: bleed%d, g: bleed-gate%d, s: %s}", k, k, below)
	w.part("R", "value: 43 Ω 1 W, size: 2512, pins: [%s, bleed%d]", w.tap(k), k)
}

// drivers turn the two lines into gate voltages.
func (w *writer) drivers() {
	feed := w.tap(min(w.Cells, 4))
	low, far := w.lowSource(), w.farSource()
	w.resistor("1 MΩ", "discharge-fault", "bminus")
	w.part("Q", "sheet: npn-60v-100ma, pins: {c: pull-discharge, b: discharge-fault, e: bminus}")
	w.resistor("3.3 kΩ", "pull-discharge", "gate-discharge")
	w.resistor("1 MΩ", feed, "gate-discharge")
	w.resistor("10 MΩ", "gate-discharge", low)
	w.part("D", "sheet: zener-15v-350mw, pins: {a: %s, k: gate-discharge}", low)

	w.resistor("1 MΩ", "charge-fault", "bminus")
	w.part("Q", "sheet: npn-150v-200ma, pins: {c: lift, b: charge-fault, e: bminus}")
	w.resistor("470 kΩ", "lift", "lift-base")
	w.resistor("1 MΩ", "lift-base", w.top())
	w.part("Q", "sheet: pnp-150v-200ma, pins: {c: down, b: lift-base, e: %s}", w.top())
	w.resistor("1 MΩ", "down", "down-diode")
	w.part("D", "sheet: diode-250v-small, pins: {a: down-diode, k: down-base}")
	w.resistor("1 MΩ", "down-base", far)
	w.part("Q", "sheet: npn-60v-100ma, pins: {c: pull-charge, b: down-base, e: %s}", far)
	w.resistor("1 kΩ", "pull-charge", "gate-charge")
	w.resistor("1 MΩ", feed, "gate-charge")
	w.part("D", "sheet: zener-15v-350mw, pins: {a: %s, k: gate-charge}", far)
	w.resistor("4.7 MΩ", "pminus", "bminus")
	w.capacitor("100 nF 100 V X7R", "pminus", "bminus")
}

// lowSource is the source of the discharge bank, farSource that of the charge
// bank.
func (w *writer) lowSource() string {
	if w.Sense == Shunt {
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

// path writes shunt, banks and what senses the current.
func (w *writer) path() {
	fet := "nfet-40v-6m"
	switch {
	case w.Cells > 16:
		fet = "nfet-150v-10m"
	case w.Cells > 8:
		fet = "nfet-80v-4m"
	}
	far := w.farSource()
	start := "middle" // where the charge bank begins
	if w.Port == Separate {
		start = w.lowSource()
	}
	load := "middle"
	if w.Port != Common {
		load = "pminus"
		if w.Port == Half {
			start = "pminus"
		}
	}
	if w.Sense == Shunt {
		w.part("R", "value: 2 mΩ 3 W, size: 2512, pins: [bminus, shunt]")
	}
	w.part("Q", "sheet: %s, count: %d, pins: {d: %s, g: gate-discharge, s: %s}", fet, w.FETs, load, w.lowSource())
	w.part("Q", "sheet: %s, count: %d, pins: {d: %s, g: gate-charge, s: %s}", fet, w.FETs, start, far)
	w.sense(load)
}

// sense joins the pin that judges the current, behind a resistor that lets the
// port rise without harm.
func (w *writer) sense(load string) {
	from := load
	switch w.Sense {
	case Shunt:
		from = "shunt"
	case Banks:
		from = "pminus"
	}
	if w.Topology != Chain || w.Sense == Shunt {
		w.resistor("1 kΩ", from, "sense")
		return
	}
	// A source follower holds the pin within its supply.
	w.resistor("2.2 kΩ", from, "sense-far")
	w.part("Q", "sheet: %s, pins: {d: sense-far, g: supply1, s: sense}", follower(w.Cells))
}

func follower(cells int) string {
	if cells > 12 {
		return "nfet-100v-6r-small"
	}
	return "nfet-60v-3r-small"
}

// stack writes one stack protector over all cells.
func (w *writer) stack() {
	sheet := fmt.Sprintf("stack-protector-%dc-4v25", w.Cells)
	if w.Phosphate {
		sheet = fmt.Sprintf("stack-protector-%dc-3v65", w.Cells)
	}
	w.resistor("330 Ω", w.top(), "supply")
	w.capacitor("1 µF 50 V X7R", "supply", "bminus")
	pins := []string{"vdd: supply", "vss: bminus"}
	last := "bminus"
	for k := 1; k <= w.Cells; k++ {
		v := fmt.Sprintf("cell%d", k)
		w.resistor("1 kΩ", w.tap(k), v)
		w.capacitor("100 nF 25 V X7R", v, last)
		pins = append(pins, fmt.Sprintf("v%d: %s", k, v))
		last = v
	}
	for _, pin := range []string{"tov", "tuv", "toc"} {
		w.capacitor("100 nF 16 V X7R", pin, "bminus")
		pins = append(pins, fmt.Sprintf("%s: %s", pin, pin))
	}
	w.part("TH", "sheet: ntc-10k-b3435, pins: [ts, bminus]")
	w.resistor("10 kΩ", "tr", "ts")
	if w.Cells >= 5 { // made to be cascaded: no neighbour above says "well" for ever
		w.resistor("10 kΩ", "supply", "ctl")
		pins = append(pins, "ctl_d: ctl", "ctl_c: ctl", "do_out: none", "co_out: none")
	}
	w.outputs(sheet, append(pins, "tr: tr", "ts: ts"))
}

// outputs writes the stack protector itself and what hangs on its outputs.
func (w *writer) outputs(sheet string, pins []string) {
	pins = append(pins, "cs: sense", "vm: port", "do: do", "co: co")
	w.part("U", "sheet: %s, pins: {%s}", sheet, strings.Join(pins, ", "))
	w.resistor("1 kΩ", "do", "gate-discharge")
	w.resistor("3.3 MΩ", "gate-discharge", w.lowSource())
	w.resistor("1 kΩ", "co", "gate-charge")
	w.resistor("3.3 MΩ", "gate-charge", w.farSource())
	w.resistor("10 kΩ", "pminus", "port")
	w.resistor("4.7 MΩ", "pminus", "bminus")
	w.capacitor("100 nF 50 V X7R", "pminus", "bminus")
}
