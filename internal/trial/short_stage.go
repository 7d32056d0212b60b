package trial

import (
	"fmt"
	"math"
	"slices"

	"cupel/internal/protection"
)

// shortDelay adds the longest that the short's own stage takes: what a table
// states as the delay of a short. A current that only a slower stage cuts is no
// short to that stage; it is the dead zone, and is named beside the figure. It
// gives the resistance, for repeated runs.
func (l *logbook) shortDelay(all []short) float64 {
	own, beyond := ownStage(all)
	slowest := own[0]
	for _, sh := range own {
		if sh.timeOff() > slowest.timeOff() {
			slowest = sh
		}
	}
	r := l.off(slowest)
	r.Quantity = protection.Delay
	r.Conditions = append(r.Conditions, slowest.condition())
	if len(beyond) > 0 {
		least, most := ends(beyond)
		r.Note = join(r.Note, fmt.Sprintf("left out as a dead zone: %.3g to %.3g A, which the short's stage does not cut", least.peak, most.peak))
	}
	return slowest.ohms
}

// ownStage parts a sweep at the least current that the short's stage cuts. A
// harder short stays in, whatever became of it: a board that starved is not
// excused. If that stage never cuts, nothing is left out.
func ownStage(all []short) (own, beyond []short) {
	least := math.Inf(1)
	for _, sh := range all {
		if sh.stage == byShort {
			least = math.Min(least, sh.peak)
		}
	}
	if math.IsInf(least, 1) {
		return all, nil
	}
	below := func(sh short) bool { return sh.peak < least }
	return slices.DeleteFunc(slices.Clone(all), below), slices.DeleteFunc(slices.Clone(all), func(sh short) bool { return !below(sh) })
}
