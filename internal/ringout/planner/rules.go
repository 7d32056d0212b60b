package planner

// The conventions by which boards of this trade are drawn, each with the
// sentence that explains a question. All are common practice, no source; their
// chances are guesses, and a board that does otherwise costs touches, never a
// wrong net.
const (
	ruleSupplyFilter = iota
	ruleSupplyCap
	ruleOneACell
	ruleOutputResistor
	ruleSenseResistor
	ruleSenseCap
	ruleDirectGate
	ruleBleedGate
	ruleGatePull
	ruleGateResistor
	ruleGateSupply
	ruleGateClamp
	ruleBleed
	ruleDrain
	ruleEmitter
	ruleBasePull
	ruleBaseDrive
	ruleCollector
	ruleLine
	ruleSwitchSource
	ruleInputResistor
	ruleInputCap
	ruleDelayCap
	ruleLoadDetect
	ruleDivider
	ruleThermistor
	ruleShunt
	ruleReleasePull
	rulePortCap
	ruleFreewheel
	ruleFuse
	ruleOwnSense
	ruleParallel
	rulePort
	ruleStackSupply
	ruleSharedSupply
	ruleControl
	ruleGateOff
	ruleLift
	ruleFollower
	ruleDiodeBase
	ruleSpareInput
	ruleCount
)

// What else a guess can come from than a rule.
const (
	bySlice = -1 - iota
	byCompany
)

var ruleText = [ruleCount]string{
	ruleSupplyFilter:   "a supply pin has a filter resistor to its tap",
	ruleSupplyCap:      "a supply pin has a capacitor to its own ground",
	ruleOneACell:       "there is one such part a cell, each standing on its own tap",
	ruleOutputResistor: "an output drives through a resistor",
	ruleSenseResistor:  "a current sense pin has a resistor",
	ruleSenseCap:       "a current sense pin has a capacitor to ground",
	ruleDirectGate:     "an output may drive a gate directly",
	ruleBleedGate:      "a balancer's output drives the bleed switch of its cell",
	ruleGatePull:       "a gate has a pull to its source",
	ruleGateResistor:   "a gate has a resistor from what drives it",
	ruleGateSupply:     "the gates of the switches are fed from a tap",
	ruleGateClamp:      "a gate has a clamp to its source",
	ruleBleed:          "the bleed resistor lies between the bleed switch and the cell's upper tap",
	ruleDrain:          "a drain has its load",
	ruleEmitter:        "a level shifter's emitter stands on its cell's supply, or on the line below",
	ruleBasePull:       "a base has a pull to its emitter",
	ruleBaseDrive:      "a base is driven through a resistor",
	ruleLine:           "level shifters work through resistors into the base of one transistor below",
	ruleCollector:      "a collector works into a resistor",
	ruleSwitchSource:   "a switch has its source at one end of the path",
	ruleInputResistor:  "a cell input has a resistor to its tap",
	ruleInputCap:       "a cell input has a capacitor to its neighbour or to ground",
	ruleDelayCap:       "a delay pin has a capacitor to ground",
	ruleLoadDetect:     "load detection looks at P− through a resistor",
	ruleDivider:        "a temperature input is a divider",
	ruleThermistor:     "the thermistor lies at the temperature input",
	ruleShunt:          "a shunt lies in the path at B−",
	ruleReleasePull:    "P− is pulled to B− so that a fault can release",
	rulePortCap:        "a capacitor lies across the port",
	ruleFreewheel:      "a diode lies across the port",
	ruleFuse:           "a fuse or link lies between B+ and P+",
	ruleOwnSense:       "an unused sense pin lies on its own ground",
	ruleParallel:       "equal parts of the path lie in parallel, or drain to drain",
	ruleControl:        "a control input is held at its own supply, or driven by the protector above",
	rulePort:           "P+ and B+ are usually one net",
	ruleStackSupply:    "a stack protector's ground is B−",
	ruleGateOff:        "a transistor at the bottom pulls a gate of the path down",
	ruleLift:           "a transistor at the bottom drives the base of one above",
	ruleFollower:       "a small switch holds a sense pin within its protector's supply",
	ruleDiodeBase:      "a diode feeds a base",
	ruleSpareInput:     "a cell input that is left over is joined to the one below",
	ruleSharedSupply:   "two parts of one cell may share a supply",
}

// expectations collects the places where parts are expected, and pairs of pads
// expected to be joined directly.
type expectations struct {
	*view
	places []place
	direct []guess
	// either is the slot of what is put now, for alternatives.
	either slot
}

// The purposes of slots.
const (
	forOutput = iota + 1
	forCollector
	forFeed
	forInput
	forShunt
)

// oneOf makes alternatives of all that put expects.
func (x *expectations) oneOf(purpose, net int, put func()) {
	x.either = slot{purpose, net}
	put()
	x.either = slot{}
}

// guess is a pair of nets that may be one.
type guess struct {
	a, b   int // nets
	chance float64
	why    why
}

// knew is the place that a rule expects: one part is expected there once.
type knew struct {
	rule int
	nets [mostPins]int
}

// mostPins is the most pins that a part has of which a place is expected.
const mostPins = 5

// put expects a part of a family, its value within lo and hi, with its pins on
// nets. Nothing is expected where no net is known.
func (x *expectations) put(rule int, f family, lo, hi, chance float64, nets ...int) {
	if knows(nets) > 0 && chance > 0 && !x.expected(rule, f, nets) {
		x.places = append(x.places, place{
			family: f, class: none, lo: lo, hi: hi, nets: x.kept.netsOf(nets), chance: min(chance, 0.98), rule: rule, slot: x.either,
			why: why{source: int32(rule)},
		})
	}
}

// several are the rules that may expect more than one part in one place.
var several = map[int]bool{ruleEmitter: true, ruleSwitchSource: true}

// expected notes a place and reports whether another part expected it before.
func (x *expectations) expected(rule int, f family, nets []int) bool {
	if several[rule] {
		return false
	}
	k := knew{rule, sorted(f, nets)}
	if x.kept.expected[k] {
		return true
	}
	x.kept.expected[k] = true
	return false
}

// sorted are the nets of a place, the same whichever way round a part of two equal
// pins lies.
func sorted(f family, nets []int) [mostPins]int {
	var out [mostPins]int
	copy(out[:], nets)
	if len(nets) == 2 && f != diode && f != zener {
		out[0], out[1] = min(nets[0], nets[1]), max(nets[0], nets[1])
	}
	return out
}

// same expects two nets to be one.
func (x *expectations) same(rule int, a, b int, chance float64) {
	if a != none && b != none && a != b {
		x.direct = append(x.direct, guess{a, b, chance, why{source: int32(rule)}})
	}
}
