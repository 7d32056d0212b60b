package study

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/circuit/deck"
	"cupel/internal/dossier"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// DeckQuestion asks for the circuit under a trial.
type DeckQuestion struct {
	Trial protection.Trial
	Cell  int  // 0: the first that the trial speaks of
	Logic bool // thresholds as latched comparators in place of scripts
}

// Deck gives the SPICE cards of one moment of a trial: the run in which the
// protection acted (of a short the hardest), or the board at rest where nothing
// moves. The protection ICs are scripted as they moved in Cupel's run, and the
// deck looks for the crossings that their edges go back to.
func Deck(ctx context.Context, d *dossier.Dossier, q DeckQuestion) (answer.Deck, error) {
	word, cell := q.Trial, q.Cell
	if _, err := solvable(d); err != nil {
		return answer.Deck{}, err
	}
	r, err := simulatedRig(d, room)
	if err != nil {
		return answer.Deck{}, err
	}
	job, ok := jobOf(word, cell, r.Can())
	if !ok {
		return answer.Deck{}, fmt.Errorf("%s has nothing to do with cell %d", word.Label(), cell)
	}
	w := &watched{Rig: r, flags: acts[word], first: word == protection.LoadShort}
	if _, _, err := job.Run(ctx, w); err != nil {
		return answer.Deck{}, fmt.Errorf("%s: %w", job.Name, err)
	}
	if w.mark == nil {
		if r, err = simulatedRig(d, room); err != nil {
			return answer.Deck{}, err
		}
	} else {
		r.Rewind(w.mark)
	}
	cards, err := r.Deck(ctx, w.capture, q.Logic)
	if err != nil {
		return answer.Deck{}, err
	}
	cards.Title = d.Board.Name + ", " + job.Name
	cards.Comments = []string{
		"inputs " + d.Hash,
		"cells, load and charger as the trial set them; the outputs of protection ICs move as they did in that run",
	}
	if q.Logic {
		cards.Comments[1] = "cells, load and charger as the trial set them; protection ICs as latched comparators: for thresholds, times are near"
	}
	a := answer.Deck{Head: answer.NewHead("export deck", d.Board.Name, d.Hash), Trial: string(word)}
	if job.Cell > 0 {
		a.Cell = answer.Whole(job.Cell)
	}
	var text strings.Builder
	err = deck.Write(&text, cards)
	a.Cards = text.String()
	return a, err
}

// jobOf is the job of a trial that speaks of a cell; of cell 0, its first.
func jobOf(word protection.Trial, cell int, can rig.Abilities) (trial.Job, bool) {
	for _, t := range chosen([]protection.Trial{word}) {
		for _, j := range t.Jobs(can) {
			if cell == 0 || j.Cell == cell {
				return j, true
			}
		}
	}
	return trial.Job{}, false
}

// acts are the flags by which a trial's protection acts, by how they begin. A
// trial without an entry looks for any flag.
var acts = map[protection.Trial][]string{
	protection.Overcharge:           {"OV"},
	protection.Overdischarge:        {"UV"},
	protection.DischargeOvercurrent: {"OC", "SC"},
	protection.ChargeOvercurrent:    {"COC"},
	protection.LoadShort:            {"OC", "SC"},
	protection.Balance:              {"BAL"},
	protection.Temperature:          {"CH", "CC", "DH"},
}

// watched is a rig that remembers from where the capture started in which a
// protection acted: the last one, or the first.
type watched struct {
	*simulated.Rig
	flags   []string // how a flag that counts begins; none: every one
	first   bool
	mark    rig.Mark
	capture rig.Capture
}

// Capture passes on and remembers.
func (w *watched) Capture(ctx context.Context, c rig.Capture) (rig.Record, error) {
	mark := w.Mark()
	rec, err := w.Rig.Capture(ctx, c)
	if (w.mark == nil || !w.first) && slices.ContainsFunc(rec.Events, w.counts) {
		w.mark, w.capture = mark, c
		if n := len(rec.Times); n > 0 {
			w.capture.Seconds = rec.Times[n-1]
		}
	}
	return rec, err
}

func (w *watched) counts(e rig.Event) bool {
	flag, sets := strings.CutPrefix(e.What, rig.Sets)
	return sets && (len(w.flags) == 0 || slices.ContainsFunc(w.flags, func(f string) bool { return strings.HasPrefix(flag, f) }))
}
