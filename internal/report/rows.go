package report

import (
	"fmt"
	"html/template"
	"io"

	"cupel/internal/answer"
)

// Row is a claim as a row of a table.
type Row = claimRow

// Rows are claims as rows, worst first.
func Rows(cs []answer.Claim) []Row {
	var out []Row
	for _, c := range worstFirst(cs) {
		out = append(out, row(c))
	}
	return out
}

// WorstFirst sorts claims as they are read: what fails before what cannot be
// told, what cannot be told before what was not tested.
func WorstFirst(cs []answer.Claim) []answer.Claim { return worstFirst(cs) }

// Class is the class of a verdict's frame.
func Class(verdict string) string { return classes[verdict] }

// Amount prints a number of an answer with its unit, with no more digits than
// its resolution bears; resolution 0 is unknown. What is absent is empty.
func Amount(v *float64, unit string, resolution float64) template.HTML {
	return figure(v, unit, resolution).HTML()
}

// Between prints two ends of a range, or one number where both read the same.
func Between(low, high *float64, unit string) template.HTML { return ends(low, high, unit).HTML() }

// Degrees prints a temperature.
func Degrees(c *float64) template.HTML { return degC(c).HTML() }

// Stated prints stated limits.
func Stated(l answer.Limits, unit string) template.HTML {
	return limits(l.Min, l.Typ, l.Max, unit).HTML()
}

// Unknown lists what a prediction could not tell: which figures, and why.
func Unknown(a answer.Predict) []template.HTML {
	var out []template.HTML
	for _, p := range unknown(a) {
		out = append(out, p.HTML())
	}
	return out
}

// CSS is the style sheet of the page.
func CSS() string { return pageCSS }

// Body writes the page's sections without its head, for a page that has the
// style sheet and the chain already.
func Body(w io.Writer, a answer.Predict, waves []answer.Waveform) error {
	return pageTemplate.ExecuteTemplate(w, "body", page{
		Board: string(a.Board), Title: heading(a), Says: says(a), Sections: sections(a, waves),
	})
}

// Percent prints a share.
func Percent(share float64) string { return fmt.Sprintf("%.0f%s%%", 100*share, thin) }

// Limit names one limit of the current: "the junction of Q5.1 at 100 °C".
func Limit(l answer.HeatLimit) string { return limitText(l) }
