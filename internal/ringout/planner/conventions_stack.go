package planner

import (
	"slices"
	"strconv"
)

// stack expects what lies around a protector for several cells. Where several
// stand on one another each has its ground on a tap of its own.
func (x *expectations) stack(t *part, others int) {
	vdd, vss := x.at(t, "vdd"), x.at(t, "vss")
	x.grounds(t, others)
	top := none
	if cells, sure := x.watched(t); sure {
		top = x.tapNet[x.standsOn(t)+cells]
	}
	x.put(ruleSupplyFilter, resistor, 10, 5*kilo, 0.85, vdd, top)
	x.put(ruleSupplyCap, capacitor, 10*nano, anyM, 0.95, vdd, vss)
	x.inputs(t, vss)
	x.spare(t)
	for _, pin := range []string{"tov", "tuv", "toc"} {
		x.put(ruleDelayCap, capacitor, any0, anyM, pick(pin == "toc" && x.upper(t), 0.3, 0.9), x.at(t, pin), vss)
	}
	x.stackOutputs(t)
	if !x.upper(t) {
		x.senses(t, vss)
		x.temperature(t, vss)
	}
	x.cascade(t, vdd, vss)
}

// ways are the outputs of a stack protector for one below, and the inputs there.
var ways = []struct{ out, ctl string }{{"do_out", "ctl_d"}, {"co_out", "ctl_c"}}

// stackOutputs expects the outputs for the switches at the gates of the banks,
// and those for a protector below at its control inputs.
func (x *expectations) stackOutputs(t *part) {
	if !x.upper(t) {
		x.gateOutputs(t)
	}
	for _, way := range ways {
		n := x.at(t, way.out)
		x.oneOf(forOutput, n, func() {
			x.put(ruleOutputResistor, resistor, kilo, 20*mega, 0.2, n, none)
			for _, o := range x.stacks() {
				if o != t {
					x.put(ruleControl, resistor, kilo, 20*mega, 0.3, n, x.at(o, way.ctl))
				}
			}
		})
	}
}

// gateOutputs expects the outputs for the switches at the gates of the banks.
func (x *expectations) gateOutputs(t *part) {
	gates := x.gates()
	for _, out := range []string{"do", "co"} {
		n := x.at(t, out)
		x.oneOf(forOutput, n, func() {
			x.put(ruleOutputResistor, resistor, 5, 20*mega, 0.2, n, none)
			for _, g := range gates {
				x.put(ruleOutputResistor, resistor, 5, 20*mega, 0.55/float64(len(gates)), n, g)
			}
		})
	}
}

// gates are the nets of the gates of the switches.
func (x *expectations) gates() []int {
	var out []int
	for i := range x.parts {
		if t := &x.parts[i]; t.family == powerFET {
			if g := x.at(t, "g"); !slices.Contains(out, g) {
				out = append(out, g)
			}
		}
	}
	return out
}

// inputs expects resistor and capacitor at every cell input that has a cell.
func (x *expectations) inputs(t *part, vss int) {
	base := x.standsOn(t)
	cells, _ := x.watched(t)
	below := vss
	for k := 1; k <= cells; k++ {
		in := x.at(t, "v"+strconv.Itoa(k))
		tap := none
		if base != none && base+k < len(x.tapNet) {
			tap = x.tapNet[base+k]
		}
		x.put(ruleInputResistor, resistor, 30, 20*kilo, 0.9, in, tap)
		x.oneOf(forInput, in, func() {
			x.put(ruleInputCap, capacitor, nano, anyM, pick(below == vss, 0.85, 0.6), in, below)
			if below != vss {
				x.put(ruleInputCap, capacitor, nano, anyM, 0.25, in, vss)
			}
		})
		below = in
	}
}

func (x *expectations) senses(t *part, vss int) {
	cs := x.at(t, "cs")
	x.put(ruleSenseResistor, resistor, 10, 20*kilo, 0.8, cs, none)
	x.put(ruleSenseCap, capacitor, any0, anyM, 0.6, cs, vss)
	x.put(ruleLoadDetect, resistor, 300, 2*mega, 0.8, x.at(t, "vm"), x.terminal("P-"))
}

func (x *expectations) temperature(t *part, vss int) {
	ts, tr := x.at(t, "ts"), x.at(t, "tr")
	x.put(ruleDivider, resistor, kilo, mega, 0.8, tr, ts)
	x.put(ruleThermistor, thermistor, any0, anyM, 0.8, ts, vss)
	x.same(ruleThermistor, ts, x.terminal("H1"), 0.6)
	x.same(ruleThermistor, vss, x.terminal("H2"), 0.6)
}

// cascade expects the control inputs of a stack protector held at its supply
// where no other stands above it, or driven by that other.
func (x *expectations) cascade(t *part, vdd, vss int) {
	over := x.above(t)
	_, sure := x.watched(t)
	for _, way := range ways {
		n := x.at(t, way.ctl)
		switch {
		case over != nil && sure:
			x.put(ruleControl, resistor, kilo, 20*mega, 0.85, n, x.at(over, way.out))
			continue
		case sure:
			x.same(ruleControl, n, vdd, 0.6)
		default:
			x.same(ruleControl, n, vdd, 0.4)
		}
		x.put(ruleOutputResistor, resistor, kilo, 20*mega, 0.4, n, none)
		for _, o := range x.stacks() {
			if o != t && !sure {
				x.same(ruleControl, n, x.at(o, way.out), 0.2)
			}
		}
	}
	// Where a chip sees no current its sense pins lie on its own ground.
	own := pick(x.upper(t), 0.75, 0.1)
	x.same(ruleOwnSense, x.at(t, "cs"), vss, own)
	x.same(ruleOwnSense, x.at(t, "vm"), vss, own)
}
