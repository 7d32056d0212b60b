package study

import (
	"context"
	"errors"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/explain/story"
	"cupel/internal/finding"
	"cupel/internal/protection"
)

// CodeNoTrip is the code of the finding that a trial trips nothing here.
const CodeNoTrip = "S003"

// perCellTrips are the trials that trip by one cell.
var perCellTrips = []protection.Trial{protection.Overcharge, protection.Overdischarge}

// Story tells how a board trips, by cell where the trial is of one. Its error is
// *finding.Errors if the trial trips nothing on this board.
func Story(ctx context.Context, d *dossier.Dossier, t protection.Trial, cell int) (answer.Story, error) {
	if _, err := solvable(d); err != nil {
		return answer.Story{}, err
	}
	ofCell := slices.Contains(perCellTrips, t)
	switch {
	case ofCell && cell == 0:
		cell = 1
	case !ofCell:
		cell = 0
	}
	bench := benchOf(d, nil, nil)
	s, err := story.Bench{Board: d.Board, Sheets: d.Sheets.Sheet, Rig: bench.NewRig}.Tell(ctx, t, cell)
	var none *story.NoTrip
	switch {
	case errors.As(err, &none):
		var l finding.List
		l.Add(finding.Finding{Code: CodeNoTrip, Level: finding.Error, Text: none.Error(), Do: "trials that trip: " + list(none.Have)})
		return answer.Story{}, l.Err()
	case err != nil:
		return answer.Story{}, err
	}
	a := answer.Story{
		Head: answer.NewHead("story", d.Board.Name, d.Hash), Trial: string(t), Stimulus: answer.Text(s.Stimulus),
		Note: answer.Text(s.Broken), Assumed: assumed(d),
	}
	if cell > 0 {
		a.Cell = answer.Whole(cell)
	}
	for _, x := range s.Steps {
		a.Steps = append(a.Steps, answer.StoryStep{
			Time: number(x.Time), At: x.At, What: x.What, Value: number(x.Value), Unit: unitOf(x), Needed: x.Needed, Net: answer.Text(x.Net),
		})
	}
	return a, nil
}

// unitOf leaves the unit out where there is no value.
func unitOf(s story.Step) answer.Text {
	if number(s.Value) == nil {
		return ""
	}
	return answer.Text(s.Unit)
}

func list(words []string) string {
	if len(words) == 0 {
		return "none"
	}
	return strings.Join(words, ", ")
}
