package study

import (
	"slices"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/protection"
)

// Part is a prediction of one trial alone.
type Part struct {
	Trial protection.Trial
	Prediction
}

// Join puts predictions of single trials of one dossier together to the one
// that a single run would have given: so a face can show what is there by now.
// What no part tried is not tested.
func Join(parts []Part) Prediction {
	if len(parts) == 0 {
		return Prediction{}
	}
	parts = slices.Clone(parts)
	slices.SortStableFunc(parts, func(a, b Part) int { return order(string(a.Trial)) - order(string(b.Trial)) })
	p := Prediction{Answer: parts[0].Answer}
	a := &p.Answer
	a.Results, a.Claims, a.Figures, a.Cautions, a.Assumed, a.Findings = nil, slices.Clone(a.Claims), nil, nil, nil, nil
	for _, x := range parts {
		a.Complete = a.Complete && x.Answer.Complete
		a.Results = append(a.Results, x.Answer.Results...)
		a.Figures = append(a.Figures, x.Answer.Figures...)
		p.Waveforms = append(p.Waveforms, x.Waveforms...)
		unique(&a.Cautions, x.Answer.Cautions...)
		unique(&a.Assumed, x.Answer.Assumed...)
		for _, f := range x.Answer.Findings {
			if !slices.ContainsFunc(a.Findings, func(have answer.Finding) bool { return have.Text == f.Text }) {
				a.Findings = append(a.Findings, f)
			}
		}
		for i, c := range x.Answer.Claims {
			if c.Trial == string(x.Trial) {
				a.Claims[i] = c
			}
		}
	}
	sortResults(a.Results)
	a.Summary = summary(a.Claims, a.Results)
	return p
}

// Skeleton is the answer of a dossier of which nothing was tried: every stated
// figure, not tested.
func Skeleton(d *dossier.Dossier) answer.Predict {
	a := head(d, nil)
	a.Claims = judge(d.Claims.Claims, nil)
	a.Summary = summary(a.Claims, nil)
	return a
}
