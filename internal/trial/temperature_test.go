package trial

import (
	"math"
	"testing"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
)

func TestTemperature(t *testing.T) {
	for name, fresh := range map[string]func() rig.Rig{"plain": on(five()), "bench": onBench(five())} {
		t.Run(name, func(t *testing.T) {
			rs := runTrial(t, Temperature{}, fresh)
			for _, c := range []struct {
				port, side    string
				cut, back     float64
				state, broken string
			}{
				{"charge", "cold", 27e3, 22e3, "open", "thermistor open"},
				{"charge", "hot", 4.9e3, 6e3, "open", "thermistor short"},
				{"discharge", "hot", 2.6e3, 3.2e3, "open", "thermistor short"},
			} {
				m := []func(Result) bool{portOf(c.port), stage(c.side), atStep("")}
				want(t, rs.pick(t, protection.CutResistance, m...), c.cut, 0.01*c.cut)
				want(t, rs.pick(t, protection.ReleaseResistance, m...), c.back, 0.01*c.back)
				kelvin := 1 / (1/298.15 + math.Log(c.cut/10e3)/3435)
				want(t, rs.pick(t, protection.CutTemperature, m...), kelvin, 0.3)
				wantWord(t, rs.pick(t, protection.StateAfter, portOf(c.port), stage(c.side), atStep(c.broken)), c.state)
			}
			want(t, rs.pick(t, protection.CutResistance, portOf("discharge"), stage("cold"), atStep("becomes a diode")), 27e3, 270)
			r := rs.pick(t, protection.CutResistance, portOf("discharge"), stage("cold"), atStep(""))
			wantOutcome(t, r, protection.NoneFound, "")
			if r.SearchedTo != 1e6 || r.SearchedUnit != "Ω" {
				t.Errorf("searched to %g %s", r.SearchedTo, r.SearchedUnit)
			}
		})
	}
}

func TestTemperatureOutcomes(t *testing.T) {
	b := five()
	b.Cold.Back = 1 // below anything the box is set to on the way back
	wantOutcome(t, runTrial(t, Temperature{}, on(b)).pick(t, protection.ReleaseResistance, portOf("charge"), stage("cold")), protection.NeverReleases, "")
	b.Cold, b.Hot, b.HotDischarge = rigtest.Limit{}, rigtest.Limit{}, rigtest.Limit{}
	wantOutcome(t, runTrial(t, Temperature{}, on(b)).pick(t, protection.CutResistance, portOf("charge")), protection.NotApplicable, "no thermistor")
}

// The thermistor is given back.
func TestTemperatureGivesTheThermistorBack(t *testing.T) {
	r := rigtest.NewIdeal(five())
	last := &thermistor{Rig: r}
	if _, _, err := (Temperature{}).Jobs(r.Can())[1].Run(t.Context(), last); err != nil {
		t.Fatal(err)
	}
	if !math.IsNaN(last.ohms) {
		t.Errorf("the box was left at %g Ω", last.ohms)
	}
}

type thermistor struct {
	rig.Rig
	ohms float64
}

func (r *thermistor) SetThermistor(ohms float64) error {
	r.ohms = ohms
	return r.Rig.SetThermistor(ohms)
}
