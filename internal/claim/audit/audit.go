// Package audit tells whether the figures stated of a board can be true
// together. It reads the stated figures alone: no circuit, no part sheet, no
// measurement.
//
// Every rule is arithmetic that a reader can follow: a finding has a code that
// never changes its meaning, the figures that cannot both be true, the sum with
// the figures as their writer wrote them, and what to ask or to measure.
//
// # Levels
//
// An error is two figures of which one must be wrong on a typical board. A
// warning is a pair that only meets at its corners, or an estimate. A note is
// what is missing, or what only common practice speaks against.
//
// # What the rules rest on
//
// Physics (Ohm's law, charge, power) needs no source. The bands of usual
// thresholds, spreads and ratios are common practice, no source; the limits
// that the maker of the cells sets stand above them wherever they are given.
package audit

import (
	"fmt"
	"slices"
	"strings"

	"cupel/internal/claim"
	"cupel/internal/finding"
)

// Facts are what is known of the board from elsewhere. Zero is not known.
type Facts struct {
	Cells int // in series
}

// Check says what speaks against the figures of a sheet, in the order of its
// text. A table of which all can be true, with nothing missing, gives nothing.
func Check(s *claim.Sheet, facts Facts) finding.List {
	var list finding.List
	t := &table{sheet: s, facts: facts, list: &list}
	if len(s.Claims) == 0 {
		list.Add(finding.Finding{
			Code: NothingStated, Level: finding.Note, Place: s.Place,
			Text: "no figure is stated of this board", Do: "write what its print or its table states into claims.yaml",
		})
		return list
	}
	for _, rule := range rules {
		rule(t)
	}
	list.Sort()
	return list
}

// rules lists the rules in the order of their codes.
var rules = []func(*table){
	order, spread, tripBySense, spreadsOfTrip, loosePath, heat,
	chargerAboveOvercharge, chargerAgainstFull, balanceAboveOvercharge, releases,
	balanceOutOfReach, tripAgainstContinuous, bleedCurrent, bleedPower, storage,
	cellLowest, cellHighest, delays, chemistry, magnitude, tripAboveCells,
	tripsBelowRating, stages, cellCount,
	rowsMissing, releaseMissing, temperatureMissing, limitsMissing, samplesMissing, cellLimitsMissing,
}

// report is a finding in the making.
type report struct {
	code  string
	level finding.Level
	at    figure
	text  string
	do    string
	right string // the text that would be right there
	// by are the numbers that cannot all be true; what they follow from is
	// printed before the sum.
	by  []number
	sum []string
}

// add finishes a report.
func (t *table) add(r report) {
	f := finding.Finding{
		Code: r.code, Level: r.level, Place: r.at.place, Text: r.text, Do: r.do, Suggestion: r.right,
	}
	var lines []string
	for _, n := range r.by {
		f.Figures = append(f.Figures, finding.Figure{Name: n.name, Value: n.v, Unit: unitOf(n)})
		if n.from != "" && !slices.Contains(lines, n.from) {
			lines = append(lines, n.from)
		}
	}
	f.Arithmetic = strings.Join(append(lines, r.sum...), "; ")
	t.list.Add(f)
}

// unitOf is the SI symbol of a number, empty for a plain one.
func unitOf(n number) string {
	if u := n.dim.Unit(); u != "1" {
		return u
	}
	return ""
}

// severity is an error where a typical board is concerned, else a warning.
func severity(typical bool) finding.Level {
	if typical {
		return finding.Error
	}
	return finding.Warning
}

func sprintf(format string, args ...any) string { return fmt.Sprintf(format, args...) }
