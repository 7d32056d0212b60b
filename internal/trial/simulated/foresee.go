package simulated

import (
	"strings"

	"cupel/internal/circuit/protector"
	"cupel/internal/trial/rig"
)

// Edges names the comparators of all units.
func (r *Rig) Edges() []rig.Edge {
	var out []rig.Edge
	for _, u := range r.circuit.Units {
		for _, c := range u.Machine.Comparators() {
			out = append(out, rig.Edge{Part: u.Part, Flag: flagOf(u.Machine, c.Name)})
		}
	}
	return out
}

// flagOf is the flag that a comparator sets, by its name: "v3>V_ov" sets OV3,
// "cs>-V_coc" sets COC.
func flagOf(m protector.Machine, comparator string) string {
	signal, level, ok := strings.Cut(comparator, ">")
	if !ok {
		return ""
	}
	flag := strings.ToUpper(strings.TrimPrefix(strings.TrimPrefix(level, "-"), "V_"))
	for _, name := range []string{flag + strings.TrimPrefix(signal, "v"), flag} {
		if protector.FlagIndex(m, name) >= 0 {
			return name
		}
	}
	return ""
}

// Distances appends how far each comparator of each unit is from its edge, V.
func (r *Rig) Distances(to []float64) ([]float64, error) {
	if err := r.settle(); err != nil {
		return to, err
	}
	x := r.run.X()
	for _, u := range r.circuit.Units {
		for _, c := range u.Machine.Comparators() {
			d := x[u.Nodes[c.Plus]] - x[u.Nodes[c.Minus]] - c.Level
			if c.Ratio != 0 { // a plain comparator names no reference
				d -= c.Ratio * (x[u.Nodes[c.RefPlus]] - x[u.Nodes[c.RefMinus]])
			}
			to = append(to, d)
		}
	}
	return to, nil
}
