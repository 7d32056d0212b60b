package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/claim"
	"cupel/internal/protection"
	"cupel/internal/quantity"
	"cupel/internal/trial"
)

// judge judges every claim by what was predicted.
func judge(claims []claim.Claim, ps []claim.Prediction) []answer.Claim {
	out := make([]answer.Claim, 0, len(claims))
	for _, c := range claims {
		out = append(out, judgement(claim.Judge(c, ps)))
	}
	slices.SortStableFunc(out, func(a, b answer.Claim) int {
		return cmp.Or(
			cmp.Compare(whole(a.Cell), whole(b.Cell)),
			cmp.Compare(order(a.Trial), order(b.Trial)),
			cmp.Compare(a.Name, b.Name),
		)
	})
	return out
}

// judgement publishes the verdict on one claim.
func judgement(j claim.Judgement) answer.Claim {
	a := answer.Claim{
		Name:        j.Claim.Name(),
		Stated:      stated(j.Claim),
		Unit:        answer.Text(j.Unit),
		Temperature: celsius(j.Temperature),
		Rule:        answer.Text(j.Rule),
		Verdict:     string(j.Verdict),
		Margin:      number(j.Margin),
		Trial:       string(j.Claim.Protection),
		Quantity:    string(j.Claim.Quantity),
		Kind:        answer.Text(j.Claim.Kind),
		Text:        answer.Text(written(j.Claim)),
		Outcome:     answer.Text(j.Outcome),
		Because:     answer.Text(j.Reason),
		Note:        answer.Text(j.Claim.Note),
		Predicted:   answer.Predicted{Low: number(j.Low), Typ: number(j.Typ), High: number(j.High)},
	}
	if j.Claim.Cell > 0 {
		a.Cell = answer.Whole(j.Claim.Cell)
	}
	if j.LowCell > 0 {
		a.Predicted.LowCell = answer.Whole(j.LowCell)
	}
	if j.HighCell > 0 {
		a.Predicted.HighCell = answer.Whole(j.HighCell)
	}
	if j.Claim.Place.File != "" {
		a.Place = answer.Text(j.Claim.Place.String())
	}
	return a
}

func stated(c claim.Claim) answer.Limits {
	if c.None {
		return answer.Limits{}
	}
	q := c.Value
	l := answer.Limits{Min: number(q.Min), Typ: number(q.Typ), Max: number(q.Max)}
	if q.Min == q.Max { // a bare figure states no limits
		l.Min, l.Max = nil, nil
		l.Typ = number(q.Nominal())
	}
	return l
}

func written(c claim.Claim) string {
	if c.None {
		return "none"
	}
	return c.Value.Text
}

// predictions are the results of one run that claims can be judged by. Of a
// release, which is tried under one circumstance after the other, that is the
// last: the one that worked, or none did.
func predictions(rs []trial.Result, ranges map[int]*figureRange, kelvin float64) []claim.Prediction {
	last := map[protection.Quantity]int{}
	rest := ""
	for i, r := range rs {
		if comesBack(r) {
			last[r.Quantity] = i
		}
		if rest == "" && r.State == "idle" {
			rest = r.Step
		}
	}
	var out []claim.Prediction
	for i, r := range rs {
		switch {
		case comesBack(r):
			if last[r.Quantity] == i {
				p := prediction(r, ranges[i], kelvin)
				// Cells may need different circumstances; a claim that
				// names none speaks of all of them.
				p.State, p.Condition = "", r.Step
				out = append(out, p)
				out = append(out, others(p, ranges[i])...)
			}
		case judged(r, rest):
			p := prediction(r, ranges[i], kelvin)
			out = append(out, p)
			out = append(out, others(p, ranges[i])...)
		}
	}
	return out
}

// comesBack reports whether r is a release under one of several circumstances.
func comesBack(r trial.Result) bool {
	return r.Step != "" && r.Trial != protection.Release &&
		(r.Quantity == protection.ReleaseAt || r.Quantity == protection.ReleaseDelay)
}

// judged reports whether a figure is one that claims speak of. The steps of a
// sweep are not, where the sweep has a figure of its own; where each step is a
// circumstance the board has to be good in, they are. rest is the step in which
// a board at rest is looked at first, with its cells half full.
func judged(r trial.Result, rest string) bool {
	if r.Step == "" {
		return true
	}
	switch r.Trial {
	case protection.Path, protection.FirstConnection, protection.Release:
		return true
	case protection.SupplyCurrent:
		// Full cells are bled, and what is attached after a trip takes current
		// too; the claim is of the board alone.
		return r.State == "idle" && r.Step == rest || r.Step == "load off"
	}
	return false
}

// others says of a figure that some boards come to another end that claims cannot
// be judged by the others alone.
func others(p claim.Prediction, r *figureRange) []claim.Prediction {
	if r == nil || !r.inconstant {
		return nil
	}
	p.Outcome, p.Note = protection.Undefined, "it depends on the parts of the one board"
	return []claim.Prediction{p}
}

func prediction(r trial.Result, f *figureRange, kelvin float64) claim.Prediction {
	nan := math.NaN()
	p := claim.Prediction{
		Trial: r.Trial, Cell: r.Cell, State: r.State, Stage: r.Stage, Port: r.Port, Quantity: r.Quantity,
		Temperature: kelvin, Outcome: r.Outcome, Value: r.Value, Low: nan, High: nan,
		SearchedTo: nan, SearchedUnit: r.SearchedUnit, Condition: circumstances(r.Conditions), Note: r.Note,
	}
	if r.SearchedUnit != "" {
		p.SearchedTo = r.SearchedTo
	}
	if f != nil {
		p.Low, p.High = f.low, f.high
	}
	// A word ("starved") cannot be compared with a number.
	if dim, ok := protection.Dimension(r.Trial, r.Quantity); !ok || dim == quantity.None {
		p.Value = nan
	}
	return p
}

// circumstances puts conditions into words: "cell 3.7 V, load 12 mΩ".
func circumstances(cs []trial.Condition) string {
	words := make([]string, 0, len(cs))
	for _, c := range cs {
		words = append(words, strings.TrimRight(fmt.Sprintf("%s %.4g %s", c.Name, c.Value, c.Unit), " "))
	}
	return strings.Join(words, ", ")
}

// summary counts verdicts and figures.
func summary(claims []answer.Claim, results []answer.Result) answer.Summary {
	var s answer.Summary
	for _, c := range claims {
		switch claim.Verdict(c.Verdict) {
		case claim.Meets:
			s.Meets++
		case claim.Fails:
			s.Fails++
		case claim.CannotTell:
			s.CannotTell++
		default:
			s.NotTested++
		}
	}
	s.Results = len(results)
	for _, r := range results {
		if r.Outcome == string(protection.Found) {
			s.Found++
		}
	}
	return s
}
