package study

import (
	"context"
	"fmt"
	"slices"

	"cupel/internal/answer"
	"cupel/internal/board/pattern"
	"cupel/internal/dossier"
	"cupel/internal/elaborate"
	"cupel/internal/explain/fault"
	"cupel/internal/explain/potential"
	"cupel/internal/explain/role"
	"cupel/internal/finding"
)

// explainedBy are the faults of a part that its explanation rests on. The others
// of the table, values, pins and bridges, take longer and seldom change a role.
var explainedBy = []fault.Kind{fault.Open, fault.OneOpen, fault.Short}

// Explain says what the parts of a board are for: all, or the one with the
// reference part. Its error is *finding.Errors if the texts or the board they
// describe are wrong.
func Explain(ctx context.Context, d *dossier.Dossier, part string, run Runner, keep fault.Store) (answer.Explain, error) {
	said, err := understood(d)
	if err != nil {
		return answer.Explain{}, err
	}
	a := answer.Explain{Head: answer.NewHead("explain", d.Board.Name, d.Hash)}
	bench := benchOf(d, run, keep)
	rows, err := bench.Table(ctx, faultsOf(d, part, explainedBy))
	if err != nil {
		return answer.Explain{}, err
	}
	a.Complete = !slices.ContainsFunc(rows, func(r fault.Row) bool { return !r.Done })
	map_ := potential.Bench{Board: d.Board, Sheets: d.Sheets.Sheet, Rig: bench.NewRig}
	survey, err := map_.Survey(ctx)
	if err != nil && ctx.Err() == nil {
		return answer.Explain{}, err
	}
	in := role.Input{Board: d.Board, Sheets: d.Sheets.Sheet, Faults: rows, Stress: survey.Stress, Said: said}
	in.Ask = func(i int) string { return ask(ctx, d, map_, survey, i, part) }
	for _, p := range role.Parts(in) {
		if part != "" && p.Ref != part {
			continue
		}
		a.Parts = append(a.Parts, explained(p))
		if p.Role == role.Unknown {
			a.Unknown++
		} else {
			a.Explained++
		}
	}
	a.Differences = differences(d)
	a.Assumed = assumed(d)
	return a, nil
}

// understood refuses a dossier that no number could be right of, and reads what
// a person says of its parts.
func understood(d *dossier.Dossier) ([]role.Said, error) {
	if _, err := solvable(d); err != nil {
		return nil, err
	}
	src, ok := d.Texts[dossier.Roles]
	if !ok {
		return nil, nil
	}
	var list finding.List
	said := role.ReadSaid(dossier.Roles, src, d.Board, &list)
	return said, list.Err()
}

// benchOf is what the faults of a board are tried on.
func benchOf(d *dossier.Dossier, run Runner, keep fault.Store) fault.Bench {
	return fault.Bench{
		Board: d.Board, Sheets: d.Sheets.Sheet, Rated: rated(d.Claims.Claims), Run: fault.Runner(run), Store: keep,
	}
}

// faultsOf lists the faults of some kinds, of one part or of all. No kinds: all.
func faultsOf(d *dossier.Dossier, part string, kinds []fault.Kind) []fault.Fault {
	return slices.DeleteFunc(fault.List(d.Board, d.Sheets.Sheet), func(f fault.Fault) bool {
		return part != "" && f.Ref(d.Board) != part || len(kinds) > 0 && !slices.Contains(kinds, f.Kind)
	})
}

func explained(p role.Part) answer.ExplainedPart {
	a := answer.ExplainedPart{
		Part: p.Ref, Role: p.Role, Block: answer.Text(p.Block), Sentence: p.Sentence, Grade: string(p.Grade),
		Ask: answer.Text(p.Ask), Piece: answer.Text(p.Piece), Signal: answer.Text(p.Signal), Also: p.Also, Reason: answer.Text(p.Reason),
	}
	if p.Cell > 0 {
		a.Cell = answer.Whole(p.Cell)
	}
	for _, e := range p.Evidence {
		a.Evidence = append(a.Evidence, answer.RoleEvidence{Kind: e.Kind, Ref: e.Ref})
	}
	return a
}

// leastTelling is a difference that a meter of a workshop shows beyond doubt, V.
const leastTelling = 0.02

// ask is the most informative measurement on a part: where the board with the
// part open differs most from the whole one. A part that was not asked for is
// not measured.
func ask(ctx context.Context, d *dossier.Dossier, b potential.Bench, own potential.Survey, i int, part string) string {
	ref := d.Board.Parts[i].Ref
	if part != "" && ref != part || ctx.Err() != nil {
		return ""
	}
	t, err := b.Tell(ctx, own, fault.Apply(d.Board, fault.Fault{Kind: fault.Open, Part: i}))
	if err != nil || t.Search < leastTelling {
		return fmt.Sprintf("no net differs by %g mV with %s lifted, in any state at 25 °C: lift one end and repeat the trials at 60 °C", leastTelling*1e3, ref)
	}
	state := t.State
	if t.Cell > 0 {
		state += fmt.Sprintf(" of cell %d", t.Cell)
	}
	return fmt.Sprintf("%s, measure net %s at %s: %.3f V as drawn, %.3f V with %s lifted",
		state, d.Board.Nets[t.Net].Name, t.Touch, t.Volts, t.Other, ref)
}

// differences says where slices differ.
func differences(d *dossier.Dossier) answer.List[answer.SliceDifference] {
	g := pattern.NewGraph(d.Board, d.Sheets.Sheet)
	var out answer.List[answer.SliceDifference]
	for _, x := range pattern.Differences(g, pattern.Slices(g)) {
		a := answer.SliceDifference{Cell: x.Cell, Like: d.Board.Parts[x.Like].Ref, Text: x.Text}
		if x.Part >= 0 {
			a.Part = answer.Text(d.Board.Parts[x.Part].Ref)
		}
		out = append(out, a)
	}
	return out
}

// assumed is what the board's circuit assumes.
func assumed(d *dossier.Dossier) answer.List[string] {
	c, _ := elaborate.Elaborate(d.Board, d.Sheets.Sheet, elaborate.Options{})
	return c.Assumed
}
