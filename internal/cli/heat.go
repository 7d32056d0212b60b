package cli

import (
	"cupel/internal/quantity"
	"cupel/internal/report"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

// heatAsked are the flags of heat.
type heatAsked struct{ ambient, current float64 }

// usualAmbient is the air around a board where nothing else is said, °C.
const usualAmbient = 40

func (a *app) heatCommand() *cobra.Command {
	var q heatAsked
	c := &cobra.Command{
		Use: "heat [DIR] [--ambient C] [--current A]", GroupID: groupPredict,
		Short: "tell how warm the board gets and what current it honestly carries",
		Long: `Solve the currents of the whole circuit and the temperatures of its parts together, until they agree or
run away. The honest current is the largest under which every limit still holds after half an hour:
junctions, resistors, copper, wires, ratings and the board's own trip, which comes down as it warms.
Also: trips cold and warm, bleed resistors, a bank that is off while its body diodes carry the current,
and the junctions in a short. What carries and cools (board area, copper, wires) is taken from the
copper section of board.yaml; what it does not say is assumed, and named.`,
		Example: "cupel heat sluice-5s --ambient 40 --current 25",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			question, err := q.question(c.Flags().Changed("current"))
			if err != nil {
				return err
			}
			_, d, err := open(args)
			if err != nil {
				return err
			}
			ans, err := study.Heat(c.Context(), d, question)
			if err != nil {
				return judge(err)
			}
			return a.print(ans, func() string { return report.Heat(ans) })
		},
	}
	f := c.Flags()
	q.ambient = usualAmbient
	f.Var(amount{&q.ambient, quantity.Temperature, "C"}, "ambient", "air of `C` °C around the board")
	f.Var(amount{&q.current, quantity.Current, "A"}, "current", "show the parts under a load of `A` ampere; without it under the honest current")
	return c
}

// mostCurrent is more than any board of the trade is sold for.
const mostCurrent = 2000 // A

// question checks the flags.
func (q heatAsked) question(asked bool) (study.HeatQuestion, error) {
	switch {
	case !(q.ambient >= coldest && q.ambient <= hottest):
		return study.HeatQuestion{}, wrong("", "--ambient: %g °C is outside %d to %d °C", q.ambient, coldest, hottest)
	case asked && !(q.current > 0 && q.current <= mostCurrent):
		return study.HeatQuestion{}, wrong("", "--current: %g A is outside 0 to %d A", q.current, mostCurrent)
	}
	return study.HeatQuestion{Ambient: q.ambient + 273.15, Amps: q.current}, nil
}
