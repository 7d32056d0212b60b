package cli

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/report"
	"cupel/internal/study"
	"cupel/internal/study/batch"
	"github.com/spf13/cobra"
)

// asked are the flags of the commands that predict.
type asked struct {
	trials      []string
	cells       []int
	temperature string
	workers     int
	samples     int
	seed        int64
	shard       string
	rough       bool // a first look; no flag of its own
}

const workersUsage = "run `N` trials at a time; 0: one a core"

func (q *asked) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringSliceVar(&q.trials, "trial", nil, "only the trial `NAME`; may be repeated")
	f.IntSliceVar(&q.cells, "cell", nil, "only cell `K`, counted from the bottom; may be repeated")
	f.StringVar(&q.temperature, "temperature", "", "a `LIST` of board temperatures in °C, as -20,25,60")
	f.IntVar(&q.workers, "workers", 0, workersUsage)
	f.IntVar(&q.samples, "samples", 0, "also draw `N` random boards over the tolerances, and find the worst corners")
	f.Int64Var(&q.seed, "seed", 1, "which random boards are drawn: other seeds, other boards")
	_ = c.RegisterFlagCompletionFunc("trial", cobra.FixedCompletions(trialWords(), cobra.ShellCompDirectiveNoFileComp))
}

func (a *app) predictCommand() *cobra.Command {
	var q asked
	c := &cobra.Command{
		Use: "predict [DIR] [--trial NAME…] [--cell K…] [--temperature LIST] [--samples N]", GroupID: groupPredict,
		Short: "simulate every protection and judge the stated figures",
		Long: `Simulate the whole circuit of a board under every trial, and set what each protection does beside what
is stated. Without --temperature figures are those at 25 °C, and at the temperatures claims name.
With --samples every figure gets its range over the tolerances of all parts: the worst corners, and mean,
percentiles and causes over N random boards; equal seeds draw equal boards on any number of workers.
With --shard I/N only that part of the work is done, and written to the file of --out for "cupel merge".
Exit status 1 if a stated figure fails, 3 if something could not be computed.`,
		Example: "cupel predict sluice-5s --trial overcharge --cell 3",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			d, err := a.subject(args)
			if err != nil {
				return err
			}
			if q.shard != "" {
				return a.predictShard(c.Context(), d, q)
			}
			p, err := a.predict(c.Context(), d, q)
			if err != nil {
				return err
			}
			if err := a.print(p.Answer, func() string { return report.Text(p.Answer) }); err != nil {
				return err
			}
			return verdict(p.Answer, true)
		},
	}
	q.flags(c)
	c.Flags().StringVar(&q.shard, "shard", "", "do part `I/N` of the work, for merge")
	return c
}

// predict runs the study with progress.
func (a *app) predict(ctx context.Context, d *dossier.Dossier, q asked) (study.Prediction, error) {
	question, err := q.question(d.Board.Cells)
	if err != nil {
		return study.Prediction{}, err
	}
	tell, wipe := a.progress("simulating " + d.Board.Name)
	p, err := study.Predict(ctx, d, question, batch.Runner(batch.Options{Workers: q.workers, Progress: tell}))
	wipe()
	return p, judge(err)
}

// verdict is the exit of a prediction. A figure that fails stays a failure
// whatever else could not be computed.
func verdict(p answer.Predict, failing bool) error {
	switch {
	case !p.Complete:
		return &exit{status: Stopped}
	case failing && p.Summary.Fails > 0:
		return &exit{status: Negative}
	case slices.ContainsFunc(p.Results, func(r answer.Result) bool { return r.Outcome == string(protection.NotComputed) }):
		return &exit{status: NotComputed}
	}
	return nil
}

// question checks the flags against the board.
func (q asked) question(cells int) (study.Question, error) {
	out := study.Question{Cells: q.cells}
	for _, w := range q.trials {
		if !slices.Contains(protection.Trials, protection.Trial(w)) {
			do := "one of: " + strings.Join(trialWords(), ", ")
			if near := finding.Nearest(w, trialWords()); near != "" {
				do = fmt.Sprintf("did you mean %q?", near)
			}
			return out, wrong(do, "there is no trial %q", w)
		}
		out.Trials = append(out.Trials, protection.Trial(w))
	}
	for _, k := range q.cells {
		if k < 1 || k > cells {
			return out, wrong("", "there is no cell %d: the board has cells 1 to %d", k, cells)
		}
	}
	if q.workers < 0 {
		return out, wrong("", "--workers %d: a number of trials at a time cannot be negative", q.workers)
	}
	if q.samples < 0 {
		return out, wrong("", "--samples %d: a number of boards cannot be negative", q.samples)
	}
	var err error
	if out.Sampling, err = q.sampling(); err != nil {
		return out, err
	}
	out.Kelvins, err = kelvins(q.temperature)
	return out, err
}

// sampling checks the flags of random boards.
func (q asked) sampling() (study.Sampling, error) {
	s := study.Sampling{Samples: q.samples, Seed: q.seed, Rough: q.rough}
	if q.shard == "" {
		return s, nil
	}
	const do = "write --shard I/N with I from 1 to N, as 3/8"
	if _, err := fmt.Sscanf(q.shard+"\n", "%d/%d\n", &s.Shard, &s.Of); err != nil {
		return s, wrong(do, "--shard: %q is no shard", q.shard)
	}
	if s.Of < 1 || s.Shard < 1 || s.Shard > s.Of {
		return s, wrong(do, "--shard %s: there is no such shard", q.shard)
	}
	if s.Samples == 0 {
		return s, wrong("say how many boards all shards draw together: --samples N", "--shard %s without --samples", q.shard)
	}
	return s, nil
}

func trialWords() []string {
	var out []string
	for _, t := range protection.Trials {
		out = append(out, string(t))
	}
	return out
}

// Limits of a board's temperature, °C: beyond them no part sheet speaks.
const (
	coldest = -60
	hottest = 175
)

// kelvins reads a list of temperatures in °C.
func kelvins(list string) ([]float64, error) {
	if list == "" {
		return nil, nil
	}
	var out []float64
	for _, word := range strings.Split(list, ",") {
		word = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(word), "°C"))
		t, err := strconv.ParseFloat(strings.Replace(word, "−", "-", 1), 64)
		if err != nil {
			return nil, wrong("write degrees Celsius with commas between, as -20,25,60", "--temperature: %q is no temperature", word)
		}
		if !(t >= coldest && t <= hottest) {
			return nil, wrong("", "--temperature: %g °C is outside %d to %d °C", t, coldest, hottest)
		}
		out = append(out, t+273.15)
	}
	return out, nil
}
