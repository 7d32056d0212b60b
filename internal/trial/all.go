package trial

import "math/rand/v2"

// All lists every trial in the order they are run and printed. random gives
// the random numbers of a first connection's random orders, see there.
func All(random func(i int) rand.Source) []Trial {
	return []Trial{
		FirstConnection{Source: random},
		SupplyCurrent{},
		Path{},
		Overcharge{},
		Overdischarge{},
		DischargeOvercurrent{},
		ChargeOvercurrent{},
		LoadShort{},
		Balance{},
		Temperature{},
		Release{},
	}
}
