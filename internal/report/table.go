package report

import (
	"math"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
)

// table is a table before it is text or a page: rows of results, told apart by
// a few marks (cell, stage, conditions), with one column a quantity.
type table struct {
	title string
	note  phrase // what holds for all rows
	heads []head
	rows  [][]phrase
}

// head is the head of one column.
type head struct {
	group, name string
	unit        string // with its prefix; empty where every entry has its own
	mark        bool   // names the row
	words       bool   // no entry is a number
}

// mark tells rows apart.
type mark struct {
	name string
	of   func(answer.Result) phrase
}

// column takes the results of one quantity.
type tableColumn struct {
	group, name string
	takes       func(answer.Result) bool
}

// tabulate puts results into a table: one row for each combination of marks in
// the order they come, one column for each that takes any result.
func tabulate(title string, rs []answer.Result, marks []mark, columns []tableColumn) table {
	t := table{title: title}
	if len(rs) == 0 {
		return t
	}
	marks, t.note = differing(rs, marks)
	var keys []string
	byKey := map[string][]answer.Result{}
	for _, r := range rs {
		k := key(r, marks)
		if byKey[k] == nil {
			keys = append(keys, k)
		}
		byKey[k] = append(byKey[k], r)
	}
	for _, m := range marks {
		t.heads = append(t.heads, head{name: m.name, mark: true})
	}
	for _, k := range keys {
		row := make([]phrase, 0, len(marks)+len(columns))
		for _, m := range marks {
			row = append(row, m.of(byKey[k][0]))
		}
		t.rows = append(t.rows, row)
	}
	for _, c := range columns {
		found := make([]*answer.Result, len(keys))
		for i, k := range keys {
			found[i] = best(byKey[k], c.takes)
		}
		if slices.ContainsFunc(found, telling) {
			t.add(c, found)
		}
	}
	if len(t.heads) == len(marks) {
		t.rows = nil // nothing but marks: what is missing stands under "still unknown"
	}
	return t
}

// telling reports whether a result says something of the board, and not only
// that there is nothing to say.
func telling(r *answer.Result) bool {
	return r != nil && r.Outcome != string(protection.NotApplicable) && r.Outcome != string(protection.NotComputed)
}

func key(r answer.Result, marks []mark) string {
	var parts []string
	for _, m := range marks {
		parts = append(parts, m.of(r).String())
	}
	return strings.Join(parts, "\x00")
}

// differing keeps the marks that differ between rows; what is the same
// everywhere goes into a note.
func differing(rs []answer.Result, marks []mark) (kept []mark, note phrase) {
	for _, m := range marks {
		seen := map[string]bool{}
		for _, r := range rs {
			seen[m.of(r).String()] = true
		}
		if len(seen) > 1 {
			kept = append(kept, m)
			continue
		}
		if one := m.of(rs[0]); len(one) > 0 && one.String() != "idle" {
			note = list("; ", note, join(say(m.name+" "), one))
		}
	}
	return kept, note
}

// best is the result a place shows: the first with a value or a word, else the
// first of all.
func best(rs []answer.Result, takes func(answer.Result) bool) *answer.Result {
	var first *answer.Result
	for i := range rs {
		if !takes(rs[i]) {
			continue
		}
		if rs[i].Outcome == string(protection.Found) {
			return &rs[i]
		}
		if first == nil {
			first = &rs[i]
		}
	}
	return first
}

// spread is the largest ratio of values that a column shows in one unit.
const spreadOfUnit = 500

// add adds a column. Values of one size share unit and decimals in the head;
// others carry their own.
func (t *table) add(c tableColumn, found []*answer.Result) {
	h := head{group: c.group, name: c.name}
	f, unit, shared := common(found)
	if shared {
		h.unit = unit
	}
	h.words = !slices.ContainsFunc(found, func(r *answer.Result) bool { return r != nil && r.Value != nil && r.Word == "" })
	t.heads = append(t.heads, h)
	d := commonDecimals(found, f)
	for i, r := range found {
		t.rows[i] = append(t.rows[i], place(r, shared, f, d))
	}
}

// common is the factor and unit that all values of a column can share.
func common(found []*answer.Result) (factor float64, unit string, ok bool) {
	low, high := math.Inf(1), 0.0
	for _, r := range found {
		if r == nil || r.Value == nil || below(r) {
			continue
		}
		unit = string(r.Unit)
		if v := math.Abs(*r.Value); v > 0 {
			low, high = min(low, v), max(high, v)
		}
	}
	if unit == "" || high > 0 && high/low > spreadOfUnit {
		return 1, "", false
	}
	factor, p := prefix(high, unit)
	return factor, p + symbol(unit), true
}

// commonDecimals is what the column's largest value bears, or what its
// smallest needs to show two digits.
func commonDecimals(found []*answer.Result, factor float64) int {
	d, largest := 0, 0.0
	for _, r := range found {
		if r == nil || r.Value == nil || below(r) {
			continue
		}
		v := shown(*r.Value, string(r.Unit)) / factor
		if math.Abs(v) >= largest {
			largest = math.Abs(v)
			text := bare(*r.Value, string(r.Unit), factor, resolution(r))
			_, after, _ := strings.Cut(text, ".")
			d = len(after)
		}
	}
	for _, r := range found {
		if r != nil && r.Value != nil && resolution(r) == 0 {
			d = max(d, significant(shown(*r.Value, string(r.Unit))/factor, 2))
		}
	}
	return min(d, 4)
}

func resolution(r *answer.Result) float64 {
	if r.Resolution == nil {
		return 0
	}
	return *r.Resolution
}

// below reports whether a value is less than what can be told: no figure then.
// A temperature near 0 °C is none of these.
func below(r *answer.Result) bool {
	return r.Value != nil && r.Unit != "K" && math.Abs(*r.Value) < resolution(r)
}

// place is what a column shows of one result.
func place(r *answer.Result, shared bool, factor float64, decimals int) phrase {
	switch {
	case r == nil:
		return nil
	case r.Value == nil:
		return say(ending(*r))
	case below(r):
		return join(say("< "), stated(r.Resolution, string(r.Unit)))
	case r.Word != "":
		return list(" ", say(string(r.Word)), figure(r.Value, string(r.Unit), resolution(r)))
	case shared:
		return phrase{{fixed(shown(*r.Value, string(r.Unit))/factor, decimals), r.Value}}
	}
	return figure(r.Value, string(r.Unit), resolution(r))
}

// ending is what stands where there is no number.
func ending(r answer.Result) string {
	if r.Word != "" {
		return string(r.Word)
	}
	return r.Outcome
}

// The marks rows are told apart by.
var (
	byCell  = mark{"cell", func(r answer.Result) phrase { return whole(r.Cell) }}
	byTap   = mark{"tap", func(r answer.Result) phrase { return whole(r.Tap) }}
	byStage = mark{"stage", func(r answer.Result) phrase { return say(string(r.Stage)) }}
	byPort  = mark{"direction", func(r answer.Result) phrase { return say(string(r.Port)) }}
	byDegC  = mark{"board at", func(r answer.Result) phrase { return degC(r.Temperature) }}
)

func whole(n *int) phrase {
	if n == nil {
		return nil
	}
	return count(*n)
}

// degC is a temperature that the answer gives in °C.
func degC(t *float64) phrase {
	if t == nil {
		return nil
	}
	return phrase{{fixed(*t, needed(*t)) + thin + "°C", t}}
}
