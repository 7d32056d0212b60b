// Package report prints answers for people: as text tables for a terminal and
// as one page for a browser and for paper. It computes nothing: every number it
// shows is one of the answer's, rounded to what its resolution bears.
package report

import (
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
)

// Text prints a prediction as text, at most 100 letters wide: the verdicts,
// what every cell does, what the board does, the short, the release matrix,
// and what is unknown or assumed.
func Text(a answer.Predict) string {
	rs := a.Results
	tables := append([]table{cellTable(rs)}, boardTables(asSold(rs))...)
	tables = append(tables, worstTable(rs), sweepTable(halfFull(rs)), releaseTable(rs))
	return plain(
		sentenceText(a), claimText(a.Claims), rangesText(a), tableText(tables), listText("Still unknown", unknown(a)),
		Findings(a.Findings), listText("Assumed", texts(a.Assumed)),
	)
}

// Summary prints the verdicts, what every cell does, and the currents the
// board acts at: as much as fits on a page.
func Summary(a answer.Predict) string {
	tables := []table{cellTable(a.Results), trialTable(protection.DischargeOvercurrent, a.Results), worstTable(a.Results)}
	return plain(sentenceText(a), claimText(a.Claims), rangesText(a), tableText(tables), Findings(a.Findings))
}

func sentenceText(a answer.Predict) string {
	s := strings.Join(wrap(string(a.Board)+": "+says(a), wide), "\n") + "\n"
	switch {
	case len(a.Claims) == 0 || cornered(a.Results):
	case a.Samples == 0:
		s += "Typical parts only, no tolerances; 25 °C unless said otherwise.\n"
	default:
		s += "Judged by typical parts; 25 °C unless said otherwise.\n"
	}
	return s
}

// plain puts sections under each other. Inside, a thin space keeps a number
// with its unit; a terminal and those who search its text are better served by
// a plain one.
func plain(sections ...string) string {
	var full []string
	for _, s := range sections {
		if s != "" {
			full = append(full, s)
		}
	}
	return strings.ReplaceAll(strings.Join(full, "\n"), thin, " ")
}

// asSold drops what a board takes with a load or charger still attached after
// a trip: it stands on the page, and fills a terminal.
func asSold(rs []answer.Result) []answer.Result {
	return where(rs, func(r answer.Result) bool {
		return r.Trial != string(protection.SupplyCurrent) || r.State == "idle" || r.Step == "load off"
	})
}

// claimText is the table of stated figures, worst first, each that does not
// hold with its reason under it.
func claimText(cs []answer.Claim) string {
	if len(cs) == 0 {
		return ""
	}
	g := grid{columns: []column{
		{head: "figure", width: 28},
		{head: "cell"},
		{head: "stated", width: 21},
		{head: "predicted", width: 17},
		{head: "verdict"},
		{head: "margin", right: true},
	}}
	for _, c := range worstFirst(cs) {
		g.row(claimName(c).String(), cells(c.Predicted).String(), statedPhrase(c).String(), predicted(c).String(),
			strings.ToUpper(c.Verdict), margin(c).String())
		if reasoned(c) {
			g.under(because(c))
		}
	}
	return g.String()
}

// tableText prints tables under each other.
func tableText(tables []table) string {
	var parts []string
	for _, t := range tables {
		if s := t.String(); s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, "\n")
}

// halfFull keeps of a sweep that is repeated at several cell voltages the first.
func halfFull(rs []answer.Result) []answer.Result {
	var first phrase
	at := byCondition("cell voltage").of
	return where(rs, func(r answer.Result) bool {
		if r.Trial != string(protection.LoadShort) || r.Step == "" {
			return false
		}
		if first == nil {
			first = at(r)
		}
		return at(r).String() == first.String()
	})
}

// listText prints a list under its title.
func listText(title string, items []phrase) string {
	if len(items) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString(title + "\n")
	for _, p := range items {
		b.WriteString(paragraph("  ", p.String()))
	}
	return b.String()
}
