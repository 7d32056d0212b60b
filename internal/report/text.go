// Package report prints answers for people: as text tables for a terminal and
// as one page for a browser and for paper. It computes nothing: every number it
// shows is one of the answer's, rounded to what its resolution bears.
package report

import (
	"fmt"
	"strings"

	"cupel/internal/answer"
)

// Text prints a prediction as text, at most 100 letters wide: the verdicts,
// what every cell does, what the board does, the release matrix, the short, and
// what is assumed.
func Text(a answer.Predict) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n", a.Board, Sentence(a.Summary))
	for _, section := range []string{
		claimText(a.Claims), findingText(a), assumedText(a),
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
		{head: "figure", width: 28}, {head: "cell"}, {head: "stated", width: 22}, {head: "predicted", width: 17},
		{head: "verdict"}, {head: "margin", right: true},
	}}
	for _, c := range worstFirst(cs) {
		g.row(c.Name, cells(c.Predicted), statedText(c), predicted(c), strings.ToUpper(c.Verdict), margin(c))
		if c.Verdict != "meets" && c.Because != "" {
			g.under(string(c.Because))
		}
	}
	return g.String()
}

// findingText lists what could not be computed.
func findingText(a answer.Predict) string {
	if len(a.Findings) == 0 {
		return ""
	}
	return Findings(a.Findings)
}

// assumedText lists what nobody stated.
func assumedText(a answer.Predict) string {
	if len(a.Assumed) == 0 {
		return ""
	}
	var b strings.Builder
	b.WriteString("Assumed\n")
	for _, s := range a.Assumed {
		b.WriteString(paragraph("  ", s))
	}
	return b.String()
}
