package layout

import (
	"cupel/internal/schematic"
)

// mergeFlags joins flags of one rail that stand side by side at one height by a
// wire, and keeps one of them.
func (d *drawing) mergeFlags() {
	var kept []nameAt
	for _, n := range d.names {
		merged := false
		for k := range kept {
			m := &kept[k]
			if n.Kind == schematic.Flag && m.Kind == schematic.Flag && n.Net == m.Net && n.area == m.area && n.area == common &&
				n.Toward == m.Toward && n.At.Y == m.At.Y && abs(n.At.X-m.At.X) <= mergeReach && d.openBetween(m.At, n.At) {
				d.rails = append(d.rails, rail{n.Net, m.At, n.At, false})
				merged = true
				break
			}
		}
		if !merged {
			kept = append(kept, n)
		}
	}
	d.names = kept
}

// mergeReach is how far apart two flags may stand to become one.
const mergeReach = 120

// openBetween reports whether nothing stands between two places of one height.
func (d *drawing) openBetween(a, b schematic.Point) bool {
	strip := schematic.R(a.X, a.Y-clearance, b.X, a.Y+clearance)
	for i := range d.symbols {
		s := &d.symbols[i]
		if s.Body.Overlaps(strip) {
			return false
		}
		for _, l := range s.Label {
			if l.Box.Overlaps(strip) {
				return false
			}
		}
		for _, p := range s.Pins {
			if p.At.Y == a.Y && p.At != a && p.At != b && p.At.X > min(a.X, b.X) && p.At.X < max(a.X, b.X) {
				return false
			}
		}
	}
	for i := range d.names {
		n := &d.names[i]
		if n.At != a && n.At != b && n.Box.Overlaps(strip) {
			return false
		}
	}
	return true
}
