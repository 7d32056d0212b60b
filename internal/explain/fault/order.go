package fault

import (
	"cmp"
	"slices"
)

// Sort puts the silent losses first, then the losses that show, then what is not
// safe otherwise, then what has changed, then what has no effect; inside these
// it keeps the order of the list.
func Sort(rows []Row) {
	slices.SortStableFunc(rows, func(a, b Row) int { return cmp.Compare(rank(a.Result), rank(b.Result)) })
}

func rank(r Result) int {
	switch {
	case len(r.Lost) > 0 && r.Silent():
		return 0
	case len(r.Lost) > 0:
		return 1
	case !r.Safe():
		return 2
	case !r.None():
		return 3
	}
	return 4
}
