package review

import (
	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
)

// heavyOhms is the largest resistance that can stand in a power path: a shunt.
const heavyOhms = 1.0 // Ω

// port is a place where current leaves or enters, and the end of the cells on
// the same side.
type port struct {
	pad string
	tap int
}

func (v *view) ports() []port {
	all := []port{{"P-", 0}, {"C-", 0}, {"P+", v.Cells}, {"C+", v.Cells}}
	var out []port
	for _, p := range all {
		if pad, ok := v.Pad(p.pad); ok && pad.Net != board.NoNet {
			out = append(out, p)
		}
	}
	return out
}

// paths is the rule of [NoPath] and [NoSwitch]: every port is reached from its
// end of the cells, and of its two sides at least one is switched.
func paths(v *view) {
	reached, switched := map[string]bool{}, map[byte]bool{}
	ports := v.ports()
	for _, p := range ports {
		pad, _ := v.Pad(p.pad)
		from := v.Tap(p.tap)
		if from == board.NoNet {
			continue
		}
		if !v.joined(from, pad.Net, true) {
			v.report(NoPath, finding.Error, pad.Place, "look for the switches between them",
				"no switch, shunt or copper leads from %s to %s", tapName(p.tap, v.Cells), p.pad)
			continue
		}
		reached[p.pad] = true
		if !v.joined(from, pad.Net, false) {
			switched[p.pad[0]] = true
		}
	}
	for _, p := range ports {
		if reached[p.pad] && !switched[p.pad[0]] && p.tap == 0 {
			pad, _ := v.Pad(p.pad)
			v.report(NoSwitch, finding.Warning, pad.Place, "look for the switches, or for a net that joins both sides of them",
				"nothing can part %s from the cells: copper leads around every switch", p.pad)
		}
	}
}

// joined reports whether copper, links, fuses, shunts and, if asked, FETs and
// diodes lead from net a to net b.
func (v *view) joined(a, b board.NetID, switches bool) bool {
	seen := map[board.NetID]bool{a: true}
	todo := []board.NetID{a}
	for len(todo) > 0 {
		at := todo[0]
		todo = todo[1:]
		if at == b {
			return true
		}
		for _, ref := range v.Nets[at].Pins {
			for _, n := range v.through(ref, switches) {
				if n != board.NoNet && !seen[n] {
					seen[n] = true
					todo = append(todo, n)
				}
			}
		}
	}
	return false
}

// through lists the nets that heavy current reaches through a part from one of
// its pins.
func (v *view) through(ref board.PinRef, switches bool) []board.NetID {
	p := &v.Parts[ref.Part]
	if v.is(ref.Part, catalog.NFET, catalog.PFET) {
		if name := p.Pins[ref.Pin].Name; switches && (name == "d" || name == "s") {
			return []board.NetID{p.Pin("d"), p.Pin("s")}
		}
		return nil
	}
	r, ok := v.ohms(ref.Part)
	if ok && r <= heavyOhms || switches && v.is(ref.Part, catalog.Diode) {
		var nets []board.NetID
		for _, pin := range p.Pins {
			nets = append(nets, pin.Net)
		}
		return nets
	}
	return nil
}
