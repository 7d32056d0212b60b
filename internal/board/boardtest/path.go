package boardtest

// path writes shunt, banks and what senses the current, in the negative line.
func (w *writer) path() {
	fet := "nfet-40v-6m"
	switch {
	case w.Cells > 16:
		fet = "nfet-150v-10m"
	case w.Cells > 7:
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
	w.shunt()
	w.part("Q", "sheet: %s, count: %d, pins: {d: %s, g: gate-discharge, s: %s}", fet, w.FETs, load, w.lowSource())
	w.part("Q", "sheet: %s, count: %d, pins: {d: %s, g: gate-charge, s: %s}", fet, w.FETs, start, far)
	w.sense(load)
}

// shunt writes the resistance of 2 mΩ that the current is sensed by.
func (w *writer) shunt() {
	switch w.Sense {
	case Shunt:
		w.part("R", "value: 2 mΩ 3 W, size: 2512, pins: [bminus, shunt]")
	case Neck: // foil of copper, as wide as it came out of the etch
		w.part("R", "value: 2 mΩ ±20 %% 3930 ppm/K, pins: [bminus, shunt]")
	}
}

// sense joins the pin that judges the current, behind a resistor that lets the
// port rise without harm.
func (w *writer) sense(load string) {
	from := load
	switch {
	case w.shunted():
		from = "shunt"
	case w.Sense == Banks:
		from = "pminus"
	}
	if w.Topology != Chain || w.shunted() {
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

// highPath writes P-FETs in the positive line. One blocks discharging if its
// body diode, from drain to source, points at the cells.
func (w *writer) highPath() {
	fet := "pfet-30v-10m"
	if w.Cells > 5 {
		fet = "pfet-60v-25m"
	}
	load, start, far := "middle", "middle", "pplus"
	if w.Port != Common {
		load, start, far = "pplus", w.rail(), "cplus"
		if w.Port == Half {
			start = "pplus"
		}
	}
	w.shunt()
	w.part("Q", "sheet: %s, count: %d, pins: {d: %s, g: gate-discharge, s: %s}", fet, w.FETs, load, w.rail())
	w.part("Q", "sheet: %s, count: %d, pins: {d: %s, g: gate-charge, s: %s}", fet, w.FETs, start, far)
	w.resistor("1 kΩ", "shunt", "sense")
}

// highSource is the source of the charge bank in the positive line.
func (w *writer) highSource() string {
	if w.Port == Common {
		return "pplus"
	}
	return "cplus"
}

// highDrivers turn the two lines of a chain into the voltages of gates in the
// positive line: a line that is up lifts the gates to their sources.
func (w *writer) highDrivers() {
	for _, bank := range []struct{ name, source string }{{"discharge", w.rail()}, {"charge", w.highSource()}} {
		w.lift(bank.name+"-fault", "lift-"+bank.name, bank.source, "off-"+bank.name)
		w.resistor("1 kΩ", "off-"+bank.name, "gate-"+bank.name)
		w.resistor("1 MΩ", "gate-"+bank.name, "bminus")
		w.resistor("10 MΩ", "gate-"+bank.name, bank.source)
		w.diode("zener-12v-350mw", "gate-"+bank.name, bank.source)
	}
	w.highPort()
}

// highPort writes what holds P+ and C+ when nothing else does.
func (w *writer) highPort() {
	if w.Port != Common {
		w.resistor("100 kΩ", "cplus", w.top()) // against what fills the gate from it
	}
	w.resistor("4.7 MΩ", "pplus", "bminus")
	w.capacitor("100 nF 100 V X7R", "pplus", "bminus")
}

// inverter turns an output that is high to conduct into the gate of a P-FET. A
// follower empties the gate fast, a diode fills it.
func (w *writer) inverter(out, bank, source string) {
	node := "drive-" + bank
	w.resistor("1 MΩ", out, "bminus")
	w.part("Q", "sheet: nfet-60v-3r-small, pins: {d: pull-%s, g: %s, s: bminus}", bank, out)
	w.resistor("470 kΩ", "pull-"+bank, node)
	w.resistor("470 kΩ", node, source)
	w.bjt("npn-60v-100ma", source, node, "gate-"+bank)
	w.diode("diode-75v-small", "gate-"+bank, node)
	w.diode("zener-12v-350mw", "gate-"+bank, source)
	w.resistor("4.7 MΩ", "gate-"+bank, source)
}

// follow lets an output high enough to break a gate fill it slowly and, if it can
// pull down, empty it fast; a low one drives it straight.
func (w *writer) follow(out, bank, source string, cells int) {
	gate := "gate-" + bank
	if cells <= 4 {
		w.resistor("1 kΩ", out, gate)
		w.resistor("3.3 MΩ", gate, source)
		return
	}
	// What fills the charge gate flows on into P−: it must stay below what keeps
	// the load detection from seeing the load gone.
	w.resistor("1 MΩ", out, gate)
	if bank == "discharge" { // the charge output is an open drain
		w.resistor("1 kΩ", out, "empty-gate")
		w.diode("diode-75v-small", gate, "empty-gate")
	}
	w.diode("zener-15v-350mw", source, gate)
	w.resistor("3.3 MΩ", gate, source)
}
