package report

import (
	"cmp"
	"slices"

	"cupel/internal/answer"
	"cupel/internal/protection"
)

// perCell are the trials that each cell has a row of: what every slice of the
// board does, side by side.
var perCell = []protection.Trial{protection.Overcharge, protection.Overdischarge, protection.Balance}

// cellTable has a row a cell with its limits and delays.
func cellTable(rs []answer.Result) table {
	rs = where(rs, func(r answer.Result) bool {
		return r.Cell != nil && slices.Contains(perCell, protection.Trial(r.Trial)) && plainStep(r)
	})
	var columns []tableColumn
	for _, t := range perCell {
		for _, q := range shownQuantities[t] {
			columns = append(columns, tableColumn{group: t.Label(), name: short(q), takes: takes(t, q)})
		}
	}
	return tabulate("Each cell", rs, []mark{byCell, byDegC}, columns)
}

// shownQuantities are those of the table of cells; the answer has more.
var shownQuantities = map[protection.Trial][]protection.Quantity{
	protection.Overcharge:    {protection.Detect, protection.Delay, protection.ReleaseAt},
	protection.Overdischarge: {protection.Detect, protection.Delay, protection.ReleaseAt},
	protection.Balance:       {protection.Start, protection.Stop, protection.Current},
}

// plainStep reports whether a result is no step of a sweep: a release, which is
// tried in one circumstance after the other, counts as plain.
func plainStep(r answer.Result) bool {
	return r.Step == "" || r.Quantity == string(protection.ReleaseAt) || r.Quantity == string(protection.ReleaseDelay)
}

// trialTable has the figures of one trial that are of the whole board.
func trialTable(t protection.Trial, rs []answer.Result) table {
	rs = where(rs, func(r answer.Result) bool { return r.Trial == string(t) && plainStep(r) })
	return tabulate(sentenceCase(t.Label()), rs, marks(t, rs), quantityColumns(t))
}

// stepTable has the steps of one trial's sweep.
func stepTable(t protection.Trial, title string, rs []answer.Result) table {
	rs = where(rs, func(r answer.Result) bool { return r.Trial == string(t) && r.Step != "" })
	return tabulate(title, rs, append([]mark{byStep}, marks(t, rs)...), quantityColumns(t))
}

// marks are what the rows of a trial's table can differ in. Of the conditions
// those count that every result has: the others belong to one figure alone.
func marks(t protection.Trial, rs []answer.Result) []mark {
	out := []mark{byCell, byTap, byStage, byPort}
	if t == protection.SupplyCurrent || t == protection.Balance || t == protection.FirstConnection {
		out = append(out, byState)
	}
	if len(rs) == 0 {
		return out
	}
	for _, c := range rs[0].Conditions {
		everywhere := true
		for _, r := range rs {
			everywhere = everywhere && slices.ContainsFunc(r.Conditions, func(d answer.Condition) bool { return d.Name == c.Name })
		}
		if everywhere {
			out = append(out, byCondition(c.Name))
		}
	}
	return append(out, byDegC)
}

func byCondition(name string) mark {
	return mark{name, func(r answer.Result) phrase {
		for _, c := range r.Conditions {
			if c.Name == name {
				return figure(c.Value, string(c.Unit), 0)
			}
		}
		return nil
	}}
}

// quantityColumns are the quantities of a trial, first what answers its main
// question.
func quantityColumns(t protection.Trial) []tableColumn {
	qs := protection.Quantities(t)
	main := protection.Main(t)
	slices.SortStableFunc(qs, func(a, b protection.Quantity) int {
		return cmp.Compare(rank(protection.Answers(t, main, a)), rank(protection.Answers(t, main, b)))
	})
	var out []tableColumn
	for _, q := range qs {
		out = append(out, tableColumn{name: q.Label(), takes: takes(t, q)})
	}
	return out
}

func rank(first bool) int {
	if first {
		return 0
	}
	return 1
}

func takes(t protection.Trial, q protection.Quantity) func(answer.Result) bool {
	return func(r answer.Result) bool { return r.Trial == string(t) && r.Quantity == string(q) }
}

// short are the labels of a narrow column.
func short(q protection.Quantity) string { return q.Label() }

func where(rs []answer.Result, keep func(answer.Result) bool) []answer.Result {
	var out []answer.Result
	for _, r := range rs {
		if keep(r) {
			out = append(out, r)
		}
	}
	return out
}

// sentenceCase makes the first letter a capital.
func sentenceCase(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}

// wholeBoard are the trials that have a table of their own.
var wholeBoard = []protection.Trial{
	protection.FirstConnection, protection.SupplyCurrent, protection.Path, protection.DischargeOvercurrent,
	protection.ChargeOvercurrent, protection.Temperature,
}

func boardTables(rs []answer.Result) []table {
	var out []table
	for _, t := range wholeBoard {
		out = append(out, trialTable(t, rs))
	}
	return out
}

func shortTables(rs []answer.Result) []table {
	return []table{trialTable(protection.LoadShort, rs), stepTable(protection.LoadShort, "The short's sweep", rs)}
}

func releaseTables(rs []answer.Result) []table {
	return []table{trialTable(protection.Release, rs), stepTable(protection.Release, "Release matrix", rs)}
}

func shortSection(a answer.Predict) section {
	s := section{Anchor: "short", Title: "A short", Tables: views(shortTables(a.Results)...)}
	s.Notes = stimuli(a.Results, []protection.Trial{protection.LoadShort})
	return s
}

func releaseSection(a answer.Predict) section {
	return section{Anchor: "release", Title: "What lets it go again", Tables: views(releaseTables(a.Results)...)}
}
