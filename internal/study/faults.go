package study

import (
	"context"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/explain/fault"
	"cupel/internal/explain/role"
)

// normalUse is what counts as everyday use when a fault is called silent.
var normalUse = []string{
	"rest, half full", "charge to full", "rest, full", "rated load", "discharge to a little above overdischarge", "balance of all cells",
}

// Faults tries every single fault of a board, or those of one part.
func Faults(ctx context.Context, d *dossier.Dossier, part string, run Runner, keep fault.Store) (answer.Faults, error) {
	if _, err := solvable(d); err != nil {
		return answer.Faults{}, err
	}
	rows, err := benchOf(d, run, keep).Table(ctx, faultsOf(d, part, nil))
	if err != nil {
		return answer.Faults{}, err
	}
	a := answer.Faults{Head: answer.NewHead("faults", d.Board.Name, d.Hash), Normal: normalUse, Assumed: assumed(d)}
	a.Cautions = answer.List[string]{"this is computed: never make a fault on a board with real cells to see what it does"}
	fault.Sort(rows)
	say := role.Phrases(role.Input{Board: d.Board, Sheets: d.Sheets.Sheet, Faults: rows})
	for _, r := range rows {
		if !r.Done {
			a.Complete = false
			continue
		}
		a.Tried++
		if len(r.Result.Lost) > 0 && r.Result.Silent() {
			a.Silent++
		}
		a.Faults = append(a.Faults, publishFault(d, r, say(r)))
	}
	return a, nil
}

func publishFault(d *dossier.Dossier, r fault.Row, text string) answer.Fault {
	return answer.Fault{
		Part: r.Fault.Ref(d.Board), Fault: r.Fault.Name(), Lost: publishEffects(r.Result.Lost), Changed: publishEffects(r.Result.Changed),
		Silent: r.Result.Silent(), Safe: r.Result.Safe(), Floats: r.Result.Floats, Text: text,
	}
}

func publishEffects(es []fault.Effect) answer.List[answer.FaultEffect] {
	var out answer.List[answer.FaultEffect]
	for _, e := range es {
		a := answer.FaultEffect{
			Trial: string(e.Trial), Port: answer.Text(e.Port), State: answer.Text(e.State), What: e.What, Now: answer.Text(e.Word),
		}
		if e.Cell > 0 {
			a.Cell = answer.Whole(e.Cell)
		}
		out = append(out, a)
	}
	return out
}
