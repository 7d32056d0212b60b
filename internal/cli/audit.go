package cli

import (
	"cupel/internal/answer"
	"cupel/internal/finding"
	"cupel/internal/report"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

func (a *app) auditCommand() *cobra.Command {
	return &cobra.Command{
		Use: "audit [DIR]", Short: "say which stated figures cannot be true together", GroupID: groupRead,
		Long: `Hold the figures of claims.yaml against each other, with no circuit and nothing measured: trip current
against sense voltage and resistance, charger against cells, balancing against overcharge, heat against
the board's size, and so on. Each finding prints its arithmetic and what to ask or measure. Exit status
1 if two figures cannot both be true, 2 if the texts are wrong.`,
		Example: "cupel audit sluice-5s",
		Args:    most(1),
		RunE: func(_ *cobra.Command, args []string) error {
			d, err := a.subject(args)
			if err != nil {
				return err
			}
			ans, err := study.Audit(d)
			if err != nil {
				return judge(err)
			}
			if err := a.print(ans, func() string { return report.Audit(ans) }); err != nil {
				return err
			}
			return errorsAmong(ans.Findings)
		},
	}
}

// errorsAmong is the exit of an answer of which an error finding is a result.
func errorsAmong(fs []answer.Finding) error {
	for _, f := range fs {
		if f.Level == finding.Error.String() {
			return &exit{status: Negative}
		}
	}
	return nil
}
