package report

import (
	"fmt"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/finding"
)

// Findings prints findings as text: place, level and text, the line with a
// caret under the place, what to do, the suggestion.
func Findings(fs []answer.Finding) string {
	var b strings.Builder
	_ = finding.Print(&b, asFindings(fs)) // a builder takes everything
	return b.String()
}

// Check prints the answer of a check.
func Check(a answer.Check) string {
	l := asFindings(a.Findings)
	s := fmt.Sprintf("%s: %s\n", a.Board, l.Summary())
	if len(l) > 0 {
		s = Findings(a.Findings) + "\n" + s
	}
	return s
}

func asFindings(fs []answer.Finding) finding.List {
	var l finding.List
	for _, a := range fs {
		f := finding.Finding{
			Code: string(a.Code), Level: level(a.Level), Text: a.Text, Do: string(a.Do), Arithmetic: string(a.Arithmetic),
			Suggestion: string(a.Suggestion), Source: string(a.Source), Place: finding.Place{File: string(a.File)},
		}
		if a.Line != nil {
			f.Place.Line = *a.Line
		}
		if a.Column != nil {
			f.Place.Column = *a.Column
		}
		for _, g := range a.Figures {
			if g.Value != nil {
				f.Figures = append(f.Figures, finding.Figure{Name: g.Name, Value: *g.Value, Unit: string(g.Unit)})
			}
		}
		l.Add(f)
	}
	return l
}

func level(word string) finding.Level {
	for l := finding.Note; l < finding.Error; l++ {
		if l.String() == word {
			return l
		}
	}
	return finding.Error
}
