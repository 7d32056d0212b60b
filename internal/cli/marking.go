package cli

import (
	"errors"
	"fmt"

	"cupel/internal/finding"
	"cupel/internal/quantity"
	"cupel/internal/report"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

func (a *app) markingCommand() *cobra.Command {
	var measured []string
	c := &cobra.Command{
		Use: "marking CODE… [--measured R]", Short: "read what is printed on a resistor or a capacitor", GroupID: groupRead,
		Long: `Read the marks of resistors and capacitors: three and four digits, EIA-96, a letter in place of the point,
the letter and digit of ceramic capacitors, links. A mark with several readings shows all of them and what
would decide. With --measured the readings are held against a meter: one value for all marks, or the flag
once for each. A number without unit is ohms. Measure the part off the board: what lies across it counts too.`,
		Example: "cupel marking 472 22R --measured 4.68k --measured 22.1",
		RunE: func(c *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			if len(args) == 0 {
				return wrong("for example: cupel marking 472", "name the marks to read")
			}
			qs, err := measuredOf(measured, len(args))
			if err != nil {
				return err
			}
			ans, err := study.Marking(args, qs)
			var unread *finding.Errors
			if errors.As(err, &unread) {
				return &exit{
					status: Wrong, findings: unread.List,
					err: fmt.Errorf("%d of %d marks cannot be read", len(unread.List), len(args)),
				}
			}
			return a.print(ans, func() string { return report.Marking(ans) })
		},
	}
	c.Flags().StringArrayVar(&measured, "measured", nil, "what a meter showed: `R` as in 4.68k, or 97 nF")
	return c
}

// measuredOf reads the values of --measured: none, one for all, or one each.
func measuredOf(texts []string, marks int) ([]quantity.Quantity, error) {
	if len(texts) > 1 && len(texts) != marks {
		return nil, wrong("give one value for all marks, or one for each", "%d marks and %d measured values", marks, len(texts))
	}
	var out []quantity.Quantity
	for _, text := range texts {
		q, err := study.Measured(text)
		if err != nil {
			return nil, wrong("write ohms or farads: 4.68k, 0R22, 97 nF", "%w", err)
		}
		out = append(out, q)
	}
	return out, nil
}
