package heat

import (
	"fmt"
	"testing"

	"cupel/internal/circuit/circuittest/documented"
	"cupel/internal/conductor"
)

func TestDocumented(t *testing.T) {
	c := func(kelvin float64) float64 { return kelvin - zeroCelsius }
	documented.Says(t,
		fmt.Sprintf("h = %g W/(m²·K) (%g to %g)", film.Typ, film.Min, film.Max),
		fmt.Sprintf("a factor of %d either way", areaFactor),
		fmt.Sprintf("with more than %g %% in the board", boardShare*100),
		fmt.Sprintf("(k = %g W/(m·K), without a word %d layers of %g µm over %g %%)", copperConducts, layers, conductor.Ounce*1e6, cover.Typ*100),
		fmt.Sprintf("settles with %g s", TimeConstant()),
		fmt.Sprintf("half an hour is %.0f of these", 1800/TimeConstant()),
		fmt.Sprintf("full loss up to %g °C and none at %g °C", c(deratedFrom), c(chipMost)),
		fmt.Sprintf("a resistance of %.0f K over its rating", chipMost-deratedFrom),
		fmt.Sprintf("Junctions at %g °C or %g K under the sheet's most, chip resistors at %g °C, copper at %g °C, wires at %g °C unless stated, strips at %g °C",
			c(fairJunction), belowMost, c(chipMost), c(laminateMost), c(insulationMost), c(stripMost)),
		fmt.Sprintf("%g %% of a fuse's", fuseShare*100),
		fmt.Sprintf("up to %.0f °C; beyond that", c(sheetMost)),
		fmt.Sprintf("the largest I with g ≤ %g", gainSeen),
		fmt.Sprintf("only %.0f %% or more further up", (blameShare-1)*100),
		fmt.Sprintf("(%g %% with %.0f µs, %g %% with %g ms, %g %% with %g ms, %g %% with %g ms)",
			dieShape[0].KelvinPerWatt*100, dieShape[0].Seconds*1e6, dieShape[1].KelvinPerWatt*100, dieShape[1].Seconds*1e3,
			dieShape[2].KelvinPerWatt*100, dieShape[2].Seconds*1e3, dieShape[3].KelvinPerWatt*100, dieShape[3].Seconds*1e3),
		fmt.Sprintf("a factor of %g", dieFactor),
	)
}
