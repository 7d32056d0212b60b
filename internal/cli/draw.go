package cli

import (
	"fmt"
	"strings"

	"cupel/internal/answer"
	"cupel/internal/protection"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

func (a *app) drawCommand() *cobra.Command {
	var v study.View
	var word string
	c := &cobra.Command{
		Use: "draw [DIR] [--show WHAT]", Short: "draw the circuit as a schematic in function order", GroupID: groupUnderstand,
		Long: `Draw the circuit: taps as rails with the highest potential at the top, a slice for each cell, the lines they
share, the chains behind them, the switches along the bottom. With --out the picture goes to that SVG file
and a line says what came out; without, the picture itself is printed. --show writes on top, moving nothing:
roles, grades, voltages of a --state, stress in the worst state, or the story of a --trial by number.`,
		Example: "cupel draw sluice-5s --show story --trial overdischarge --cell 4 --out sheet.svg",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			d, err := a.subject(args)
			if err != nil {
				return err
			}
			if err := hasCell(v.Cell, d); err != nil {
				return err
			}
			if word != "" {
				if v.Trial, err = trialOf(word, d); err != nil {
					return err
				}
			}
			ans, err := study.Draw(c.Context(), d, v)
			if err != nil {
				return judge(err)
			}
			return a.picture(ans)
		},
	}
	f := c.Flags()
	f.StringVar(&v.Show, "show", "", "show on top: `WHAT` is "+strings.Join(study.Shows(), ", "))
	f.StringVar(&v.State, "state", "", "the state of voltages; idle if none is named: `S`")
	f.StringVar(&word, "trial", "", "the trial of a story; "+string(protection.Overdischarge)+" if none is named: `NAME`")
	f.IntVar(&v.Cell, "cell", 0, "the cell that trips; the lowest if none is named: `K`")
	_ = c.RegisterFlagCompletionFunc("show", cobra.FixedCompletions(study.Shows(), cobra.ShellCompDirectiveNoFileComp))
	_ = c.RegisterFlagCompletionFunc("trial", cobra.FixedCompletions(trialWords(), cobra.ShellCompDirectiveNoFileComp))
	return c
}

// picture writes a picture to the file of --out and says what it is, or prints
// it.
func (a *app) picture(ans answer.Draw) error {
	if a.out == "" || a.out == "-" {
		return a.print(ans, func() string { return string(ans.SVG) })
	}
	if err := a.write(a.out, []byte(ans.SVG)); err != nil {
		return err
	}
	ans.File, ans.SVG = answer.Text(a.out), ""
	a.out = "" // the file is the picture; the answer is about it
	return a.print(ans, func() string { return pictured(ans) })
}

// pictured says what came out.
func pictured(d answer.Draw) string {
	s := fmt.Sprintf("%s: %d parts, %d nets; %d crossings, %d bends, %d overlaps\n", d.File, d.Parts, d.Nets, d.Crossings, d.Bends, d.Overlaps)
	if n := len(d.Unplaced); n > 0 {
		s += fmt.Sprintf("  %d not placed in any function: %s\n", n, strings.Join(d.Unplaced, " "))
	}
	return s
}
