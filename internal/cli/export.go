package cli

import (
	"slices"
	"strings"

	"cupel/internal/protection"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

func (a *app) exportCommand() *cobra.Command {
	c := &cobra.Command{
		Use: "export", Short: "give a dossier's circuit to another program", GroupID: groupPublish,
		Long: "Give a dossier's circuit to another program.",
		Args: cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return unknownCommand(c, args[0])
			}
			return c.Help()
		},
		Example: "cupel export deck sluice-5s --trial load-short",
	}
	c.AddCommand(a.deckCommand("deck"), a.netsCommand())
	return c
}

func (a *app) deckCommand(use string) *cobra.Command {
	var word string
	var cell int
	var logic bool
	c := &cobra.Command{
		Use: use + " [DIR] --trial NAME [--cell K] [--logic]", Short: "print the circuit under a trial as SPICE cards",
		Long: `Print the whole circuit as SPICE cards, with cells, load and charger as a trial sets them, for the run in
which the protection acts. Protection ICs are state machines: their outputs are scripted as they moved. The deck
finds for itself when its waveforms cross the thresholds; with the delays that must be where the edges are scripted.
With --logic the ICs are latched comparators instead, which find the thresholds and move the outputs themselves.`,
		Example: "cupel export deck sluice-5s --trial overcharge --cell 3 --out overcharge.cir",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			if word == "" {
				return wrong("one of: "+strings.Join(trialWords(), ", "), "name the trial with --trial")
			}
			q := asked{trials: []string{word}}
			if c.Flags().Changed("cell") {
				q.cells = []int{cell}
			}
			_, d, err := open(args)
			if err != nil {
				return err
			}
			if _, err := q.question(d.Board.Cells); err != nil {
				return err
			}
			ans, err := study.Deck(c.Context(), d, study.DeckQuestion{Trial: protection.Trial(word), Cell: slices.Max(append(q.cells, 0)), Logic: logic})
			if err != nil {
				return judge(err)
			}
			return a.print(ans, func() string { return ans.Cards })
		},
	}
	c.Flags().StringVar(&word, "trial", "", "the circuit under the trial `NAME`")
	c.Flags().BoolVar(&logic, "logic", false, "protection ICs as latched comparators instead of scripts")
	c.Flags().IntVar(&cell, "cell", 0, "the trial of cell `K`")
	_ = c.RegisterFlagCompletionFunc("trial", cobra.FixedCompletions(trialWords(), cobra.ShellCompDirectiveNoFileComp))
	return c
}

func (a *app) netsCommand() *cobra.Command {
	return &cobra.Command{
		Use: "nets [DIR]", Short: "print the nets, pad by pad, as records of IPC-D-356A",
		Long: `Print which pads are one piece of copper, in the records of IPC-D-356A by which bare boards are tested.
Parts in parallel have pads of their own; pin numbers are those of the part sheet's package, else the order of
the pins. Pads whose place is not known stand at 0, 0, and a comment in the file says so.`,
		Example: "cupel export nets sluice-5s --out sluice-5s.356",
		Args:    most(1),
		RunE: func(_ *cobra.Command, args []string) error {
			d, err := a.subject(args)
			if err != nil {
				return err
			}
			ans, err := study.Nets(d)
			if err != nil {
				return judge(err)
			}
			return a.print(ans, func() string { return ans.Records })
		},
	}
}
