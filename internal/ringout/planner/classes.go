package planner

import (
	"slices"
	"strconv"

	"cupel/internal/ringout"
)

// family is what conventions speak of.
type family int

const (
	other family = iota
	resistor
	capacitor
	inductor
	diode
	zener
	npn
	pnp
	smallFET
	powerFET
	protector
	stack
	balancer
	thermistor
	link
	families
)

// powerOhms is the on-resistance under which a FET is one of the switches that
// carry the pack's current. A guess, no source.
const powerOhms = 0.04

// pinsOf is the order of the pins of a family with the same pins everywhere.
var pinsOf = map[family][]string{
	resistor: {"1", "2"}, capacitor: {"1", "2"}, inductor: {"1", "2"}, thermistor: {"1", "2"}, link: {"1", "2"},
	diode: {"a", "k"}, zener: {"a", "k"}, npn: {"b", "c", "e"}, pnp: {"b", "c", "e"},
	smallFET: {"g", "d", "s"}, powerFET: {"g", "d", "s"},
	protector: {"vdd", "vss", "cs", "do", "co"}, balancer: {"vdd", "vss", "out"},
}

var familyOf = map[string]family{
	"resistor": resistor, "capacitor": capacitor, "inductor": inductor, "diode": diode, "zener": zener,
	"bjt-npn": npn, "bjt-pnp": pnp, "mosfet-n": smallFET, "mosfet-p": smallFET, "cell-protector": protector,
	"stack-protector": stack, "balancer": balancer, "thermistor": thermistor, "fuse": link, "link": link,
}

// part is a part as the planner sees it.
type part struct {
	ref    string
	family family
	class  int // parts of one class are alike
	value  float64
	pins   []string
	pads   []int // one of each pin
	even   bool  // its two pins can be swapped
	high   bool  // a P-FET: it switches the positive line
}

// pin is the pad of the named pin, -1 if the part has none.
func (p *part) pin(name string) int {
	for i, n := range p.pins {
		if n == name {
			return p.pads[i]
		}
	}
	return -1
}

// pad is a pad as the planner sees it.
type pad struct {
	part int // -1 for pads of the board
	pin  int // into part.pins
	// kind numbers the pin's type: pads of one kind are alike but for their part.
	kind int
	tap  int // -1 if none
	term string
	twin int // the first pad of the same pin, itself if it is that
}

// classify fills in parts and pads. Parts are numbered by the names of their
// first pads, classes by their first part.
func (p *Planner) classify() {
	p.pads = make([]pad, len(p.native))
	for i, n := range p.native {
		t := p.sample.Pads[n]
		p.pads[i] = pad{part: -1, tap: -1, term: t.Terminal, twin: i}
		if k, ok := p.sample.Tap(n); ok {
			p.pads[i].tap = k
			if _, seen := p.tapPad[k]; !seen {
				p.tapPad[k] = i
			}
		}
	}
	classes, index := map[string]int{}, map[int]int{}
	for i, n := range p.native {
		q := p.sample.Pads[n].Part
		if q == ringout.NoPart {
			continue
		}
		if _, seen := index[q]; !seen {
			index[q] = len(p.parts)
			p.parts = append(p.parts, p.part(q, classes))
		}
		p.pads[i].part = index[q]
	}
	p.alike = make([]int, len(classes))
	for i := range p.parts {
		p.alike[p.parts[i].class]++
		p.fillPins(i)
	}
	p.numberKinds()
}

func (p *Planner) part(q int, classes map[string]int) part {
	s := p.sample.Parts[q]
	f := familyOf[s.Kind]
	if f == smallFET && s.Value > 0 && s.Value < powerOhms {
		f = powerFET
	}
	key := s.Kind + "\x00" + s.Type
	if _, ok := classes[key]; !ok {
		classes[key] = len(classes)
	}
	return part{ref: s.Ref, family: f, class: classes[key], value: s.Value, high: s.Kind == "mosfet-p"}
}

// fillPins lists the pins of part i: those of its family in the family's order,
// then what it has beside them, as a fuse may have a heater. A part that lacks
// one of them is of no family that conventions speak of.
func (p *Planner) fillPins(i int) {
	t := &p.parts[i]
	first := map[string]int{}
	var names []string
	for x := range p.pads {
		if p.pads[x].part != i {
			continue
		}
		name := p.sample.Pads[p.native[x]].Pin
		if f, ok := first[name]; ok {
			p.pads[x].twin = f
			continue
		}
		first[name] = x
		names = append(names, name)
	}
	t.pins = names
	if want, ok := pinsOf[t.family]; ok {
		if t.pins, ok = leading(want, names); !ok {
			t.family = other
		}
	}
	for _, n := range t.pins {
		t.pads = append(t.pads, first[n])
	}
	t.even = len(t.pads) == 2 && t.family != diode && t.family != zener && t.family != other
	for k, x := range t.pads {
		p.pads[x].pin = k
	}
}

// leading puts the pins that are wanted before the others; false where one is
// not there, and the order is left as it is.
func leading(want, names []string) ([]string, bool) {
	out := slices.Clone(want)
	for _, n := range want {
		if !slices.Contains(names, n) {
			return names, false
		}
	}
	for _, n := range names {
		if !slices.Contains(want, n) {
			out = append(out, n)
		}
	}
	return out, true
}

// numberKinds numbers the types of pins: class and pin, both pins of an even
// part alike. Terminals are of a kind each.
func (p *Planner) numberKinds() {
	index := map[string]int{}
	for x := range p.pads {
		d := &p.pads[x]
		key := "pad " + d.term
		if d.part >= 0 {
			t := &p.parts[d.part]
			pin := p.pads[d.twin].pin
			if t.even {
				pin = 0
			}
			key = "part " + strconv.Itoa(t.class) + " " + strconv.Itoa(pin)
		}
		if _, ok := index[key]; !ok {
			index[key] = len(index)
		}
		d.kind = index[key]
		if d.twin != x {
			d.pin = p.pads[d.twin].pin
		}
	}
	p.kinds = len(index)
}
