package cli

import (
	"cupel/internal/report"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

func (a *app) checkCommand() *cobra.Command {
	return &cobra.Command{
		Use: "check [DIR]", Short: "say what is wrong with a dossier's texts and structure", GroupID: groupRead,
		Long: `Read a dossier and say everything that is wrong with it in one pass: mistakes in the texts with their
place and a suggestion, then rules of structure. Exit status 1 if the structure has an error, 2 if the
texts have.`,
		Example: "cupel check sluice-5s",
		Args:    most(1),
		RunE: func(_ *cobra.Command, args []string) error {
			d, err := a.subject(args)
			if err != nil {
				return err
			}
			ans, err := study.Check(d)
			if err != nil {
				return judge(err)
			}
			if err := a.print(ans, func() string { return report.Check(ans) }); err != nil {
				return err
			}
			return errorsAmong(ans.Findings)
		},
	}
}
