package review

import (
	"maps"
	"slices"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
)

// astraySense is the rule of [SenseAstray]. What else than resistors and FETs
// leads on from the pin may carry the current's voltage in a way that no rule
// knows: then nothing is said.
func astraySense(v *view) {
	heavy := v.heavy()
	for i := range v.Parts {
		p := &v.Parts[i]
		cs := p.Pin("cs")
		if !v.is(i, catalog.CellProtector, catalog.StackProtector) || cs == board.NoNet || cs == p.Pin("vss") || v.alone(cs) {
			continue
		}
		w := walk{view: v, own: i, ends: heavy, seen: map[board.NetID]bool{}}
		if vss := p.Pin("vss"); vss != board.NoNet {
			w.ends = maps.Clone(heavy)
			w.ends[vss] = true
		}
		w.from(cs)
		if w.arrived || w.others {
			continue
		}
		do := "look for what leads from there to the switches or the shunt"
		if len(w.fets) > 0 {
			do = "look at gate, drain and source of " + strings.Join(w.fets, ", ") + " again"
		}
		v.report(SenseAstray, finding.Error, p.Place, do,
			"pin %s.cs (net %s) sees no current: neither resistor nor FET leads from it to the path of the current", p.Ref, v.net(cs))
	}
}

// heavy are the nets of the paths of the current, from B− and from B+.
func (v *view) heavy() map[board.NetID]bool {
	nets := map[board.NetID]bool{}
	for _, k := range []int{0, v.Cells} {
		from := v.Tap(k)
		for n := range v.Nets {
			if id := board.NetID(n); from != board.NoNet && v.joined(from, id, true) {
				nets[id] = true
			}
		}
	}
	return nets
}

// walk goes along resistors and FETs, and not beyond taps and supplies.
type walk struct {
	*view
	own     int // the part it began at
	ends    map[board.NetID]bool
	seen    map[board.NetID]bool
	fets    []string // that it met
	others  bool     // parts of other kinds lead on
	arrived bool
}

func (w *walk) from(n board.NetID) {
	if n == board.NoNet || w.seen[n] {
		return
	}
	w.seen[n] = true
	if w.ends[n] {
		w.arrived = true
		return
	}
	if _, tap := w.tap[n]; tap || w.supplies(n) {
		return
	}
	w.others = w.others || len(w.Nets[n].Pads) > 0
	for _, ref := range w.Nets[n].Pins {
		w.along(ref)
	}
}

// along goes on through the part of a pin.
func (w *walk) along(ref board.PinRef) {
	p := &w.Parts[ref.Part]
	_, conducts := w.ohms(ref.Part)
	switch name := p.Pins[ref.Pin].Name; {
	case ref.Part == w.own, w.is(ref.Part, catalog.Capacitor):
	case conducts:
		for _, pin := range p.Pins {
			w.from(pin.Net)
		}
	case w.is(ref.Part, catalog.NFET, catalog.PFET):
		if !slices.Contains(w.fets, p.Ref) {
			w.fets = append(w.fets, p.Ref)
		}
		if name != "g" {
			w.from(p.Pin("d"))
			w.from(p.Pin("s"))
		}
	default:
		w.others = true
	}
}

// supplies reports whether an IC takes its supply from net n.
func (v *view) supplies(n board.NetID) bool {
	for _, ref := range v.Nets[n].Pins {
		if v.Parts[ref.Part].Pins[ref.Pin].Name == "vdd" {
			return true
		}
	}
	return false
}

// blindBoard is the rule of [NoSense]: upper protectors of a chain have cs on
// vss, one of them must not.
func blindBoard(v *view) {
	first := -1
	for i := range v.Parts {
		p := &v.Parts[i]
		if !v.is(i, catalog.CellProtector, catalog.StackProtector) {
			continue
		}
		if cs := p.Pin("cs"); cs == board.NoNet || cs != p.Pin("vss") {
			return
		}
		if first < 0 {
			first = i
		}
	}
	if first >= 0 {
		v.report(NoSense, finding.Warning, v.Parts[first].Place, "look for the protector that sees the drop of shunt or switches",
			"no protector sees the current: cs lies on vss at every one, so nothing cuts a load but a supply that collapses")
	}
}
