package cli

import (
	"context"
	"errors"
	"os"

	"cupel/internal/report"
	"cupel/internal/ringout/rehearse"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

func (a *app) ringoutRehearseCommand() *cobra.Command {
	var q study.Rehearsal
	c := &cobra.Command{
		Use: "rehearse [DIR] [--truth FILE] [--error-rate P] [--seed N]", Short: "play the whole ring-out of a known board: how many touches it takes",
		Long: `Play the whole ring-out against a board that is known: the dossier's own nets, or those of another board.yaml.
The planner is given parts, packages and pin functions, and no net. References and order are shuffled first.
A touch is one pair probed; a bridge counts its pads once and then serves. Beside the touches stand the least
that any way takes, one representative a net, and every pair. With an error rate the meter takes an open pair for
connected, a connected one for open, and copper for a low value, each at that rate. The dossier stays as it is.
Exit status 1 if a net comes out wrong and nothing says so.`,
		Example: "cupel ringout rehearse sluice-5s --seed 7",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			if !(q.ErrorRate >= 0 && q.ErrorRate < 0.25) {
				return wrong("", "--error-rate: %g is outside 0 to 0.25", q.ErrorRate)
			}
			_, d, err := open(args)
			if err != nil {
				return err
			}
			if q.TruthFile != "" {
				if q.Truth, err = os.ReadFile(q.TruthFile); err != nil {
					return wrong("", "%w", err)
				}
			}
			ans, err := study.RingoutRehearse(c.Context(), d, q)
			if err != nil {
				return notRehearsed(err)
			}
			if err := a.print(ans, func() string { return report.RingoutRehearse(ans) }); err != nil {
				return err
			}
			if len(ans.WrongNets) > 0 {
				return &exit{status: Negative}
			}
			return nil
		},
	}
	f := c.Flags()
	f.StringVar(&q.TruthFile, "truth", "", "probe the board of `FILE`, a board.yaml with the same parts")
	f.Float64Var(&q.ErrorRate, "error-rate", 0, "the meter errs at the rate `P`, as 0.02")
	f.Uint64Var(&q.Seed, "seed", 1, "`N` fixes shuffling and errors")
	return c
}

func notRehearsed(err error) error {
	var endless *rehearse.Endless
	if errors.As(err, &endless) {
		return &exit{status: NotComputed, err: err, do: "a smaller error rate, or report the board: the planner should come to an end"}
	}
	if errors.Is(err, context.Canceled) {
		return &exit{status: Stopped}
	}
	return judge(err)
}
