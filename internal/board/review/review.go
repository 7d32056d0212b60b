// Package review holds the structural rules: what can be said against a board
// before anything is computed. Each finding has a code that never changes its
// meaning; see the constants for an example of each.
//
// An error says that no figure computed from the board could be right: a part
// backwards, nets exchanged, a pin that floats. A warning says that the board, if
// it is so, is not a good one, or that something was probably missed.
//
// What a text alone shows (a net with a single pin, a cell that reaches no
// pad) package boardfile reports already.
package review

import (
	"fmt"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
)

// Lookup returns the part sheet of a name.
type Lookup func(name string) (*catalog.Sheet, bool)

// Check holds b against every rule. The list is in the order of the text.
func Check(b *board.Board, sheets Lookup) finding.List {
	v := newView(b, sheets)
	if len(b.Parts) == 0 {
		v.report(NoParts, finding.Note, b.Place, "add the parts, one a line", "the board has no parts yet")
		return v.list
	}
	for _, rule := range rules {
		rule(v)
	}
	v.list.Sort()
	return v.list
}

// rules are all rules; each reports what breaks it.
var rules = []func(*view){
	shortedParts, joinedTaps,
	watchers,
	paths, banks, orientation, crossedOutputs,
	floatingControls, floatingGates, astraySense, blindBoard,
	backwardDiodes, idleDiodes,
	counts,
}

// view is the board as the rules look at it.
type view struct {
	*board.Board
	sheets []*catalog.Sheet // of each part; nil for bare parts and unknown sheets
	tap    map[board.NetID]int
	list   finding.List
}

func newView(b *board.Board, sheets Lookup) *view {
	v := &view{Board: b, sheets: make([]*catalog.Sheet, len(b.Parts)), tap: map[board.NetID]int{}}
	for i := range b.Parts {
		if s, ok := sheets(b.Parts[i].Sheet); ok {
			v.sheets[i] = s
		}
	}
	for k := b.Cells; k >= 0; k-- {
		if n := b.Tap(k); n != board.NoNet {
			v.tap[n] = k
		}
	}
	return v
}

func (v *view) report(code string, level finding.Level, at finding.Place, do, format string, args ...any) {
	v.list.Add(finding.Finding{Code: code, Level: level, Place: at, Text: fmt.Sprintf(format, args...), Do: do})
}

// is reports whether part i is of one of the kinds, by its sheet or bare.
func (v *view) is(i int, kinds ...catalog.Kind) bool {
	k := catalog.Kind(v.Parts[i].Kind)
	if s := v.sheets[i]; s != nil {
		k = s.Kind
	}
	for _, want := range kinds {
		if k == want && k != "" {
			return true
		}
	}
	return false
}

// net is the name of a net for a message.
func (v *view) net(n board.NetID) string {
	if n == board.NoNet {
		return "none"
	}
	return v.Nets[n].Name
}

func tapName(k, cells int) string {
	switch k {
	case 0:
		return "B-"
	case cells:
		return "B+"
	}
	return fmt.Sprintf("T%d", k)
}
