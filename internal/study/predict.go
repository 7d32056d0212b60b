package study

import (
	"context"
	"slices"

	"cupel/internal/answer"
	"cupel/internal/claim"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// experiment is what a prediction is made from: who is asked, what is tried,
// on what, and what is stated.
type experiment struct {
	board, inputs string
	trials        []trial.Trial
	cells         []int     // empty: every cell
	kelvins       []float64 // at least one
	newRig        func() (rig.Rig, error)
	claims        []claim.Claim
}

// predict runs the experiment. Waveforms are those of the first temperature.
func (x experiment) predict(ctx context.Context, can rig.Abilities, run Runner) (answer.Predict, []answer.Waveform) {
	runs := plan(x.trials, can, x.cells, x.kelvins)
	errs := run(ctx, len(runs), func(ctx context.Context, i int) error {
		return runs[i].do(ctx, x.newRig)
	})
	a := answer.Predict{Head: answer.NewHead("predict", x.board, x.inputs)}
	for i, err := range errs {
		switch {
		case err != nil && ctx.Err() != nil:
			a.Complete = false
			runs[i].stop()
		case err != nil:
			runs[i].fail(err)
		}
	}
	return x.gather(a, can, runs)
}

// gather puts what the runs found into the answer and judges the claims by it.
func (x experiment) gather(a answer.Predict, can rig.Abilities, runs []run) (answer.Predict, []answer.Waveform) {
	var stated []claim.Prediction
	var waves []answer.Waveform
	unique(&a.Assumed, can.Assumed...)
	for _, r := range runs {
		stated = append(stated, predictions(r.results, r.kelvin)...)
		if r.stopped {
			continue // half a job is no answer; it only keeps claims from being judged
		}
		for _, res := range r.results {
			a.Results = append(a.Results, result(res, r.kelvin))
			unique(&a.Assumed, res.Assumed...)
			unique(&a.Cautions, res.Cautions...)
		}
		for _, f := range r.figures {
			if r.kelvin == x.kelvins[0] {
				waves = append(waves, waveform(f))
				a.Figures = append(a.Figures, waves[len(waves)-1].Figure)
			}
		}
	}
	sortResults(a.Results)
	a.Claims = judge(x.claims, stated)
	a.Summary = summary(a.Claims, a.Results)
	a.Findings = Findings(failures(runs))
	return a, waves
}

// unique appends those strings that the list does not hold yet.
func unique(to *answer.List[string], add ...string) {
	for _, s := range add {
		if !slices.Contains(*to, s) {
			*to = append(*to, s)
		}
	}
}
