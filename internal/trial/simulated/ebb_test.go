package simulated_test

import (
	"math"
	"slices"
	"testing"

	"cupel/internal/circuit/transient"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// What rings on after a short is followed less closely: with fewer iterations, but
// to the same peaks, energy and time as with the tolerance of a short throughout.
func TestShortEndsAsIfFollowedCloselyThroughout(t *testing.T) {
	loop := rig.Load{Kind: rig.Short, Value: noted, Lead: rig.Lead{Ohms: 10e-3, Henry: 1e-6}}
	run := func(solve transient.Options) (k turnOff, iterations int) {
		s := with(t, simulated.Options{Solve: solve}, sluice)
		s.wait(0.3)
		before := s.Iterations()
		k = s.turnOff(loop)
		return k, s.Iterations() - before
	}
	k, work := run(transient.Options{})
	strict, most := run(transient.Options{Volts: 2e-3, Fastest: 5e-9})
	if work > most*9/10 {
		t.Errorf("%d iterations instead of %d", work, most)
	}
	cut := func(k turnOff) float64 {
		seconds, _ := k.rise(2.5, 7)
		return seconds
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"peak current", slices.Max(k.amps), slices.Max(strict.amps)},
		{"peak voltage of the bank", slices.Max(k.drain), slices.Max(strict.drain)},
		{"energy in the bank", k.joules, strict.joules},
		{"rise of the drain", cut(k), cut(strict)},
	} {
		if !(math.Abs(c.got/c.want-1) < 1e-3) {
			t.Errorf("%s: %.6g, closely followed throughout %.6g", c.what, c.got, c.want)
		}
	}
}
