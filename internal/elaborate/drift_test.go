package elaborate

import (
	"math"
	"testing"
)

// Drifts by hand, with the gates' capacitance as the sheet has it, 2 × 2.2 nF a
// bank of two: R3 ∥ R4 and R11 of the chain; what the stack protector's push-pull
// output drives through 1 kΩ does not drift, its open-drain one leaves the charge
// gate to R10.
func TestDrift(t *testing.T) {
	for _, c := range []struct {
		board, bank    string
		farads, pulled float64
	}{
		{"chain-5s.yaml", "discharge", 4.4e-9, 1 / (1/1e6 + 1/10e6)},
		{"chain-5s.yaml", "charge", 4.4e-9, 1e6},
		{"stack-3s.yaml", "discharge", 4.4e-9, 1e3},
		{"stack-3s.yaml", "charge", 2.2e-9, 3.3e6},
	} {
		got, _ := elaborated(t, load(t, c.board))
		for _, b := range got.Banks {
			// With the drain below the gate the Miller capacitance exceeds C_rss.
			if want := c.farads * c.pulled; b.Name == c.bank && !(b.Drift > 0.9*want && b.Drift < 1.6*want) {
				t.Errorf("%s, %s bank drifts in %.3g s, want %.3g s", c.board, c.bank, b.Drift, want)
			}
		}
	}
}

// A gate resistor before the pull-up changes next to nothing.
func TestDriftPastAGateResistor(t *testing.T) {
	text := load(t, "chain-5s.yaml")
	whole, _ := elaborated(t, text)
	split, _ := elaborated(t, edit(t, text,
		"R11: {value: 1 MΩ ±5 %, size: 0603, pins: [C3, GC]}",
		"R11: {value: 1 MΩ, pins: [C3, GCX]}\n  R99: {value: 1 kΩ, pins: [GCX, GC]}"))
	if a, b := whole.Banks[1].Drift, split.Banks[1].Drift; !(math.Abs(b-a) <= 2e-3*a) {
		t.Errorf("charge gates drift in %.4g s, with a gate resistor in %.4g s", a, b)
	}
}
