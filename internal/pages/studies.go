package pages

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/desk"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/study"
	"cupel/internal/study/batch"
	"cupel/internal/trial/rig"
)

// The names of the pieces of long work.
const (
	workPredict = "predict"
	workHeat    = "heat"
	workFaults  = "faults"
	workExplain = "explain"
)

// runner runs the jobs of a study, with progress.
func (s *Server) runner(tell func(done, total int)) study.Runner {
	return batch.Runner(batch.Options{Workers: s.workers, Progress: tell})
}

// predicted is what is known of what the visit's board does.
type predicted struct {
	study.Prediction
	Have    bool               // there is something to show
	Before  bool               // it is of the texts before the last change
	Pending []protection.Trial // not computed yet
	Ranges  bool               // over tolerances, or meant to be
	Work    desk.Progress      // as it runs, or as it ended
	Wrong   []answer.Finding   // why there is nothing
	parts   []study.Part       // by trial
	hash    string             // of the texts
	running bool
}

// ask is what a prediction is asked, as a key of its work.
func ask(hash string, q study.Question) string {
	return fmt.Sprintf("%s samples %d seed %d at %v", hash, q.Samples, q.Seed, q.Kelvins)
}

// predict is what is predicted by now. The typical board is predicted as soon as
// somebody looks; what was stopped is not begun again by looking.
func (v *visit) predict() predicted {
	d := v.dossier()
	if d == nil {
		return predicted{}
	}
	if w := v.s.desk.Work(workPredict); !strings.HasPrefix(w.Key, figures(d)) {
		v.s.startPredict(d, study.Question{})
	}
	w := v.s.desk.Work(workPredict)
	p, _ := w.Result.(*predicted)
	out := predicted{}
	if p != nil {
		out = *p
	}
	out.Work, out.running = w, w.Running
	out.Wrong = wrong(w.Err)
	out.Before = out.Have && out.hash != figures(d)
	for _, t := range protection.Trials {
		if w.Running && !slices.ContainsFunc(out.parts, func(x study.Part) bool { return x.Trial == t }) || w.Running && out.Before {
			out.Pending = append(out.Pending, t)
		}
	}
	return out
}

// wrong are the findings for which there is no answer.
func wrong(err error) []answer.Finding {
	var mistakes *finding.Errors
	var not *rig.NotComputed
	switch {
	case err == nil:
		return nil
	case errors.As(err, &mistakes):
		return study.Findings(mistakes.List)
	case errors.As(err, &not):
		return []answer.Finding{{Level: "error", Text: not.Text}}
	}
	return []answer.Finding{{Level: "error", Text: err.Error()}}
}

// startPredict predicts trial by trial, so that each is shown as it comes. What
// was known before stays until its trial is done anew.
func (s *Server) startPredict(d *dossier.Dossier, q study.Question) {
	old, _ := s.desk.Work(workPredict).Result.(*predicted)
	s.desk.Start(workPredict, ask(figures(d), q), func(ctx context.Context, t desk.Tools) (any, error) {
		have := predicted{hash: figures(d), Ranges: q.Samples > 0}
		if old != nil {
			// An older prediction of these texts fills in; one of other texts is
			// shown, and marked, until the first trial is done.
			t.Post(old)
			if old.hash == figures(d) {
				have.parts = slices.Clone(old.parts)
			}
		}
		for i, word := range protection.Trials {
			part := q
			part.Trials = []protection.Trial{word}
			p, err := study.Predict(ctx, d, part, s.runner(func(done, total int) {
				t.Tell(100*i+100*done/max(total, 1), 100*len(protection.Trials))
			}))
			if err != nil || !p.Answer.Complete {
				return have.shown(), err
			}
			have.parts = slices.DeleteFunc(slices.Clone(have.parts), func(x study.Part) bool { return x.Trial == word })
			have.parts = append(have.parts, study.Part{Trial: word, Prediction: p})
			t.Post(have.shown())
		}
		return have.shown(), nil
	})
}

// shown is the prediction with its parts joined.
func (p predicted) shown() any {
	if len(p.parts) == 0 {
		return nil
	}
	p.Prediction, p.Have = study.Join(p.parts), true
	return &p
}

// heated is what is known of the board's heat in one ambient.
type heated struct {
	answer.Heat
	Have  bool
	Work  desk.Progress
	Wrong []answer.Finding
}

// usualAmbient is the air around a board where nothing else is said, °C: that
// of the command line.
const usualAmbient = 40

// heat is what the board carries in air of so many °C. It is computed as soon as
// somebody looks.
func (v *visit) heat(ambient float64) heated {
	d := v.dossier()
	if d == nil {
		return heated{}
	}
	key := fmt.Sprintf("%s in %g", figures(d), ambient)
	if v.s.desk.Work(workHeat).Key != key {
		v.s.desk.Start(workHeat, key, func(ctx context.Context, _ desk.Tools) (any, error) {
			return study.Heat(ctx, d, study.HeatQuestion{Ambient: ambient + zeroCelsius})
		})
	}
	w := v.s.desk.Work(workHeat)
	a, ok := w.Result.(answer.Heat)
	return heated{Heat: a, Have: ok && w.Err == nil && !w.Running, Work: w, Wrong: wrong(w.Err)}
}

const zeroCelsius = 273.15 // K

// faults are the single faults, where somebody asked for them.
func (v *visit) faults() (a answer.Faults, have bool, w desk.Progress) {
	w = v.s.desk.Work(workFaults)
	d := v.dossier()
	if d == nil || w.Key != figures(d) {
		return a, false, desk.Progress{}
	}
	a, have = w.Result.(answer.Faults)
	return a, have && w.Err == nil, w
}

// startFaults tries every single fault.
func (s *Server) startFaults(d *dossier.Dossier) {
	s.desk.Start(workFaults, figures(d), func(ctx context.Context, t desk.Tools) (any, error) {
		return study.Faults(ctx, d, "", s.runner(t.Tell), nil)
	})
}

// explained says what the parts are for, where somebody asked.
func (v *visit) explained() (a answer.Explain, have bool, w desk.Progress) {
	w = v.s.desk.Work(workExplain)
	d := v.dossier()
	if d == nil || w.Key != figures(d) {
		return a, false, desk.Progress{}
	}
	a, have = w.Result.(answer.Explain)
	return a, have && w.Err == nil, w
}

// startExplain finds out what every part is for.
func (s *Server) startExplain(d *dossier.Dossier) {
	s.desk.Start(workExplain, figures(d), func(ctx context.Context, t desk.Tools) (any, error) {
		return study.Explain(ctx, d, "", s.runner(t.Tell), nil)
	})
}

// run are the actions that begin long work: the page's name for it, and the work.
func run(start func(*visit, *dossier.Dossier) error) action {
	return action{do: func(v *visit) error {
		d := v.dossier()
		if d == nil {
			return v.sorry("refused.nodossier")
		}
		if err := start(v, d); err != nil {
			return err
		}
		return v.done("", nil)
	}}
}
