package review

import (
	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
)

// idleDiodes is the rule of [DiodeIdle]. A diode passes current only if something
// takes it from its cathode and something gives it to its anode. A clamp from an
// output to a rail is never spoken of: it is meant to wait.
func idleDiodes(v *view) {
	for i := range v.Parts {
		p := &v.Parts[i]
		if !v.is(i, catalog.Diode, catalog.Zener) {
			continue
		}
		a, k := p.Pin("a"), p.Pin("k")
		if a == board.NoNet || k == board.NoNet {
			continue
		}
		const do = "exchange its pins a and k"
		before, behind := v.drives(i, a), v.drives(i, k)
		switch fet := v.keptOff(a, k); {
		case fet != "":
			v.report(DiodeIdle, finding.Error, p.Place, do,
				"diode %s lies forward between gate and source of %s and keeps it off: anode on %s, cathode on %s", p.Ref, fet, v.net(a), v.net(k))
		case v.is(i, catalog.Zener):
			// backwards below its knee, it passes current the other way
		case behind.only("c", catalog.PNP) && before.asks(catalog.NPN, catalog.NFET):
			v.report(DiodeIdle, finding.Error, p.Place, do,
				"diode %s can never pass current: %s can only push into its cathode (net %s), and its anode (net %s) leads to %s",
				p.Ref, behind.driver, v.net(k), v.net(a), before.input)
		case before.only("c", catalog.NPN) && behind.asks(catalog.PNP, catalog.PFET):
			v.report(DiodeIdle, finding.Error, p.Place, do,
				"diode %s can never pass current: %s can only pull at its anode (net %s), and its cathode (net %s) leads to %s",
				p.Ref, before.driver, v.net(a), v.net(k), behind.input)
		}
	}
}

// side is what stands on one side of a diode, behind resistors.
type side struct {
	*view
	pins   []board.PinRef // of other parts than resistors and capacitors
	rail   bool           // a tap or a pad is reached
	driver string         // a pin that drives, as messages name it
	input  string         // a base or gate
}

// drives looks along the resistors from net n, without the diode itself.
func (v *view) drives(diode int, n board.NetID) side {
	s := side{view: v}
	for m := range v.reach(n, anyResistor) {
		_, tap := v.tap[m]
		s.rail = s.rail || tap || len(v.Nets[m].Pads) > 0
		for _, ref := range v.Nets[m].Pins {
			_, conducts := v.ohms(ref.Part)
			if ref.Part != diode && !conducts && !v.is(ref.Part, catalog.Capacitor) && !tap && len(v.Nets[m].Pads) == 0 {
				s.pins = append(s.pins, ref)
			}
		}
	}
	return s
}

// only reports whether all that stands there are pins of that name of parts of
// that kind, and names one.
func (s *side) only(pin string, kind catalog.Kind) bool {
	for _, ref := range s.pins {
		p := &s.Parts[ref.Part]
		if p.Pins[ref.Pin].Name != pin || !s.is(ref.Part, kind) {
			return false
		}
		s.driver = p.Ref + "." + pin
	}
	return len(s.pins) > 0 && !s.rail
}

// asks reports whether a base or gate of those kinds stands there, and names it.
func (s *side) asks(kinds ...catalog.Kind) bool {
	for _, ref := range s.pins {
		p := &s.Parts[ref.Part]
		if name := p.Pins[ref.Pin].Name; (name == "b" || name == "g") && s.is(ref.Part, kinds...) {
			s.input = p.Ref + "." + name
			return true
		}
	}
	return false
}

// keptOff is a FET that a diode from net a to net k keeps off: it lies forward
// between gate and source. Empty where there is none.
func (v *view) keptOff(a, k board.NetID) string {
	for i := range v.Parts {
		p := &v.Parts[i]
		g, s := p.Pin("g"), p.Pin("s")
		if v.is(i, catalog.NFET) && g == a && s == k || v.is(i, catalog.PFET) && g == k && s == a {
			return p.Ref
		}
	}
	return ""
}
