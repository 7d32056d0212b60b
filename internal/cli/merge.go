package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"cupel/internal/answer"
	"cupel/internal/dossier"
	"cupel/internal/report"
	"cupel/internal/study"
	"cupel/internal/study/batch"
	"github.com/spf13/cobra"
)

// predictShard does a part of a prediction and writes it for merge.
func (a *app) predictShard(ctx context.Context, d *dossier.Dossier, q asked) error {
	question, err := q.question(d.Board.Cells)
	if err != nil {
		return err
	}
	tell, wipe := a.progress(fmt.Sprintf("simulating %s, shard %s", d.Board.Name, q.shard))
	s, err := study.Shard(ctx, d, question, version().Version, batch.Runner(batch.Options{Workers: q.workers, Progress: tell}))
	wipe()
	if err != nil {
		return judge(err)
	}
	// A shard is read by merge alone: it is the same with --json and without.
	a.json = true
	if err := a.print(s, nil); err != nil {
		return err
	}
	if !s.Complete {
		return &exit{status: Stopped}
	}
	return nil
}

func (a *app) mergeCommand() *cobra.Command {
	return &cobra.Command{
		Use: "merge FILE…", Short: "put the shards of a prediction together", GroupID: groupPredict,
		Long: `Put the files that "cupel predict --samples N --shard I/N --out FILE" wrote together to the answer that one
run would have given, to the bit. Shards of different dossiers, seeds or versions are refused by name, and a
shard that is missing is named with the command that makes it. Exit status as for predict.`,
		Example: "cupel merge shard-1.json shard-2.json",
		Args:    cobra.ArbitraryArgs,
		RunE: func(_ *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			files, err := readShards(args)
			if err != nil {
				return err
			}
			p, err := study.Merge(files)
			if err != nil {
				return judge(err)
			}
			if err := a.print(p, func() string { return report.Text(p) }); err != nil {
				return err
			}
			return verdict(p, true)
		},
	}
}

// readShards reads the files of shards. One that cannot be read as such is left
// to the study, which names it beside the others.
func readShards(names []string) ([]study.ShardFile, error) {
	var out []study.ShardFile
	for _, name := range names {
		b, err := os.ReadFile(name)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, wrong("", "%s: there is no such file", name)
		}
		if err != nil {
			return nil, wrong("", "%w", err)
		}
		var s answer.Shard
		if json.Unmarshal(b, &s) != nil {
			s = answer.Shard{}
		}
		out = append(out, study.ShardFile{File: name, Shard: s})
	}
	return out, nil
}
