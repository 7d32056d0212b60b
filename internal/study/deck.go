package study

import (
	"context"
	"fmt"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/circuit/deck"
	"cupel/internal/dossier"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// Deck gives the SPICE cards of one moment of a trial: the run in which the
// protection acted (of a short the hardest), or the board at rest where nothing
// moves. Cell 0 is the first that the trial speaks of. The protection ICs are
// scripted as they moved in Cupel's run.
func Deck(ctx context.Context, d *dossier.Dossier, word protection.Trial, cell int) (answer.Deck, error) {
	if _, err := sound(d); err != nil {
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
	w := &watched{Rig: r, first: word == protection.LoadShort}
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
	cards, err := r.Deck(ctx, w.capture)
	if err != nil {
		return answer.Deck{}, err
	}
	cards.Title = d.Board.Name + ", " + job.Name
	cards.Comments = []string{
		"inputs " + d.Hash,
		"cells, load and charger as the trial set them; the outputs of protection ICs move as they did in that run",
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

// watched is a rig that remembers from where the capture started in which a
// protection acted: the last one, or the first.
type watched struct {
	*simulated.Rig
	first   bool
	mark    rig.Mark
	capture rig.Capture
}

// Capture passes on and remembers.
func (w *watched) Capture(ctx context.Context, c rig.Capture) (rig.Record, error) {
	mark := w.Mark()
	rec, err := w.Rig.Capture(ctx, c)
	for _, e := range rec.Events {
		if strings.HasPrefix(e.What, rig.Sets) && (w.mark == nil || !w.first) {
			w.mark, w.capture = mark, c
			if n := len(rec.Times); n > 0 {
				w.capture.Seconds = rec.Times[n-1]
			}
			break
		}
	}
	return rec, err
}
