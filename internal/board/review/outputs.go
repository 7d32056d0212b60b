package review

import (
	"slices"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
)

// gateResistor is the largest resistor between an output and the gates that it
// drives itself. Common practice is 100 Ω to 10 kΩ, no source; what holds a
// gate off is larger.
const gateResistor = 100e3 // Ω

// crossedOutputs is the rule of [OutputsCrossed]. It speaks of outputs that
// drive gates themselves; behind level shifters it says nothing.
func crossedOutputs(v *view) {
	discharge, charge := v.blockers()
	for i := range v.Parts {
		p := &v.Parts[i]
		if !v.is(i, catalog.CellProtector, catalog.StackProtector) {
			continue
		}
		do, co := v.driven(p.Pin("do")), v.driven(p.Pin("co"))
		crossedDo, crossedCo := v.among(do, charge), v.among(co, discharge)
		if len(crossedDo) == 0 || len(crossedCo) == 0 || len(v.among(do, discharge)) > 0 || len(v.among(co, charge)) > 0 {
			continue
		}
		v.report(OutputsCrossed, finding.Error, p.Place, "exchange the nets of do and co, or look up the nets of the gates again",
			"%s has its outputs exchanged: do drives %s, which blocks charging, and co drives %s, which blocks discharging",
			p.Ref, strings.Join(crossedDo, ", "), strings.Join(crossedCo, ", "))
	}
}

// blockers lists the FETs in the paths of the current by what they block. In
// the low side current out of the cells flows from the port to B−, in the high
// side from B+ to the port.
func (v *view) blockers() (discharge, charge []int) {
	for _, p := range v.ports() {
		for _, b := range v.banksIn(p) {
			if v.outward(b, p) == (p.tap == 0) {
				discharge = append(discharge, b.parts...)
			} else {
				charge = append(charge, b.parts...)
			}
		}
	}
	return discharge, charge
}

// driven lists the FETs whose gates an output drives itself.
func (v *view) driven(output board.NetID) []int {
	if output == board.NoNet {
		return nil
	}
	nets := v.reach(output, gateResistor)
	var out []int
	for i := range v.Parts {
		if g := v.Parts[i].Pin("g"); g != board.NoNet && v.is(i, catalog.NFET, catalog.PFET) {
			if _, ok := nets[g]; ok {
				out = append(out, i)
			}
		}
	}
	return out
}

// among names the parts that are in both lists.
func (v *view) among(parts, others []int) []string {
	var refs []string
	for _, i := range parts {
		if slices.Contains(others, i) {
			refs = append(refs, v.Parts[i].Ref)
		}
	}
	return refs
}
