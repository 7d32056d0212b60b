// Package study turns a dossier into an answer, one file a question. It keeps
// no state, touches nothing of the world and starts no goroutine: what wants
// many runs is given a runner.
package study

import (
	"context"

	"cupel/internal/answer"
	"cupel/internal/finding"
)

// zeroCelsius is 0 °C in K.
const zeroCelsius = 273.15

// Runner runs jobs 0 to n−1 and gives their errors in order. It must turn a
// crash of a job into that job's error and, when ctx ends, begin no other.
type Runner func(ctx context.Context, n int, do func(context.Context, int) error) []error

// Findings publishes findings.
func Findings(l finding.List) []answer.Finding {
	out := make([]answer.Finding, 0, len(l))
	for _, f := range l {
		out = append(out, publish(f))
	}
	return out
}

func publish(f finding.Finding) answer.Finding {
	a := answer.Finding{
		Code: answer.Text(f.Code), Level: f.Level.String(), File: answer.Text(f.Place.File), Text: f.Text,
		Arithmetic: answer.Text(f.Arithmetic), Do: answer.Text(f.Do),
		Suggestion: answer.Text(f.Suggestion), Source: answer.Text(f.Source),
	}
	if f.Place.Line > 0 {
		a.Line = answer.Whole(f.Place.Line)
	}
	if f.Place.Column > 0 {
		a.Column = answer.Whole(f.Place.Column)
	}
	for _, g := range f.Figures {
		a.Figures = append(a.Figures, answer.NamedFigure{Name: g.Name, Value: number(g.Value), Unit: answer.Text(g.Unit)})
	}
	return a
}
