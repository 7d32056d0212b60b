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
	return tabulate(sentenceCase(t.Label()), rs, marks(rs), quantityColumns(t))
}

// firstTable says in which state a board ends that is joined tap by tap; what
// each pin stands on the way is in the answer.
func firstTable(rs []answer.Result) table {
	const t = protection.FirstConnection
	rs = where(rs, func(r answer.Result) bool {
		return r.Trial == string(t) && (r.Step == "" || r.Quantity == string(protection.StateAfter))
	})
	return tabulate(sentenceCase(t.Label()), rs, marks(rs), quantityColumns(t))
}

// drainTable has a row a cell or a tap and a column a state of the board.
func drainTable(title string, q protection.Quantity, by mark, rs []answer.Result) table {
	rs = where(rs, func(r answer.Result) bool { return takes(protection.SupplyCurrent, q)(r) })
	var columns []tableColumn
	seen := map[answer.Text]bool{}
	for _, r := range rs {
		k := r.State + "\x00" + r.Step
		if !seen[k] {
			seen[k] = true
			columns = append(columns, tableColumn{group: string(r.State), name: string(r.Step), takes: func(o answer.Result) bool {
				return o.State == r.State && o.Step == r.Step
			}})
		}
	}
	slices.SortStableFunc(columns, func(a, b tableColumn) int {
		return cmp.Compare(rank(a.group == "idle"), rank(b.group == "idle"))
	})
	return tabulate(title, rs, []mark{by, byDegC}, columns)
}

// pathTable has a row a circumstance; what is of one bank stands in a column of
// that bank.
func pathTable(rs []answer.Result) table {
	const t = protection.Path
	rs = where(rs, func(r answer.Result) bool { return r.Trial == string(t) })
	columns := []tableColumn{{name: "whole path", takes: takes(t, protection.Resistance)}}
	for _, q := range []protection.Quantity{protection.BankResistance, protection.GateVoltage} {
		for _, bank := range []answer.Text{"discharge", "charge"} {
			columns = append(columns, tableColumn{group: q.Label(), name: string(bank), takes: func(r answer.Result) bool {
				return takes(t, q)(r) && r.Stage == bank
			}})
		}
	}
	return tabulate("Path", rs, append([]mark{byPort}, conditionMarks(rs)...), columns)
}

// sweepTable has the steps of the short's sweep.
func sweepTable(rs []answer.Result) table {
	const t = protection.LoadShort
	rs = where(rs, func(r answer.Result) bool { return r.Trial == string(t) && r.Step != "" })
	return tabulate("The sweep", rs, conditionMarks(rs), quantityColumns(t))
}

// worstTable has the worst of a short's sweep; a figure of one bank stands in a
// column of that bank.
func worstTable(rs []answer.Result) table {
	const t = protection.LoadShort
	rs = where(rs, func(r answer.Result) bool { return r.Trial == string(t) && r.Step == "" })
	var columns []tableColumn
	for _, c := range quantityColumns(t) {
		columns = append(columns, byBank(c, rs)...)
	}
	return tabulate("The worst of the sweep", rs, conditionMarks(rs), columns)
}

// byBank splits a column into one a bank where it has figures of both.
func byBank(c tableColumn, rs []answer.Result) []tableColumn {
	var out []tableColumn
	for _, port := range []answer.Text{"discharge", "charge"} {
		of := func(r answer.Result) bool { return c.takes(r) && r.Port == port }
		if slices.ContainsFunc(rs, of) {
			out = append(out, tableColumn{group: c.name, name: string(port) + " bank", takes: of})
		}
	}
	if len(out) < 2 {
		return []tableColumn{c}
	}
	return out
}

// marks are what the rows of a trial's table can differ in.
func marks(rs []answer.Result) []mark {
	return append([]mark{byCell, byTap, byStage, byPort}, conditionMarks(rs)...)
}

// conditionMarks are the conditions that every result has, and the board's
// temperature; other conditions belong to one figure alone.
func conditionMarks(rs []answer.Result) []mark {
	var out []mark
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

// wholeBoard are the trials of the section on the board as a whole.
var wholeBoard = []protection.Trial{
	protection.DischargeOvercurrent, protection.ChargeOvercurrent, protection.Path, protection.SupplyCurrent,
	protection.Temperature, protection.FirstConnection,
}

func boardTables(rs []answer.Result) []table {
	return []table{
		trialTable(protection.DischargeOvercurrent, rs), trialTable(protection.ChargeOvercurrent, rs), pathTable(rs),
		drainTable("What each cell gives", protection.CellCurrent, byCell, rs),
		drainTable("What each tap's lead carries, positive into the board", protection.TapCurrent, byTap, rs),
		trialTable(protection.Temperature, rs), firstTable(rs),
	}
}

func shortTables(rs []answer.Result) []table { return []table{worstTable(rs), sweepTable(rs)} }

func shortSection(a answer.Predict) section {
	s := section{Anchor: "short", Title: "A short", Tables: views(shortTables(a.Results)...)}
	s.Figures = sweepFigures(a.Results)
	s.Notes = stimuli(a.Results, []protection.Trial{protection.LoadShort})
	return s
}
