package boardtest

import "fmt"

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
	if w.High {
		w.highDrivers()
	} else {
		w.drivers()
	}
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
	w.bjt("pnp-150v-200ma", fmt.Sprintf("out-%s%d", pin, k), fmt.Sprintf("base-%s%d", pin, k), fmt.Sprintf("supply%d", k))
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
	w.bjt("npn-60v-100ma", own, fmt.Sprintf("well%d", k), below)
	if k < w.Cells {
		w.resistor("1 MΩ", fmt.Sprintf("passed%d", k+1), fmt.Sprintf("above%d", k))
		w.resistor("1 MΩ", fmt.Sprintf("above%d", k), below)
		w.bjt("npn-60v-100ma", fmt.Sprintf("drive%d", k), fmt.Sprintf("above%d", k), own)
	}
	w.resistor("470 kΩ", fmt.Sprintf("drive%d", k), fmt.Sprintf("pass-base%d", k))
	w.resistor("1 MΩ", fmt.Sprintf("pass-base%d", k), w.tap(k))
	w.bjt("pnp-60v-100ma", fmt.Sprintf("passed%d", k), fmt.Sprintf("pass-base%d", k), w.tap(k))
}

// well turns what comes out of the daisy chain into a Fault line: while a
// current arrives, the line is left alone.
func (w *writer) well() {
	w.resistor("1 MΩ", "passed2", "hold-base")
	w.resistor("1 MΩ", "hold-base", "bminus")
	w.bjt("npn-60v-100ma", "not-well", "hold-base", "bminus")
	w.resistor("1 MΩ", "tap1", "not-well")
	w.diode("diode-75v-small", "not-well", "discharge-fault")
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

// drivers turn the two lines into the voltages of gates in the negative line.
func (w *writer) drivers() {
	feed := w.tap(min(w.Cells, 4))
	low, far := w.lowSource(), w.farSource()
	w.resistor("1 MΩ", "discharge-fault", "bminus")
	w.bjt("npn-60v-100ma", "pull-discharge", "discharge-fault", "bminus")
	w.resistor("3.3 kΩ", "pull-discharge", "gate-discharge")
	w.resistor("1 MΩ", feed, "gate-discharge")
	w.resistor("10 MΩ", "gate-discharge", low)
	w.diode("zener-15v-350mw", low, "gate-discharge")

	w.lift("charge-fault", "lift", w.top(), "down")
	w.resistor("1 MΩ", "down", "down-diode")
	w.diode("diode-250v-small", "down-diode", "down-base")
	w.resistor("1 MΩ", "down-base", far)
	w.bjt("npn-60v-100ma", "pull-charge", "down-base", far)
	w.resistor("1 kΩ", "pull-charge", "gate-charge")
	w.resistor("1 MΩ", feed, "gate-charge")
	w.diode("zener-15v-350mw", far, "gate-charge")
	w.port()
}

// lift carries a fault line up to a net: a transistor at it turns on and its
// collector, the net out, goes there.
func (w *writer) lift(line, name, to, out string) {
	w.resistor("1 MΩ", line, "bminus")
	w.bjt("npn-150v-200ma", name, line, "bminus")
	w.resistor("470 kΩ", name, name+"-base")
	w.resistor("1 MΩ", name+"-base", to)
	w.bjt("pnp-150v-200ma", out, name+"-base", to)
}

// port writes what holds P− when nothing else does.
func (w *writer) port() {
	w.resistor("4.7 MΩ", "pminus", "bminus")
	w.capacitor("100 nF 200 V X7R", "pminus", "bminus")
}
