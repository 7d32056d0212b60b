package review

import (
	"maps"

	"cupel/internal/board"
	"cupel/internal/finding"
)

// watching are the rules that hold parts against the taps they watch.
var watching = []func(*view){supplies, senseInputs, unwatchedCells}

// watchers runs the rules of watching. Where they find several errors that
// would all be gone with two pads exchanged, those two are named, and not the
// parts that stand right: this is the rule of [PadsCrossed].
func watchers(v *view) {
	found := v.watch(v.tap)
	if errors(found) > 1 {
		for k := range v.Cells + 1 {
			for j := range k {
				if tap := v.exchanged(j, k); tap != nil && len(v.watch(tap)) == 0 {
					v.report(PadsCrossed, finding.Error, v.padPlace(k), "exchange their nets",
						"%s and %s are exchanged: with %s on net %s and %s on net %s every protector watches its own cell",
						tapName(j, v.Cells), tapName(k, v.Cells), tapName(j, v.Cells), v.net(v.Tap(k)), tapName(k, v.Cells), v.net(v.Tap(j)))
					return
				}
			}
		}
	}
	v.list = append(v.list, found...)
}

// watch is what the rules of watching find with nets on these taps.
func (v *view) watch(tap map[board.NetID]int) finding.List {
	w := *v
	w.tap, w.list = tap, nil
	for _, rule := range watching {
		rule(&w)
	}
	return w.list
}

// exchanged are the taps of nets with two exchanged; nil where they cannot be.
func (v *view) exchanged(j, k int) map[board.NetID]int {
	a, b := v.Tap(j), v.Tap(k)
	if a == board.NoNet || b == board.NoNet || a == b {
		return nil
	}
	tap := maps.Clone(v.tap)
	tap[a], tap[b] = k, j
	return tap
}

// errors counts the errors of a list.
func errors(l finding.List) int {
	n := 0
	for _, f := range l {
		if f.Level == finding.Error {
			n++
		}
	}
	return n
}
