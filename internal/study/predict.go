package study

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"cupel/internal/answer"
	"cupel/internal/board/review"
	"cupel/internal/claim"
	"cupel/internal/dossier"
	"cupel/internal/elaborate"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// Question is what a prediction is asked. Its zero value asks for every trial
// of every cell at 25 °C, and for what claims say of other temperatures there.
type Question struct {
	Trials  []protection.Trial
	Cells   []int
	Kelvins []float64
	Sampling
}

// Prediction is the answer with the waveforms seen on the way.
type Prediction struct {
	Answer    answer.Predict
	Waveforms []answer.Waveform
}

// Predict predicts what the board of a dossier does. Its error is
// *finding.Errors if the texts or the board they describe are wrong, and
// *rig.NotComputed if the board does not even come to rest.
func Predict(ctx context.Context, d *dossier.Dossier, q Question, do Runner) (Prediction, error) {
	x, p, can, err := begin(d, q)
	if err != nil {
		return p, err
	}
	runs := x.carryOut(ctx, can, do, &p)
	if q.Samples > 0 {
		got, whole := spreads(ctx, d, q.Sampling, runs, do)
		p.Answer.Complete = p.Answer.Complete && whole
		p.Answer.Seed, p.Answer.Samples = q.Seed, attach(runs, got, q.Sampling)
	}
	x.gather(&p, can, runs)
	return p, nil
}

// begin makes ready what a question needs, and the answer's head.
func begin(d *dossier.Dossier, q Question) (x experiment, p Prediction, can rig.Abilities, err error) {
	if err := q.Sampling.check(); err != nil {
		return x, p, can, err
	}
	found, err := solvable(d)
	if err != nil {
		return x, p, can, err
	}
	newRig := func(kelvin float64) (rig.Rig, error) { return simulatedRig(d, kelvin) }
	first, err := newRig(room)
	if err != nil {
		return x, p, can, err
	}
	x = experiment{
		trials: chosen(q.Trials), cells: q.Cells, kelvins: q.Kelvins, newRig: newRig, claims: d.Claims.Claims, learns: q.Samples > 0, rough: q.Rough,
	}
	can = first.Can()
	return x, Prediction{Answer: head(d, append(found, restless(can)...))}, can, nil
}

// Restless is the code of the finding that a board has no state of rest.
const Restless = "S005"

// restless says that a board finds no rest: every trial begins while it moves.
func restless(can rig.Abilities) finding.List {
	var l finding.List
	if can.Restless != "" {
		l.Add(finding.Finding{
			Code: Restless, Level: finding.Warning,
			Text: fmt.Sprintf("the board has no state of rest with every cell at %.3f V and nothing on its ports: the outputs of %s keep changing each other", can.CellMiddle, can.Restless),
			Do:   "look at what these outputs drive and at what these parts sense; every figure is of a board that is already moving when its trial begins",
		})
	}
	return l
}

// head is the answer before anything is predicted.
func head(d *dossier.Dossier, found finding.List) answer.Predict {
	a := answer.Predict{Head: answer.NewHead("predict", d.Board.Name, d.Hash)}
	a.Title, a.Cells = answer.Text(d.Board.Title), d.Board.Cells
	a.Findings = Findings(found)
	return a
}

// sound refuses a dossier that no number could be right of: wrong texts, a
// board against the structural rules, a circuit that cannot be made. What is
// merely worth knowing it hands back.
func sound(d *dossier.Dossier) (finding.List, error) {
	l := slices.Clone(d.Findings)
	l = append(l, d.Review()...)
	if !l.Has(finding.Error) {
		_, made := elaborate.Elaborate(d.Board, d.Sheets.Sheet, elaborate.Options{})
		l = append(l, made...)
	}
	l.Sort()
	return l, l.Err()
}

// solvable is sound, and refuses a board on which nothing can be tried yet.
func solvable(d *dossier.Dossier) (finding.List, error) {
	l, err := sound(d)
	if err == nil && len(d.Board.Parts) == 0 {
		l = finding.List{{
			Code: review.NoParts, Level: finding.Error, Place: d.Board.Place,
			Text: "the board has no parts yet: there is nothing to compute",
			Do:   "add the parts, one a line: switches, protectors and what stands around them; or ring the board out: cupel ringout",
		}}
		err = l.Err()
	}
	return l, err
}

// simulatedRig is a simulated rig with the board of d.
func simulatedRig(d *dossier.Dossier, kelvin float64) (*simulated.Rig, error) {
	make := func(kelvin float64) (*elaborate.Circuit, error) {
		c, l := elaborate.Elaborate(d.Board, d.Sheets.Sheet, elaborate.Options{Kelvin: kelvin})
		return c, l.Err()
	}
	return simulated.New(d.Board, make, simulated.Options{Kelvin: kelvin, RatedAmps: rated(d.Claims.Claims)})
}

// rated is the current the board is sold for; 0 if none is stated.
func rated(claims []claim.Claim) float64 {
	for _, c := range claims {
		if c.Protection == protection.Continuous && c.Quantity == protection.Current && c.Kind == claim.Stated {
			if v := c.Value.Nominal(); !c.None && !math.IsNaN(v) {
				return v
			}
		}
	}
	return 0
}

// source gives the random orders of a first connection: of order i the same
// always.
func source(i int) rand.Source { return rand.NewPCG(0, uint64(i)) }

// chosen are the trials of those words, in their order; all for none.
func chosen(words []protection.Trial) []trial.Trial {
	var out []trial.Trial
	for _, t := range trial.All(source) {
		if len(words) == 0 || slices.Contains(words, t.Word()) {
			out = append(out, t)
		}
	}
	return out
}

// experiment is what a prediction is made from: what is tried, on what, and
// what is stated.
type experiment struct {
	trials  []trial.Trial
	cells   []int     // empty: every cell
	kelvins []float64 // empty: 25 °C, and what claims name
	newRig  func(kelvin float64) (rig.Rig, error)
	claims  []claim.Claim
	learns  bool // jobs are kept to be repeated over tolerances
	rough   bool // of those only the ones of a first look
}

// room is the temperature a figure is taken at that names none, 25 °C.
const room = 298.15 // K

// carryOut runs the experiment on the nominal board.
func (x experiment) carryOut(ctx context.Context, can rig.Abilities, do Runner, p *Prediction) []run {
	runs := x.plan(can)
	errs := do(ctx, len(runs), func(ctx context.Context, i int) error {
		if x.learns && (!x.rough || roughly(runs, i)) {
			return runs[i].learn(ctx, x.newRig)
		}
		return runs[i].do(ctx, x.newRig)
	})
	for i, err := range errs {
		switch {
		case err != nil && ctx.Err() != nil:
			p.Answer.Complete = false
			runs[i].stop()
		case err != nil:
			runs[i].fail(err)
		}
	}
	return runs
}

// plan lists the runs: every trial at every temperature asked for. If none
// was, a trial also runs at the temperatures its claims name.
func (x experiment) plan(can rig.Abilities) []run {
	var out []run
	if len(x.kelvins) > 0 {
		for _, k := range x.kelvins {
			out = append(out, plan(x.trials, can, x.cells, k)...)
		}
		return out
	}
	out = plan(x.trials, can, x.cells, room)
	for _, t := range x.trials {
		for _, at := range named(x.claims, t.Word()) {
			for _, r := range plan([]trial.Trial{t}, can, x.cells, at.kelvin) {
				r.job = r.job.Only(at.quantities)
				out = append(out, r)
			}
		}
	}
	return out
}

// asked is what claims ask of a trial at one temperature.
type asked struct {
	kelvin     float64
	quantities []protection.Quantity
}

// named are the temperatures, other than 25 °C, that claims on a trial name,
// with the quantities they name there.
func named(claims []claim.Claim, word protection.Trial) []asked {
	var out []asked
	for _, c := range claims {
		k := c.Temperature()
		if c.Protection != word || k == room {
			continue
		}
		i := slices.IndexFunc(out, func(a asked) bool { return a.kelvin == k })
		if i < 0 {
			i, out = len(out), append(out, asked{kelvin: k})
		}
		out[i].quantities = append(out[i].quantities, protection.AnsweredBy(word, c.Quantity)...)
	}
	slices.SortFunc(out, func(a, b asked) int { return cmp.Compare(a.kelvin, b.kelvin) })
	return out
}

// gather puts what the runs found into the answer and judges the claims by it.
// Waveforms are those of the first temperature.
func (x experiment) gather(p *Prediction, can rig.Abilities, runs []run) {
	a := &p.Answer
	var stated []claim.Prediction
	unique(&a.Assumed, can.Assumed...)
	for _, r := range runs {
		stated = append(stated, predictions(r.results, r.ranges, r.kelvin)...)
		if r.stopped {
			continue // half a job is no answer; it only keeps claims from being judged
		}
		for i, res := range r.results {
			row := result(res, r.kelvin)
			if f := r.ranges[i]; f != nil {
				f.publish(&row)
			}
			a.Results = append(a.Results, row)
			unique(&a.Assumed, res.Assumed...)
			unique(&a.Cautions, res.Cautions...)
		}
		for _, f := range r.figures {
			if r.kelvin == runs[0].kelvin {
				w := waveform(f)
				p.Waveforms = append(p.Waveforms, w)
				a.Figures = append(a.Figures, w.Figure)
			}
		}
	}
	sortResults(a.Results)
	a.Claims = judge(x.claims, stated)
	a.Summary = summary(a.Claims, a.Results)
	a.Findings = append(a.Findings, Findings(failures(runs))...)
}

// unique appends those strings that the list does not hold yet.
func unique(to *answer.List[string], add ...string) {
	for _, s := range add {
		if !slices.Contains(*to, s) {
			*to = append(*to, s)
		}
	}
}
