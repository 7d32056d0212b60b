package report

import (
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
)

// releaseColumns are the columns of the release matrix with what is done to
// the board after its trip.
var releaseColumns = []legend{
	{"N", "nothing attached"},
	{"L1", "the load stays, or is attached"},
	{"L0", "the load is removed"},
	{"LR", "a residual load of a megohm"},
	{"C1", "the charger stays, or is attached"},
	{"C0", "the charger is removed"},
	{"CL", "the charger is removed, then a load attached"},
	{"T", "nothing for a minute"},
}

// releaseTable is the release matrix: one row a trip and voltage the tripped
// cell is held at, one column a circumstance.
func releaseTable(rs []answer.Result) table {
	rs = where(rs, func(r answer.Result) bool {
		return takes(protection.Release, protection.ReleaseDelay)(r) && strings.HasPrefix(string(r.Step), "column ")
	})
	var columns []tableColumn
	for _, c := range releaseColumns {
		columns = append(columns, tableColumn{name: c.Word, takes: func(r answer.Result) bool {
			name, _ := circumstance(r)
			return name == c.Word
		}})
	}
	return tabulate("Release matrix", rs, []mark{byTrip, byCell, byHeld, byDegC}, columns)
}

// circumstance takes a step apart: "column L0, (b) cell past release".
func circumstance(r answer.Result) (column, held string) {
	column, held, _ = strings.Cut(strings.TrimPrefix(string(r.Step), "column "), ", ")
	return column, held
}

var (
	byTrip = mark{"after", func(r answer.Result) phrase {
		return say(strings.TrimPrefix(strings.ReplaceAll(string(r.State), "-", " "), "after "))
	}}
	byHeld = mark{"held at", func(r answer.Result) phrase {
		_, held := circumstance(r)
		return say(held)
	}}
)
