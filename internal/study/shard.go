package study

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/gob"
	"fmt"
	"maps"
	"slices"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// Shard predicts a part of a sampling, for Merge. version names the program: only
// shards of one version are merged.
func Shard(ctx context.Context, d *dossier.Dossier, q Question, version string, do Runner) (answer.Shard, error) {
	x, p, can, err := begin(d, q)
	if err != nil {
		return answer.Shard{}, err
	}
	runs := x.carryOut(ctx, can, do, &p)
	got, whole := spreads(ctx, d, q.Sampling, runs, do)
	from, to := q.share()
	a := answer.Shard{
		Head: answer.NewHead("shard", d.Board.Name, d.Hash), Version: version, Samples: q.Samples, Seed: q.Seed,
		Shard: q.Shard, Of: q.Of, From: from, To: to, Cells: q.Cells,
	}
	a.Complete = p.Answer.Complete && whole
	for _, t := range q.Trials {
		a.Trials = append(a.Trials, string(t))
	}
	for _, k := range q.Kelvins {
		a.Temperatures = append(a.Temperatures, *celsius(k))
	}
	for _, name := range slices.Sorted(maps.Keys(d.Texts)) {
		a.Texts = append(a.Texts, answer.ShardText{Name: name, Text: string(d.Texts[name])})
	}
	a.Data, err = pack(bulk{Can: can, Runs: saved(runs), Spreads: got})
	return a, err
}

// bulk is what a shard computed. It holds no maps, so that equal shards pack to
// equal bytes.
type bulk struct {
	Can     rig.Abilities
	Runs    []savedRun
	Spreads []*spread
}

// savedRun is a run without what only running needs.
type savedRun struct {
	Job     trial.Job // only what names it
	Kelvin  float64
	Results []trial.Result
	Figures []trial.Figure
	Err     string
	Stopped bool
}

func saved(runs []run) []savedRun {
	out := make([]savedRun, len(runs))
	for i, r := range runs {
		out[i] = savedRun{
			Job: trial.Job{Trial: r.job.Trial, Cell: r.job.Cell, Name: r.job.Name}, Kelvin: r.kelvin,
			Results: r.results, Figures: r.figures, Stopped: r.stopped,
		}
		if r.err != nil {
			out[i].Err = r.err.Error()
		}
	}
	return out
}

func restored(in []savedRun) []run {
	out := make([]run, len(in))
	for i, r := range in {
		out[i] = run{job: r.Job, kelvin: r.Kelvin, results: r.Results, figures: r.Figures, stopped: r.Stopped}
		if r.Err != "" {
			out[i].err = savedError(r.Err)
		}
	}
	return out
}

type savedError string

func (e savedError) Error() string { return string(e) }

func pack(b bulk) ([]byte, error) {
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	if err := gob.NewEncoder(z).Encode(b); err != nil {
		return nil, fmt.Errorf("pack a shard: %w", err)
	}
	err := z.Close()
	return out.Bytes(), err
}

func unpack(data []byte) (bulk, error) {
	var b bulk
	z, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		return b, err
	}
	return b, gob.NewDecoder(z).Decode(&b)
}
