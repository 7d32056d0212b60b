package planner

import (
	"slices"
	"strconv"
)

// stack expects what lies around a protector for several cells. Where several
// stand on one another each has its ground on a tap of its own.
func (x *expectations) stack(t *part, others int) {
	vdd, vss := x.at(t, "vdd"), x.at(t, "vss")
	n := x.inputsOf(t)
	x.grounds(t, n, others)
	top := x.up(vss, n)
	if vss != none && x.tap[vss] < 0 && others == 1 {
		top = x.tapNet[len(x.tapNet)-1]
	}
	x.put(ruleSupplyFilter, resistor, 10, 5*kilo, 0.85, vdd, top)
	x.put(ruleSupplyCap, capacitor, 10*nano, anyM, 0.95, vdd, vss)
	x.inputs(t, vss, others)
	for _, pin := range []string{"tov", "tuv", "toc"} {
		x.put(ruleDelayCap, capacitor, any0, anyM, 0.9, x.at(t, pin), vss)
	}
	x.stackOutputs(t)
	x.senses(t, vss)
	x.temperature(t, vss)
	x.cascade(t, vdd, vss)
}

// stackOutputs expects the outputs for the switches at the gates of the banks,
// and those for a protector below at its control inputs.
func (x *expectations) stackOutputs(t *part) {
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
	for out, ctl := range map[string]string{"do_out": "ctl_d", "co_out": "ctl_c"} {
		n := x.at(t, out)
		x.oneOf(forOutput, n, func() {
			x.put(ruleOutputResistor, resistor, kilo, 20*mega, 0.2, n, none)
			for i := range x.parts {
				if o := &x.parts[i]; o.family == stack && o != t {
					x.put(ruleControl, resistor, kilo, 20*mega, 0.3, n, x.at(o, ctl))
				}
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

// inputsOf counts the cell inputs of a stack protector.
func (x *expectations) inputsOf(t *part) int {
	n := 0
	for t.pin("v"+strconv.Itoa(n+1)) >= 0 {
		n++
	}
	return n
}

// grounds expects the ground of a stack protector on the taps it can stand on.
func (x *expectations) grounds(t *part, n, others int) {
	vss := x.at(t, "vss")
	if others == 1 {
		x.same(ruleStackSupply, vss, x.tapNet[0], 0.9)
		return
	}
	left := 0.0
	for k := 0; k+n < len(x.tapNet) || k == 0; k += max(n, 1) {
		if x.tapNet[k] != none && (x.tapNet[k] == vss || x.doubtless(vss, x.tapNet[k]) > 0) {
			left++
		}
	}
	for k := 0; k+n < len(x.tapNet) || k == 0; k += max(n, 1) {
		x.same(ruleStackSupply, vss, x.tapNet[k], 0.9/max(1, left))
	}
}

// inputs expects resistor and capacitor at every cell input.
func (x *expectations) inputs(t *part, vss, others int) {
	base := none
	switch {
	case vss != none && x.tap[vss] >= 0:
		base = x.tap[vss]
	case others == 1:
		base = 0
	}
	below := vss
	for k := 1; ; k++ {
		in := x.at(t, "v"+strconv.Itoa(k))
		if in == none {
			return
		}
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
	for _, ctl := range []string{"ctl_d", "ctl_c"} {
		n := x.at(t, ctl)
		x.same(ruleControl, n, vdd, 0.4)
		x.put(ruleOutputResistor, resistor, kilo, 20*mega, 0.4, n, none)
		for i := range x.parts {
			if o := &x.parts[i]; o.family == stack && o != t {
				x.same(ruleControl, n, x.at(o, map[string]string{"ctl_d": "do_out", "ctl_c": "co_out"}[ctl]), 0.2)
			}
		}
	}
	// Where a chip sees no current its sense pins lie on its own ground.
	x.same(ruleOwnSense, x.at(t, "cs"), vss, 0.15)
	x.same(ruleOwnSense, x.at(t, "vm"), vss, 0.15)
}
