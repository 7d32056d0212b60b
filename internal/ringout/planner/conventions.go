package planner

import "slices"

const (
	kilo = 1e3
	mega = 1e6
	nano = 1e-9
	any0 = 0.0
	anyM = 1e12
)

// conventions expects what boards of this trade have around the parts there
// are.
func (x *expectations) conventions() {
	count := x.countFamilies()
	for i := range x.parts {
		t := &x.parts[i]
		switch t.family {
		case protector:
			x.protector(t)
		case balancer:
			x.balancer(t)
		case stack:
			x.stack(t, count[stack])
		case npn, pnp:
			x.transistor(t)
		case smallFET:
			x.smallFET(t)
			x.follower(t)
		case diode:
			x.diode(t)
		case powerFET:
			x.powerFET(t)
		}
	}
	x.perCell(count)
	x.switches()
	x.ports()
	x.shunts()
}

func (x *expectations) countFamilies() [families]int {
	var n [families]int
	for i := range x.parts {
		n[x.parts[i].family]++
	}
	return n
}

// protector expects what lies around a single-cell protector.
func (x *expectations) protector(t *part) {
	vdd, vss, cs := x.at(t, "vdd"), x.at(t, "vss"), x.at(t, "cs")
	x.put(ruleSupplyFilter, resistor, 30, 3*kilo, 0.9, vdd, x.up(vss, 1))
	x.put(ruleSupplyCap, capacitor, 10*nano, anyM, 0.95, vdd, vss)
	x.outputs(t, vdd)
	x.same(ruleOwnSense, cs, vss, x.ownSense(t))
	if cs != vss {
		x.put(ruleSenseResistor, resistor, 300, 20*kilo, 0.4, cs, none)
	}
}

// outputs expects resistors from the outputs of a protector to the bases of the
// level shifters that stand on its supply, as far as these are known.
func (x *expectations) outputs(t *part, vdd int) {
	var bases []int
	for _, y := range x.pads[vdd] {
		if q := x.Planner.pads[y].part; q >= 0 && x.parts[q].family == pnp && x.parts[q].pin("e") == y {
			bases = append(bases, x.at(&x.parts[q], "b"))
		}
	}
	for _, out := range []string{"do", "co"} {
		n := x.at(t, out)
		x.oneOf(forOutput, n, func() {
			x.put(ruleOutputResistor, resistor, 50, 20*mega, pick(len(bases) < 2, 0.5, 0.1), n, none)
			for _, b := range bases {
				x.put(ruleOutputResistor, resistor, 50, 20*mega, 0.8/float64(max(2, len(bases))), n, b)
			}
		})
	}
}

// ownSense is how often the sense pin of such parts lies on their own ground.
func (x *expectations) ownSense(t *part) float64 {
	yes, no := 1.2, 0.8
	for i := range x.parts {
		o := &x.parts[i]
		if o.class != t.class || o == t {
			continue
		}
		cs, vss := x.at(o, "cs"), x.at(o, "vss")
		switch {
		case cs == vss:
			yes++
		case x.apart(cs, vss) > 0:
			no++
		}
	}
	return yes / (yes + no)
}

func (x *expectations) balancer(t *part) {
	vdd, vss, out := x.at(t, "vdd"), x.at(t, "vss"), x.at(t, "out")
	x.put(ruleSupplyFilter, resistor, 30, 3*kilo, 0.7, vdd, x.up(vss, 1))
	x.put(ruleSupplyCap, capacitor, 10*nano, anyM, 0.9, vdd, vss)
	x.put(ruleBleedGate, smallFET, any0, anyM, 0.85, out, none, vss)
	x.put(ruleGatePull, resistor, 20*kilo, 20*mega, 0.6, out, vss)
}

// transistor expects what lies around a bipolar transistor.
func (x *expectations) transistor(t *part) {
	b, c, e := x.at(t, "b"), x.at(t, "c"), x.at(t, "e")
	x.put(ruleBasePull, resistor, 10*kilo, 20*mega, 0.75, b, e)
	x.put(ruleBaseDrive, resistor, kilo, 10*mega, pick(x.onSupply(e), 0.2, 0.8), b, none)
	lines := x.lines()
	switch {
	case t.family == npn:
		x.pullDown(c)
		return
	case len(lines) == 0 || !x.onSupply(e):
		x.put(ruleCollector, resistor, 300, 10*mega, 0.7, c, none)
		return
	}
	x.oneOf(forCollector, c, func() {
		x.put(ruleCollector, resistor, 300, 10*mega, 0.2, c, none)
		for _, l := range lines {
			x.put(ruleLine, resistor, 300, 10*mega, 0.7/float64(len(lines)), c, l)
		}
	})
}

// pullDown expects the collector of a transistor at the bottom to work, through a
// resistor, on a gate of the path or on the base of one that carries its word up.
func (x *expectations) pullDown(c int) {
	gates, bases := x.gates(), x.upperBases()
	x.oneOf(forCollector, c, func() {
		x.put(ruleCollector, resistor, 300, 10*mega, 0.2, c, none)
		for _, g := range gates {
			x.put(ruleGateOff, resistor, 50, 100*kilo, 0.35/float64(len(gates)), c, g)
		}
		for _, b := range bases {
			x.put(ruleLift, resistor, kilo, 10*mega, 0.25/float64(len(bases)), c, b)
		}
	})
}

// upperBases are the bases of the transistors that stand on no protector's supply.
func (x *expectations) upperBases() []int {
	var out []int
	for i := range x.parts {
		if t := &x.parts[i]; t.family == pnp && !x.onSupply(x.at(t, "e")) {
			if e := x.at(t, "e"); x.joined[x.parts[i].pin("e")] || e == none {
				out = append(out, x.at(t, "b"))
			}
		}
	}
	return out
}

// follower expects a small transistor of which there is one only to hold a sense
// pin within the supply of its protector.
func (x *expectations) follower(t *part) {
	if x.alike[t.class] > 1 {
		return
	}
	for i := range x.parts {
		o := &x.parts[i]
		if o.family != protector {
			continue
		}
		if cs, vss := x.at(o, "cs"), x.at(o, "vss"); cs != vss && x.apart(cs, vss) > 0 {
			x.same(ruleFollower, x.at(t, "s"), cs, 0.5)
			x.same(ruleFollower, x.at(t, "g"), x.at(o, "vdd"), 0.5)
		}
	}
}

// diode expects a diode that feeds a base.
func (x *expectations) diode(t *part) {
	var bases []int
	for i := range x.parts {
		if o := &x.parts[i]; o.family == npn {
			bases = append(bases, x.at(o, "b"))
		}
	}
	for _, b := range bases {
		x.same(ruleDiodeBase, x.at(t, "k"), b, 0.4/float64(len(bases)))
	}
}

// lines are the bases of the transistors that stand on B−.
func (x *expectations) lines() []int {
	var out []int
	for i := range x.parts {
		if t := &x.parts[i]; t.family == npn && x.tapNet[0] != none && x.at(t, "e") == x.tapNet[0] {
			out = append(out, x.at(t, "b"))
		}
	}
	return out
}

// onSupply reports whether a net is the supply of a protector.
func (x *expectations) onSupply(n int) bool {
	for _, y := range x.pads[n] {
		if q := x.Planner.pads[y].part; q >= 0 && x.parts[q].family == protector && x.parts[q].pin("vdd") == y {
			return true
		}
	}
	return false
}

func (x *expectations) smallFET(t *part) {
	g, d, s := x.at(t, "g"), x.at(t, "d"), x.at(t, "s")
	x.put(ruleGatePull, resistor, 20*kilo, 20*mega, 0.6, g, s)
	if s != none && x.tap[s] >= 0 {
		x.put(ruleBleed, resistor, 3, 600, 0.7, d, x.up(s, 1))
	} else {
		x.put(ruleDrain, resistor, 3, 10*mega, 0.4, d, none)
	}
}

func (x *expectations) powerFET(t *part) {
	g, s := x.at(t, "g"), x.at(t, "s")
	x.put(ruleGatePull, resistor, 50*kilo, 20*mega, 0.4, g, s)
	x.put(ruleGateResistor, resistor, 5, 200*kilo, 0.6, g, none)
	if t.high {
		s, g = g, s
	}
	x.put(ruleGateClamp, zener, any0, anyM, 0.3, s, g)
}

// perCell expects the parts of which each cell has one on its tap.
func (x *expectations) perCell(count [families]int) {
	n := max(1, x.sample.Cells)
	for k := range x.tapNet[:len(x.tapNet)-1] {
		tap := x.tapNet[k]
		x.put(ruleOneACell, protector, any0, anyM, share(count[protector], n), none, tap, none, none, none)
		x.put(ruleOneACell, balancer, any0, anyM, share(count[balancer], n), none, tap, none)
	}
	for i := range x.parts {
		t := &x.parts[i]
		if t.family != protector {
			continue
		}
		vdd := x.at(t, "vdd")
		for range min(3, (count[pnp]+n-1)/n) {
			x.put(ruleEmitter, pnp, any0, anyM, 0.6, none, none, vdd)
		}
	}
	x.put(ruleEmitter, pnp, any0, anyM, 0.3, none, none, x.tapNet[n])
	for range (count[npn] + 1) / 2 {
		x.put(ruleEmitter, npn, any0, anyM, 0.6, none, none, x.tapNet[0])
		x.put(ruleEmitter, npn, any0, anyM, 0.4, none, none, x.terminal("P-"))
	}
}

func share(count, n int) float64 { return min(0.98, float64(count)/float64(n)) }

// switches expects the two banks of the path.
func (x *expectations) switches() {
	var bank []*part
	for i := range x.parts {
		if x.parts[i].family == powerFET {
			bank = append(bank, &x.parts[i])
		}
	}
	x.ends(bank)
	for i, a := range bank {
		for _, b := range bank[:i] {
			x.parallel(a, b, bank)
		}
	}
	for _, a := range bank {
		g := x.at(a, "g")
		x.oneOf(forFeed, g, func() {
			for k := 1; k < len(x.tapNet); k++ {
				x.put(ruleGateSupply, resistor, 50*kilo, 10*mega, 0.5/float64(len(x.tapNet)), g, x.tapNet[k])
			}
		})
	}
}

// ends expects the sources of the switches at the ends of the path: at the cells,
// unless there is a shunt between, and at the ports.
func (x *expectations) ends(bank []*part) {
	if len(bank) == 0 {
		return
	}
	cells, port := x.tapNet[0], "-"
	near := pick(x.shunted(), 0.15, 0.5)
	if bank[0].high {
		cells, port, near = x.tapNet[len(x.tapNet)-1], "+", 0.5
	}
	for range (len(bank) + 1) / 2 {
		x.put(ruleSwitchSource, powerFET, any0, anyM, near, none, none, cells)
		x.put(ruleSwitchSource, powerFET, any0, anyM, 0.5, none, none, x.terminal("P"+port))
		x.put(ruleSwitchSource, powerFET, any0, anyM, 0.5, none, none, x.terminal("C"+port))
	}
}

// shunted reports whether there is a shunt among the parts.
func (x *expectations) shunted() bool {
	return slices.ContainsFunc(x.parts, func(t part) bool { return t.family == resistor && t.value > 0 && t.value <= shuntOhms })
}

// parallel expects two switches to share drain, source or gate.
func (x *expectations) parallel(a, b *part, bank []*part) {
	if a.class != b.class {
		x.same(ruleParallel, x.at(a, "d"), x.at(b, "d"), 0.4)
		return
	}
	crossed := 0.2 / float64(len(bank)) // a net of many drains is asked for once, not once a drain
	x.same(ruleParallel, x.at(a, "d"), x.at(b, "s"), crossed)
	x.same(ruleParallel, x.at(a, "s"), x.at(b, "d"), crossed)
	sources, gates := x.at(a, "s") == x.at(b, "s"), x.at(a, "g") == x.at(b, "g")
	drains := x.at(a, "d") == x.at(b, "d")
	x.same(ruleParallel, x.at(a, "d"), x.at(b, "d"), pick(sources || gates, 0.9, 0.6))
	left := x.left(a, b, bank)
	x.same(ruleParallel, x.at(a, "s"), x.at(b, "s"), pick(gates, 0.95, pick(left, 0.85, pick(drains, 0.4, 0.35))))
	x.same(ruleParallel, x.at(a, "g"), x.at(b, "g"), pick(sources, 0.92, pick(left, 0.6, 0.3)))
}

// left reports whether two switches are held apart from a source that others of
// their kind share: there are two banks, so these are the other.
func (x *expectations) left(a, b *part, bank []*part) bool {
	sa, sb := x.at(a, "s"), x.at(b, "s")
	for _, o := range bank {
		if s := x.at(o, "s"); o.class == a.class && s != sa && s != sb && x.apart(s, sa) > 0 && x.apart(s, sb) > 0 {
			return true
		}
	}
	return false
}

func pick(is bool, yes, no float64) float64 {
	if is {
		return yes
	}
	return no
}

// shunts expects equal resistors of some mΩ in parallel.
func (x *expectations) shunts() {
	for i := range x.parts {
		a := &x.parts[i]
		if a.family != resistor || a.value <= 0 || a.value > shuntOhms {
			continue
		}
		for k := range x.parts[:i] {
			if b := &x.parts[k]; b.class == a.class {
				x.beside(a, b)
			}
		}
	}
}

// beside expects two parts that share one net to share the other.
func (x *expectations) beside(a, b *part) {
	for i := range 2 {
		for k := range 2 {
			if x.net[a.pads[i]] == x.net[b.pads[k]] {
				x.same(ruleParallel, x.net[a.pads[1-i]], x.net[b.pads[1-k]], 0.9)
			}
		}
	}
}

// shuntOhms is the most that a shunt has.
const shuntOhms = 0.1

// ports expects what lies between the terminals.
func (x *expectations) ports() {
	bm, bp, pm, pp := x.tapNet[0], x.tapNet[len(x.tapNet)-1], x.terminal("P-"), x.terminal("P+")
	x.same(rulePort, pp, bp, 0.9)
	x.put(ruleReleasePull, resistor, 50*kilo, 50*mega, 0.5, pm, bm)
	x.put(rulePortCap, capacitor, nano, anyM, 0.5, pm, bm)
	x.put(rulePortCap, capacitor, nano, anyM, 0.3, pm, pp)
	x.put(ruleFreewheel, diode, any0, anyM, 0.4, pm, pp)
	x.put(ruleFreewheel, zener, any0, anyM, 0.2, pm, pp)
	for i := range x.parts {
		if t := &x.parts[i]; t.family == powerFET && x.at(t, "s") != bm && x.at(t, "s") != pm {
			x.oneOf(forShunt, bm, func() { x.put(ruleShunt, resistor, 1e-5, shuntOhms, 0.25, bm, x.at(t, "s")) })
		}
	}
	x.oneOf(forShunt, bm, func() { x.put(ruleShunt, resistor, 1e-5, shuntOhms, 0.4, bm, none) })
	x.put(ruleFuse, link, any0, anyM, 0.6, bp, pp)
}
