package review

import (
	"fmt"
	"math"

	"cupel/internal/board"
	"cupel/internal/catalog"
)

// smallResistor is the largest resistance through which a supply or sense pin
// still counts as being on its tap: a few µA drop some 10 mV in it. Common
// practice is 100 Ω to 2 kΩ, no source.
const smallResistor = 10e3 // Ω

// anyResistor lets every resistor through.
var anyResistor = math.Inf(1)

// reach returns the nets that resistors, links, fuses and inductors connect
// with net n, each with the least resistance on the way; no way is longer than
// limit in Ω. The way ends at a tap: behind it begins another cell.
func (v *view) reach(n board.NetID, limit float64) map[board.NetID]float64 {
	return v.reachBy(n, limit, v.ohms)
}

// reachBy is reach through what ohms lets through.
func (v *view) reachBy(n board.NetID, limit float64, ohms func(part int) (float64, bool)) map[board.NetID]float64 {
	far := map[board.NetID]float64{n: 0}
	todo := []board.NetID{n}
	for len(todo) > 0 {
		at := todo[0]
		todo = todo[1:]
		if _, isTap := v.tap[at]; isTap && at != n {
			continue
		}
		for _, ref := range v.Nets[at].Pins {
			r, ok := ohms(ref.Part)
			sum := far[at] + r
			if !ok || sum > limit {
				continue
			}
			for _, pin := range v.Parts[ref.Part].Pins {
				if before, seen := far[pin.Net]; pin.Net != board.NoNet && (!seen || sum < before) {
					far[pin.Net] = sum
					todo = append(todo, pin.Net)
				}
			}
		}
	}
	return far
}

// ohms is the resistance of part i, and whether it is one that conducts
// steadily.
func (v *view) ohms(i int) (float64, bool) {
	p := &v.Parts[i]
	switch {
	case v.is(i, catalog.Resistor):
		r := p.Value.Nominal()
		if s := v.sheets[i]; s != nil && !(r > 0) {
			f, _ := s.Figure("r")
			r = f.Value.Nominal()
		}
		return r / float64(max(1, p.Count)), r >= 0
	case v.is(i, catalog.Link, catalog.Fuse, catalog.Inductor):
		return 0, true
	}
	return 0, false
}

// nearestTap is the tap that net n reaches through small resistors.
func (v *view) nearestTap(n board.NetID) (int, bool) {
	if n == board.NoNet {
		return 0, false
	}
	return v.nearestIn(v.reach(n, smallResistor))
}

// supplyTap is the tap that a supply pin reaches through small resistors; also
// through a diode, which keeps a supply up while its cells sag.
func (v *view) supplyTap(n board.NetID) (int, bool) {
	if n == board.NoNet {
		return 0, false
	}
	return v.nearestIn(v.reachBy(n, smallResistor, func(part int) (float64, bool) {
		if v.is(part, catalog.Diode) {
			return 0, true
		}
		return v.ohms(part)
	}))
}

// nearestIn is the tap with the least resistance.
func (v *view) nearestIn(nets map[board.NetID]float64) (int, bool) {
	best, least := 0, math.Inf(1)
	for m, r := range nets {
		if k, ok := v.tap[m]; ok && (r < least || r == least && k < best) {
			best, least = k, r
		}
	}
	return best, !math.IsInf(least, 1)
}

func cells(n int) string {
	if n == 1 {
		return "1 cell"
	}
	return fmt.Sprintf("%d cells", n)
}
