package study

import (
	"cmp"
	"context"
	"slices"

	"cupel/internal/answer"
	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/evidence"
	"cupel/internal/explain/potential"
	"cupel/internal/finding"
)

// CodeState is the code of the finding that there is no such state.
const CodeState = "S002"

// Voltages maps the voltages of a board in a state; cell 0 takes the lowest
// cell where the state is that of a cell. Its error is *finding.Errors if there
// is no such state.
func Voltages(ctx context.Context, d *dossier.Dossier, state string, cell int) (answer.Voltages, error) {
	return voltages(ctx, d, state, cell, corners)
}

// voltages is Voltages with ranges over so many corners; none without.
func voltages(ctx context.Context, d *dossier.Dossier, state string, cell, corners int) (answer.Voltages, error) {
	if _, err := solvable(d); err != nil {
		return answer.Voltages{}, err
	}
	bench := potential.Bench{Board: d.Board, Sheets: d.Sheets.Sheet, Rig: benchOf(d, nil, nil).NewRig}
	s, err := bench.Survey(ctx)
	if err != nil {
		return answer.Voltages{}, err
	}
	a := answer.Voltages{Head: answer.NewHead("voltages", d.Board.Name, d.Hash), State: state, Assumed: assumed(d)}
	found := false
	for _, m := range s.Maps {
		if !slices.Contains(a.States, m.State) {
			a.States = append(a.States, m.State)
		}
		if !found && m.State == state && (cell == 0 || cell == m.Cell) {
			found = true
			over, err := span(ctx, d, bench, &m, corners)
			if err != nil {
				return answer.Voltages{}, err
			}
			a.Over = answer.Text(over)
			levels(&a, d.Board, m)
		}
	}
	if !found {
		return answer.Voltages{}, noState(state, a.States)
	}
	for _, x := range s.Stress {
		a.Stress = append(a.Stress, publishStress(d.Board, x))
	}
	slices.SortStableFunc(a.Stress, func(x, y answer.Stress) int { return cmp.Compare(share(y), share(x)) })
	return a, nil
}

// levels publishes a map, nets by name.
func levels(a *answer.Voltages, b *board.Board, m potential.Map) {
	a.Stimulus, a.Note = answer.Text(m.Stimulus), answer.Text(m.Failed)
	if m.Cell > 0 {
		a.Cell = answer.Whole(m.Cell)
	}
	for _, l := range m.Levels {
		a.Nets = append(a.Nets, answer.NetLevel{
			Net: b.Nets[l.Net].Name, Value: number(l.Volts), Low: number(l.Low), High: number(l.High), Unit: "V",
			Floating: l.Floating, Touch: answer.Text(l.Touch),
		})
	}
	slices.SortFunc(a.Nets, func(x, y answer.NetLevel) int { return cmp.Compare(x.Net, y.Net) })
}

// share is how much of its limit a part sees; 0 where there is none.
func share(s answer.Stress) float64 {
	if s.Value == nil || s.Limit == nil || *s.Limit <= 0 {
		return 0
	}
	return *s.Value / *s.Limit
}

func publishStress(b *board.Board, s potential.Stress) answer.Stress {
	a := answer.Stress{
		Part: b.Parts[s.Part].Ref, Quantity: s.Quantity, Value: number(s.Value), Limit: number(s.Limit), Unit: s.Unit, State: s.State,
	}
	if s.Cell > 0 {
		a.Cell = answer.Whole(s.Cell)
	}
	switch {
	case a.Limit == nil:
	case s.Assumed:
		a.Basis = answer.Text(evidence.AssumedHere)
	default:
		a.Basis = answer.Text(evidence.Sheet)
	}
	return a
}

func noState(state string, have []string) error {
	var l finding.List
	l.Add(finding.Finding{
		Code: CodeState, Level: finding.Error, Text: "this board has no state \"" + state + "\"",
		Do: "one of: " + list(have), Suggestion: finding.Nearest(state, have),
	})
	return l.Err()
}
