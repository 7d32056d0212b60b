package report

import (
	"fmt"
	"strings"

	"cupel/internal/answer"
)

// Marking prints what marks may mean, a block a mark.
func Marking(a answer.Marking) string {
	var blocks []string
	for _, c := range a.Codes {
		blocks = append(blocks, markText(c))
	}
	return plain(blocks...)
}

func markText(c answer.MarkedCode) string {
	g := grid{columns: []column{{head: c.Code, right: true}, {head: "as"}, {head: "series"}}}
	measured := c.Measured != nil
	if measured {
		g.columns = append(g.columns, column{head: "measured " + figure(c.Measured, string(c.MeasuredUnit), 0).String()})
	}
	for _, r := range c.Readings {
		series := string(r.Series)
		if series == "" && *r.Value != 0 {
			series = "none"
		}
		row := []string{r.Text, r.System, series}
		if measured {
			row = append(row, fitText(r))
		}
		g.row(row...)
		if r.Note != "" {
			g.under(string(r.Note))
		}
	}
	s := g.String()
	switch {
	case c.Settled != "":
		s += paragraph("", sentenceCase(string(c.Settled))+".")
	case c.DecideBy != "":
		s += paragraph("", "What decides: "+string(c.DecideBy)+".")
	}
	return s
}

func fitText(r answer.MarkReading) string {
	switch {
	case r.Agrees == nil:
		return "another kind of value"
	case r.Deviation == nil && *r.Agrees:
		return "agrees"
	case r.Deviation == nil:
		return "differs"
	case *r.Agrees:
		return "agrees, " + percent(*r.Deviation)
	}
	return "differs, " + percent(*r.Deviation)
}

// percent prints a deviation; beyond tenfold a factor says more.
func percent(p float64) string {
	if p > 1000 {
		return fmt.Sprintf("%.3g times as much", p/100+1)
	}
	return strings.Replace(fmt.Sprintf("%+.1f %%", p), "-", "−", 1)
}
