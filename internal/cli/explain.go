package cli

import (
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/report"
	"cupel/internal/study"
	"cupel/internal/study/batch"
	"github.com/spf13/cobra"
)

// kept are the flags of the commands that try many faults.
type kept struct {
	file    string
	fresh   bool
	workers int
}

func (k *kept) flags(c *cobra.Command) {
	c.Flags().StringVar(&k.file, "keep", "", "keep what is done in `FILE`, not in the user's cache, and go on from what it holds")
	c.Flags().BoolVar(&k.fresh, "fresh", false, "compute everything anew: leave the user's cache alone")
	c.Flags().IntVar(&k.workers, "workers", 0, "try `N` faults at a time; 0: one a core")
}

// runner is what runs the faults, with progress, and what wipes that away.
func (a *app) runner(what string, workers int) (study.Runner, func()) {
	tell, wipe := a.progress(what)
	return batch.Runner(batch.Options{Workers: workers, Progress: tell}), wipe
}

func (a *app) explainCommand() *cobra.Command {
	var k kept
	c := &cobra.Command{
		Use: "explain [DIR] [PART]", Short: "say what every part is for, and how that is known", GroupID: groupUnderstand,
		Long: `Say what each part of a board is for: by how it is wired, and by what is missed when it is open or
shorted. Each sentence has its grade and what it rests on; what neither explains is unknown, with the
measurement that would tell most. A person's word in roles.yaml goes before. With PART only that part.`,
		Example: "cupel explain sluice-5s R405",
		Args:    most(2),
		RunE: func(c *cobra.Command, args []string) error {
			d, part, err := a.openPart(args)
			if err != nil {
				return err
			}
			keep, done, err := k.open()
			if err != nil {
				return err
			}
			run, wipe := a.runner("explaining "+d.Board.Name, k.workers)
			ans, err := study.Explain(c.Context(), d, part, run, keep)
			wipe()
			done()
			if err != nil {
				return judge(err)
			}
			return a.partly(ans, ans.Complete, func() string { return report.Explain(ans) })
		},
	}
	k.flags(c)
	return c
}

func (a *app) faultsCommand() *cobra.Command {
	var k kept
	var part string
	c := &cobra.Command{
		Use: "faults [DIR] [--part P]", Short: "try every single fault: which takes a protection away unseen", GroupID: groupUnderstand,
		Long: `Simulate the board with each single fault: every part open, shorted, ten times too large and too small,
every pin open, neighbouring pins bridged, every lead of the cells broken. For each say which protection
of which cell is lost or changed, whether normal use would show it, and whether it is safe. Silent losses
come first. What was computed is kept by its content in the user's cache: work that was stopped goes on
where it was, and no board is computed twice.`,
		Example: "cupel faults sluice-5s --part R405",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			var names []string
			if part != "" {
				names = []string{part}
			}
			d, _, err := a.openPart(append(first(args), names...))
			if err != nil {
				return err
			}
			keep, done, err := k.open()
			if err != nil {
				return err
			}
			run, wipe := a.runner("trying faults of "+d.Board.Name, k.workers)
			ans, err := study.Faults(c.Context(), d, part, run, keep)
			wipe()
			done()
			if err != nil {
				return judge(err)
			}
			return a.partly(ans, ans.Complete, func() string { return report.Faults(ans) })
		},
	}
	c.Flags().StringVar(&part, "part", "", "only this part, or this pad's lead: `P`")
	k.flags(c)
	return c
}

// partly prints an answer that may have been stopped.
func (a *app) partly(ans any, complete bool, text func() string) error {
	if err := a.print(ans, text); err != nil {
		return err
	}
	if !complete {
		return &exit{status: Stopped}
	}
	return nil
}

// first is the first of the arguments, if there is one.
func first(args []string) []string { return args[:min(len(args), 1)] }

// openPart reads the dossier of DIR and looks for PART, both optional: a single
// word is the folder.
func (a *app) openPart(args []string) (*dossier.Dossier, string, error) {
	d, err := a.subject(first(args))
	if err != nil || len(args) < 2 {
		return d, "", err
	}
	if _, ok := d.Board.Part(args[1]); ok {
		return d, args[1], nil
	}
	if _, ok := d.Board.Pad(args[1]); ok {
		return d, args[1], nil
	}
	var refs []string
	for i := range d.Board.Parts {
		refs = append(refs, d.Board.Parts[i].Ref)
	}
	do := "the parts are those of board.yaml"
	if near := finding.Nearest(args[1], refs); near != "" {
		do = "did you mean " + near + "?"
	}
	return nil, "", wrong(do, "the board has no part %s", args[1])
}
