package review

import (
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
)

// shortedParts is the rule of [PartShorted]. A link may be drawn that way.
func shortedParts(v *view) {
	for i := range v.Parts {
		p := &v.Parts[i]
		if len(p.Pins) < 2 || p.Pins[0].Net == board.NoNet || v.is(i, catalog.Link) {
			continue
		}
		same := true
		for _, pin := range p.Pins {
			same = same && pin.Net == p.Pins[0].Net
		}
		if same {
			v.report(PartShorted, finding.Warning, p.Place, "look for the net that was meant, or for two nets merged by mistake",
				"all pins of %s are on net %s, where it does nothing", p.Ref, v.net(p.Pins[0].Net))
		}
	}
}

// cellShort is the most resistance across a cell that counts as a short; less
// than any bleed resistor, common practice, no source.
const cellShort = 0.5 // Ω

// joinedTaps is the rule of [TapsJoined].
func joinedTaps(v *view) {
	for k := 1; k <= v.Cells; k++ {
		below, n := v.Tap(k-1), v.Tap(k)
		if n == board.NoNet || below == board.NoNet {
			continue
		}
		if n == below {
			v.report(TapsJoined, finding.Error, v.padPlace(k), "separate the two nets",
				"%s and %s are both on net %s: cell %d would be shorted", tapName(k-1, v.Cells), tapName(k, v.Cells), v.net(n), k)
			continue
		}
		far := v.reach(below, cellShort)
		if _, ok := far[n]; ok {
			v.report(TapsJoined, finding.Error, v.padPlace(k), "look for the net that was meant",
				"%s (net %s) and %s (net %s) are joined by %s: cell %d would be shorted",
				tapName(k-1, v.Cells), v.net(below), tapName(k, v.Cells), v.net(n), strings.Join(v.way(far, below, n), " and "), k)
		}
	}
}

// way lists the parts on a way of reach from one net to another, the last one
// first.
func (v *view) way(far map[board.NetID]float64, from, n board.NetID) []string {
	var refs []string
	for seen := map[board.NetID]bool{from: true}; !seen[n]; {
		seen[n] = true
		for _, ref := range v.Nets[n].Pins {
			p := &v.Parts[ref.Part]
			r, ok := v.ohms(ref.Part)
			for _, pin := range p.Pins {
				if d, in := far[pin.Net]; ok && in && (pin.Net == from || !seen[pin.Net]) && d+r <= far[n] {
					refs, n = append(refs, p.Ref), pin.Net
					break
				}
			}
			if n == from || !seen[n] {
				break
			}
		}
	}
	return refs
}

func (v *view) padPlace(k int) finding.Place {
	for _, p := range v.Pads {
		if p.Name == tapName(k, v.Cells) {
			return p.Place
		}
	}
	return v.Place
}

// controls are the pins that must be driven, by kind of part: those of which
// the part does what it should not, or nothing, when they float.
var controls = map[catalog.Kind][]string{
	catalog.NFET: {"g"}, catalog.PFET: {"g"}, catalog.NPN: {"b"}, catalog.PNP: {"b"},
	catalog.CellProtector:  {"vdd", "vss", "cs"},
	catalog.StackProtector: {"vdd", "vss", "cs"},
	catalog.Balancer:       {"vdd", "vss"}, catalog.SecondaryProtector: {"vdd", "vss"},
}

// floatingControls is the rule of [ControlFloating].
func floatingControls(v *view) {
	for i := range v.Parts {
		p := &v.Parts[i]
		if v.sheets[i] == nil {
			continue
		}
		for _, name := range controls[v.sheets[i].Kind] {
			if n := p.Pin(name); n == board.NoNet || v.alone(n) {
				v.report(ControlFloating, finding.Error, p.Place, "find the net it is on",
					"pin %s.%s is connected to nothing", p.Ref, name)
			}
		}
	}
}

// alone reports whether a net has one pin and nothing else.
func (v *view) alone(n board.NetID) bool {
	return len(v.Nets[n].Pins) == 1 && len(v.Nets[n].Pads) == 0
}

// floatingGates is the rule of [GateUnheld].
func floatingGates(v *view) {
	for i := range v.Parts {
		p := &v.Parts[i]
		if !v.is(i, catalog.NFET, catalog.PFET) {
			continue
		}
		g := p.Pin("g")
		if g == board.NoNet || v.alone(g) || v.held(g, p.Pin("s")) {
			continue
		}
		v.report(GateUnheld, finding.Warning, p.Place, "look for a resistor of 100 kΩ or more that was missed",
			"nothing holds the gate of %s (net %s) while its driver has no supply", p.Ref, v.net(g))
	}
}

// held reports whether resistors lead from net g to net s or to a pad.
func (v *view) held(g, s board.NetID) bool {
	for n := range v.reach(g, anyResistor) {
		if n == s || len(v.Nets[n].Pads) > 0 {
			return true
		}
	}
	return false
}

// backwardDiodes is the rule of [DiodeForward]. The ports count as the cells'
// ends, which they are while the switches conduct.
func backwardDiodes(v *view) {
	for i := range v.Parts {
		p := &v.Parts[i]
		if !v.is(i, catalog.Diode, catalog.Zener) {
			continue
		}
		a, okA := v.level(p.Pin("a"))
		k, okK := v.level(p.Pin("k"))
		if okA && okK && a > k {
			v.report(DiodeForward, finding.Error, p.Place, "exchange its pins a and k",
				"diode %s lies forward across %s: anode on %s, cathode on %s", p.Ref, cells(a-k), v.net(p.Pin("a")), v.net(p.Pin("k")))
		}
	}
}

// level is the number of cells below a net: of a tap, or of a port's pad.
func (v *view) level(n board.NetID) (int, bool) {
	if k, ok := v.tap[n]; ok {
		return k, true
	}
	if n == board.NoNet {
		return 0, false
	}
	for _, i := range v.Nets[n].Pads {
		switch name := v.Pads[i].Name; {
		case name == "P-" || name == "C-":
			return 0, true
		case name == "P+" || strings.HasPrefix(name, "C+"):
			return v.Cells, true
		}
	}
	return 0, false
}
