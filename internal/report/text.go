// Package report prints answers for people: as text tables for a terminal and
// as one page for a browser and for paper. It computes nothing: every number it
// shows is one of the answer's, rounded to what its resolution bears.
package report

import (
	"strings"

	"cupel/internal/answer"
)

// Text prints a prediction as text, at most 100 letters wide: the verdicts,
// what every cell does, what the board does, the release matrix, the short, and
// what is assumed.
func Text(a answer.Predict) string {
	var b strings.Builder
	b.WriteString(strings.Join(wrap(string(a.Board)+": "+Sentence(a.Summary), wide), "\n") + "\n")
	for _, section := range []string{
		claimText(a.Claims), tableText(a.Results), listText("Still unknown", unknown(a)), Findings(a.Findings),
		listText("Assumed", texts(a.Assumed)),
	} {
		if section != "" {
			b.WriteString("\n" + section)
		}
	}
	// Inside, a thin space keeps a number with its unit; a terminal and those
	// who search its text are better served by a plain one.
	return strings.ReplaceAll(b.String(), thin, " ")
}

// claimText is the table of stated figures, worst first, each that does not
// hold with its reason under it.
func claimText(cs []answer.Claim) string {
	if len(cs) == 0 {
		return ""
	}
	g := grid{columns: []column{
		{head: "figure", width: 28}, {head: "cell"}, {head: "stated", width: 21}, {head: "predicted", width: 17},
		{head: "verdict"}, {head: "margin", right: true},
	}}
	for _, c := range worstFirst(cs) {
		g.row(c.Name, cells(c.Predicted).String(), statedPhrase(c).String(), predicted(c).String(),
			strings.ToUpper(c.Verdict), margin(c).String())
		if reasoned(c) {
			g.under(string(c.Because))
		}
	}
	return g.String()
}

// tableText prints all tables.
func tableText(rs []answer.Result) string {
	tables := append([]table{cellTable(rs)}, boardTables(rs)...)
	tables = append(tables, shortTables(rs)...)
	tables = append(tables, releaseTables(rs)...)
	var parts []string
	for _, t := range tables {
		if s := t.String(); s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, "\n")
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
