package boardtest

import (
	"fmt"
	"strings"
)

// stackSheet is the sheet of a part for so many cells, and how many it could
// watch: the inputs left over are joined to the one below.
func (w *writer) stackSheet(cells int) (sheet string, inputs int) {
	switch {
	case w.Phosphate && (cells > 4 || w.Topology == Cascade):
		return "stack-protector-8c-3v65", 8
	case w.Phosphate:
		return "stack-protector-4c-3v65", 4
	case w.Balance:
		return "stack-protector-5c-4v25-balance", 5
	case w.Topology == Cascade || cells > 5:
		return "stack-protector-8c-4v25", 8
	}
	return fmt.Sprintf("stack-protector-%dc-4v25", cells), cells
}

// stack writes one stack protector over all cells.
func (w *writer) stack() { w.bottom(0, w.Cells) }

// cascade writes stack protectors on one another, each over its share of the
// cells.
func (w *writer) cascade() {
	n := (w.Cells + mostStack - 1) / mostStack
	low := 0
	for i := range n {
		cells := (w.Cells - low) / (n - i)
		if i == 0 {
			w.bottom(1, cells)
		} else {
			w.upper(i+1, low, cells, i == n-1)
		}
		low += cells
	}
}

// part suffixes a net with the number of its part, where there are several.
func of(part int, net string) string {
	if part == 0 {
		return net
	}
	return fmt.Sprintf("%s-%d", net, part)
}

// watch writes supply and sense filters of a part over the cells above a tap
// and returns its pins.
func (w *writer) watch(part, low, cells int) (sheet string, pins []string) {
	sheet, inputs := w.stackSheet(cells)
	below, supply := w.tap(low), of(part, "supply")
	w.resistor("330 Ω", w.tap(low+cells), supply)
	w.capacitor("1 µF 50 V X7R", supply, below)
	pins = []string{"vdd: " + supply, "vss: " + below}
	last := below
	for k := 1; k <= inputs; k++ {
		if k <= cells {
			v := fmt.Sprintf("cell%d", low+k)
			w.resistor("1 kΩ", w.tap(low+k), v)
			w.capacitor("100 nF 25 V X7R", v, last)
			last = v
		}
		pins = append(pins, fmt.Sprintf("v%d: %s", k, last))
	}
	for _, pin := range []string{"tov", "tuv"} {
		w.capacitor("100 nF 16 V X7R", of(part, pin), below)
		pins = append(pins, fmt.Sprintf("%s: %s", pin, of(part, pin)))
	}
	return sheet, pins
}

// bottom writes the part that drives the banks; part is 0 where it is alone.
func (w *writer) bottom(part, cells int) {
	sheet, pins := w.watch(part, 0, cells)
	w.capacitor("100 nF 16 V X7R", "toc", "bminus")
	pins = append(pins, "toc: toc", "cs: sense", "vm: port", "do: do", "co: co")
	pins = append(pins, w.sensor()...)
	pins = append(pins, w.control(part, sheet)...)
	w.part("U", "sheet: %s, pins: {%s}", sheet, strings.Join(pins, ", "))
	w.outputs(cells)
}

// control wires the pins of the cascade: to the part above, or to "well" for
// ever.
func (w *writer) control(part int, sheet string) []string {
	switch {
	case part == 0 && !strings.Contains(sheet, "-5c-") && !strings.Contains(sheet, "-8c-"):
		return nil // not made for it
	case part == 0:
		w.resistor("10 kΩ", "supply", "ctl")
		return []string{"ctl_d: ctl", "ctl_c: ctl", "do_out: none", "co_out: none"}
	}
	w.resistor("100 kΩ", of(part+1, "say-discharge"), of(part, "hear-discharge"))
	w.resistor("100 kΩ", of(part+1, "say-charge"), of(part, "hear-charge"))
	return []string{
		"ctl_d: " + of(part, "hear-discharge"), "ctl_c: " + of(part, "hear-charge"), "do_out: none", "co_out: none",
	}
}

// upper writes a part that watches cells and speaks to the part below.
func (w *writer) upper(part, low, cells int, top bool) {
	sheet, pins := w.watch(part, low, cells)
	below := w.tap(low)
	w.resistor("10 MΩ", of(part, "co"), below)
	pins = append(pins, "toc: none", "tr: none", "ts: none", "cs: "+below, "vm: "+below, "do: none", "co: "+of(part, "co"))
	ctl := []string{"ctl_d: " + of(part, "supply"), "ctl_c: " + of(part, "supply")}
	if !top {
		ctl = w.control(part, sheet)[:2]
	}
	pins = append(pins, ctl...)
	pins = append(pins, "do_out: "+of(part, "say-discharge"), "co_out: "+of(part, "say-charge"))
	w.part("U", "sheet: %s, pins: {%s}", sheet, strings.Join(pins, ", "))
}

// sensor writes what lies at the temperature input.
func (w *writer) sensor() []string {
	reference := "10 kΩ"
	switch w.Sensor {
	case NTC:
		w.part("TH", "sheet: ntc-10k-b3435, pins: [ts, bminus]")
	case SteepNTC:
		w.part("TH", "sheet: ntc-10k-b3950, pins: [ts, bminus]")
	case HundredNTC:
		reference = "100 kΩ"
		w.part("TH", "sheet: ntc-100k-b3950, pins: [ts, bminus]")
	case FixedOhms:
		w.resistor("10 kΩ", "ts", "bminus")
	case NoSensor:
		return []string{"tr: none", "ts: none"}
	}
	w.resistor(reference, "tr", "ts")
	return []string{"tr: tr", "ts: ts"}
}

// outputs writes what hangs on the outputs of the part that drives the banks.
func (w *writer) outputs(cells int) {
	if w.High {
		w.inverter("do", "discharge", w.rail())
		w.inverter("co", "charge", w.highSource())
		w.resistor("10 kΩ", "shunt", "port")
		w.highPort()
		return
	}
	w.follow("do", "discharge", w.lowSource(), cells)
	w.follow("co", "charge", w.farSource(), cells)
	detect := "10 kΩ"
	if w.Topology == Cascade {
		detect = "220 kΩ" // P− rises far above the supply of the part that looks at it
	}
	w.resistor(detect, "pminus", "port")
	w.port()
}
