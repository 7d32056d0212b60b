package study

import (
	"context"
	"fmt"
	"slices"

	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// run is one job at one temperature, with what came of it.
type run struct {
	job     trial.Job
	kelvin  float64
	results []trial.Result
	figures []trial.Figure
	lesson  *trial.Lesson        // nil unless it is repeated over tolerances
	ranges  map[int]*figureRange // by result; nil without
	err     error
	stopped bool // by the person, before it could end
}

// name is how a run is spoken of: "overcharge, cell 3, at 25 °C".
func (r *run) name() string {
	s := r.job.Trial.Label()
	switch {
	case r.job.Cell > 0:
		s += fmt.Sprintf(", cell %d", r.job.Cell)
	case r.job.Name != "" && r.job.Name != string(r.job.Trial):
		s += ", " + r.job.Name
	}
	return fmt.Sprintf("%s, at %.4g °C", s, r.kelvin-zeroCelsius)
}

// plan lists the runs that trials split into at one temperature.
func plan(trials []trial.Trial, can rig.Abilities, cells []int, kelvin float64) []run {
	var out []run
	for _, t := range trials {
		for _, j := range t.Jobs(can) {
			if len(cells) == 0 || j.Cell == 0 || slices.Contains(cells, j.Cell) {
				out = append(out, run{job: j, kelvin: kelvin})
			}
		}
	}
	return out
}

// do runs one job on a rig of its own.
func (r *run) do(ctx context.Context, newRig func(float64) (rig.Rig, error)) error {
	on, err := newRig(r.kelvin)
	if err != nil {
		return err
	}
	if err := on.SetTemperature(r.kelvin); err != nil {
		return err
	}
	r.results, r.figures, err = r.job.Run(ctx, on)
	return err
}

// learn is do, and keeps what is needed to repeat the job over tolerances.
func (r *run) learn(ctx context.Context, newRig func(float64) (rig.Rig, error)) error {
	on, err := newRig(r.kelvin)
	if err != nil {
		return err
	}
	l, err := trial.Learn(ctx, on, r.job)
	r.results, r.figures = l.Results, l.Figures
	if err == nil && len(l.Again) > 0 {
		r.lesson = l
	}
	return err
}

// stop says of a run that it was not let end.
func (r *run) stop() {
	r.stopped, r.results, r.figures, r.lesson = true, nil, nil, nil
	r.owe("the work was stopped before")
}

// fail keeps the reason a run ended early.
func (r *run) fail(err error) {
	r.err = err
	r.owe(err.Error())
}

// owe says "not computed" for every figure that a run did not give: a claim
// must not be judged by the other cells alone.
func (r *run) owe(why string) {
	for _, q := range protection.Numbers(r.job.Trial) {
		if !r.job.Wants(q) || slices.ContainsFunc(r.results, func(have trial.Result) bool { return have.Quantity == q }) {
			continue
		}
		r.results = append(r.results, trial.Result{
			Trial: r.job.Trial, Cell: r.job.Cell, Tap: -1, Quantity: q,
			Outcome: protection.NotComputed, Note: why,
			Unit: protection.UnitOf(r.job.Trial, q),
		})
	}
}

// NotComputed is the code of a finding that a run gave no figures.
const NotComputed = "S001"

// failures says which runs failed, and why.
func failures(runs []run) finding.List {
	var l finding.List
	for i := range runs {
		if r := &runs[i]; r.err != nil {
			l.Add(finding.Finding{
				Code: NotComputed, Level: finding.Warning,
				Text: fmt.Sprintf("not computed: %s: %v", r.name(), r.err),
				Do:   "look at the parts and nets it names; the other figures stand without it",
			})
		}
	}
	return l
}
