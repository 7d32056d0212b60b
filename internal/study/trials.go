package study

import "cupel/internal/trial"

// trials are all there are, in the order they are run and printed.
var trials = []trial.Trial{
	trial.Overcharge{}, trial.Overdischarge{}, trial.DischargeOvercurrent{}, trial.ChargeOvercurrent{}, trial.LoadShort{},
}
