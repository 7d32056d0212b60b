package rigtest

import (
	"testing"

	"cupel/internal/trial/rig"
)

// five is an ordinary board.
func five() Board {
	return Board{
		Cells: 5, Full: 4.2, Middle: 3.7, CellOhms: 12e-3, PathOhms: 8e-3,
		Over:  []Limit{{4.25, 4.10, 1.0, 2e-3}},
		Under: []Limit{{2.5, 3.0, 0.1, 2e-3}},
		Load:  []Stage{{30, 10e-3}, {90, 250e-6}}, LoadRule: LoadOff, LoadBack: 5e-3, HoldOhms: 1e6,
		Charge: Stage{20, 10e-3}, ChargeRule: ChargerOff,
		Supply: 6e-6,
	}
}

func TestIdealPasses(t *testing.T) {
	Suite(t, func() rig.Rig { return NewIdeal(five()) })
}

func TestIdealWithoutChargePort(t *testing.T) {
	Suite(t, func() rig.Rig {
		b := five()
		b.NoCharge = true
		return NewIdeal(b)
	})
}
