package cli

import (
	"strings"

	"cupel/internal/dossier"
	"cupel/internal/protection"
	"cupel/internal/report"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

func (a *app) voltagesCommand() *cobra.Command {
	var state string
	var cell int
	c := &cobra.Command{
		Use: "voltages [DIR] [--state S] [--cell K]", Short: "say what a meter reads on every net, and what each part sees", GroupID: groupUnderstand,
		Long: `Map the voltage of every net over B− in one state: idle, charging, discharging, or after a trial has
tripped the board, as "after overdischarge"; --cell names the cell that tripped. Below stands how near
each part comes to what it stands, over all states and every instant of the cuts.`,
		Example: "cupel voltages sluice-5s --state idle",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			d, err := a.subject(args)
			if err != nil {
				return err
			}
			if err := hasCell(cell, d); err != nil {
				return err
			}
			ans, err := study.Voltages(c.Context(), d, state, cell)
			if err != nil {
				return judge(err)
			}
			return a.print(ans, func() string { return report.Voltages(ans) })
		},
	}
	c.Flags().StringVar(&state, "state", "idle", "the state to map: `S`")
	c.Flags().IntVar(&cell, "cell", 0, "the cell that tripped: `K`")
	return c
}

func (a *app) storyCommand() *cobra.Command {
	var name string
	var cell int
	c := &cobra.Command{
		Use: "story [DIR] --trial NAME [--cell K]", Short: "tell how a protection acts, link by link, from the stimulus to the bank", GroupID: groupUnderstand,
		Long: `Trip the simulated board and tell the chain of causes in order, with times and voltages: who decided, which
part moved which net, when the bank was off. Each link is checked by taking it out and tripping the board
again.`,
		Example: "cupel story sluice-5s --trial overdischarge --cell 5",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			d, err := a.subject(args)
			if err != nil {
				return err
			}
			if err := hasCell(cell, d); err != nil {
				return err
			}
			if name == "" {
				return wrong("one of: "+strings.Join(trialWords(), ", "), "name the trial: --trial NAME")
			}
			word, err := trialOf(name, d)
			if err != nil {
				return err
			}
			ans, err := study.Story(c.Context(), d, word, cell)
			if err != nil {
				return judge(err)
			}
			return a.print(ans, func() string { return report.Story(ans) })
		},
	}
	c.Flags().StringVar(&name, "trial", "", "the trial that trips: `NAME`")
	c.Flags().IntVar(&cell, "cell", 0, "the cell that trips, where the trial is of one; the lowest if none is named: `K`")
	_ = c.RegisterFlagCompletionFunc("trial", cobra.FixedCompletions(trialWords(), cobra.ShellCompDirectiveNoFileComp))
	return c
}

// trialOf is the one trial of that name.
func trialOf(name string, d *dossier.Dossier) (protection.Trial, error) {
	q, err := (asked{trials: []string{name}}).question(d.Board.Cells)
	if err != nil {
		return "", err
	}
	return q.Trials[0], nil
}

func hasCell(k int, d *dossier.Dossier) error {
	if k < 0 || k > d.Board.Cells {
		return wrong("", "there is no cell %d: the board has cells 1 to %d", k, d.Board.Cells)
	}
	return nil
}
