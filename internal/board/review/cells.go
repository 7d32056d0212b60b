package review

import (
	"fmt"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
)

// supplies is the rule of [SupplyAway] and [SupplyReversed].
func supplies(v *view) {
	for i := range v.Parts {
		p := &v.Parts[i]
		n := v.watched(i)
		if n == 0 || p.Pin("vdd") == board.NoNet || p.Pin("vss") == board.NoNet {
			continue // a pin on no net is another rule's
		}
		top, okTop := v.supplyTap(p.Pin("vdd"))
		bottom, okBottom := v.supplyTap(p.Pin("vss"))
		level := finding.Error
		if v.is(i, catalog.StackProtector) {
			level = finding.Warning // its inputs tell what it watches, its supply may come from above
		}
		switch {
		case !okTop:
			v.away(i, "vdd")
		case !okBottom:
			v.away(i, "vss")
		case bottom-top == n:
			v.report(SupplyReversed, finding.Error, p.Place, "exchange the nets of vdd and vss",
				"%s has its supply reversed: vdd reaches %s and vss %s", p.Ref, tapName(top, v.Cells), tapName(bottom, v.Cells))
		case top-bottom != n:
			v.report(SupplyAway, level, p.Place, "correct the nets of vdd and vss",
				"%s watches %s, but its supply lies between %s and %s", p.Ref, cells(n), tapName(bottom, v.Cells), tapName(top, v.Cells))
		}
	}
}

func (v *view) away(i int, pin string) {
	p := &v.Parts[i]
	v.report(SupplyAway, finding.Error, p.Place, "find the way from it to its tap",
		"pin %s.%s (net %s) reaches no tap through resistors up to %g kΩ", p.Ref, pin, v.net(p.Pin(pin)), smallResistor/1e3)
}

// watched is how many cells part i watches; 0 for all but protectors and
// balancers. A stack protector with fewer cells than it could have watches
// those whose inputs are on different taps.
func (v *view) watched(i int) int {
	s := v.sheets[i]
	if s == nil || s.Kind != catalog.StackProtector {
		if s != nil && (s.Kind == catalog.CellProtector || s.Kind == catalog.Balancer) {
			return 1
		}
		return 0
	}
	seen := map[int]bool{}
	for k := 1; k <= s.Cells(); k++ {
		if t, ok := v.nearestTap(v.Parts[i].Pin(catalog.SenseInput(k))); ok {
			seen[t] = true
		}
	}
	if t, ok := v.nearestTap(v.Parts[i].Pin("vss")); ok {
		delete(seen, t)
	}
	return len(seen)
}

// senseInputs is the rule of [SenseOrder]: going up the inputs, each is on the
// tap of the one before, where a cell is left out, or on the next.
func senseInputs(v *view) {
	for i := range v.Parts {
		s, p := v.sheets[i], &v.Parts[i]
		if s == nil || s.Kind != catalog.StackProtector {
			continue
		}
		below, ok := v.nearestTap(p.Pin("vss"))
		for k := 1; ok && k <= s.Cells(); k++ {
			pin := catalog.SenseInput(k)
			if p.Pin(pin) == board.NoNet {
				continue
			}
			t, found := v.nearestTap(p.Pin(pin))
			switch {
			case !found:
				v.report(SenseOrder, finding.Error, p.Place, "find the way from it to its tap",
					"sense input %s.%s (net %s) reaches no tap", p.Ref, pin, v.net(p.Pin(pin)))
				ok = false
			case t != below && t != below+1:
				v.report(SenseOrder, finding.Error, p.Place, "look whether two sense nets are exchanged",
					"sense input %s.%s reaches %s, expected %s", p.Ref, pin, tapName(t, v.Cells), v.expected(below))
				ok = false
			}
			below = t
		}
	}
}

func (v *view) expected(below int) string {
	if below >= v.Cells {
		return tapName(below, v.Cells)
	}
	return fmt.Sprintf("%s or, for a cell left out, %s", tapName(below+1, v.Cells), tapName(below, v.Cells))
}

// unwatchedCells is the rule of [CellUnwatched].
func unwatchedCells(v *view) {
	seen := make([]bool, v.Cells+1)
	for i := range v.Parts {
		if v.is(i, catalog.CellProtector, catalog.StackProtector) {
			v.markCells(i, seen)
		}
	}
	for k := 1; k <= v.Cells; k++ {
		if !seen[k] {
			v.report(CellUnwatched, finding.Warning, v.padPlace(k), "find its protector, or correct cells",
				"no protector watches cell %d, between %s and %s", k, tapName(k-1, v.Cells), tapName(k, v.Cells))
		}
	}
}

// markCells marks the cells between the lowest and the highest tap that part i
// reaches: what is wrong between them is another rule's.
func (v *view) markCells(i int, seen []bool) {
	pins := []string{"vss", "vdd"}
	if v.is(i, catalog.StackProtector) {
		pins = pins[:1]
		for k := 1; k <= v.sheets[i].Cells(); k++ {
			pins = append(pins, catalog.SenseInput(k))
		}
	}
	low, high := v.Cells+1, -1
	for _, pin := range pins {
		if t, ok := v.supplyTap(v.Parts[i].Pin(pin)); ok {
			low, high = min(low, t), max(high, t)
		}
	}
	for k := low + 1; k <= high; k++ {
		seen[k] = true
	}
}
