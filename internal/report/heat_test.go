package report

import (
	"strings"
	"testing"
	"unicode/utf8"

	"cupel/internal/answer"
)

func num(v float64) *float64 { return &v }

// sampleHeat has one of everything.
func sampleHeat() answer.Heat {
	on := false
	a := answer.Heat{
		Head: answer.NewHead("heat", "sluice-5s", "x"), Ambient: num(40), Honest: num(13.7), HonestLow: num(7.4), HonestHigh: num(20.9),
		Limit: "trip", LimitAt: num(79.6), TripCold: num(29), TripHot: num(21.1), Cold: num(25), Hot: num(93.6), Runaway: num(34.6),
		TripLow: num(15), TripHigh: num(32.6), ShownAt: num(13.7), Settles: true, Holds: true, BoardAt: num(79.6),
	}
	a.Limits = []answer.HeatLimit{
		{Limit: "trip", Current: num(13.7), At: num(79.6), Warmth: true},
		{Limit: "junction", Part: "Q5.1", Current: num(15), At: num(100), Distance: num(1.3)},
		{Limit: "trip", Part: "U101", Current: num(15.5), Distance: num(1.8)},
		{Limit: "rating", Part: "F1", Current: num(16), Distance: num(2.3)},
		{Limit: "copper", Part: "copper path", Current: num(16.4), At: num(105), Distance: num(2.7)},
		{Limit: "runaway", Current: num(34.6), Distance: num(20.9)},
	}
	a.Parts = []answer.HeatPart{
		{Part: "Q5.1", Loss: num(0.456), Temperature: num(93.6), Limit: num(100), Basis: "assumed", Kind: "junction", Current: num(7.34)},
		{Part: "copper path", Loss: num(0.465), Temperature: num(106), Limit: num(105), Basis: "assumed", Kind: "copper", Current: num(13.7), Newer: num(121), OnChart: &on},
	}
	for k := 1; k <= 3; k++ {
		a.Bleeds = append(a.Bleeds, answer.HeatBleed{
			Cell: k, Part: "R" + string(rune('0'+k)) + "09", Volts: num(4.24), Current: num(0.0965), Loss: num(0.4), Temperature: num(113),
			Board: num(79), Rating: num(1), Derated: num(0.9), Holds: k < 3, Note: "rated 1 W by its size 2512; parts of 2 W exist too",
		})
	}
	a.Diodes = []answer.HeatDiode{
		{After: "overcharge", Flow: "discharging", Carries: true, Part: "Q6.1", Current: num(13.7), Drop: num(0.79), Loss: num(5.6), Channel: num(0.3), Limit: num(100), Time: num(1.78), Most: num(2.8)},
		{After: "overdischarge", Flow: "charging", Note: "the board lets no such current pass"},
	}
	a.Shorts = []answer.HeatShort{{
		Ohms: num(1e-3), Peak: num(271), Time: num(286e-6), Bank: "discharge", Part: "Q5.1", Energy: num(0.12), Start: num(94), Junction: num(261),
		Low: num(205), High: num(345), Limit: num(150), PeakVolts: num(37.9), Rated: num(40), Avalanche: num(0.061), Stands: num(0.09),
	}}
	a.Assumed = []string{"board area 25.8 cm² (12.9 to 51.6), from the parts' footprints at half filling"}
	return a
}

func TestHeatText(t *testing.T) {
	s := Heat(sampleHeat())
	for _, want := range []string{
		"sluice-5s carries 13.7 A for good in air of 40 °C (7.40 A to 20.9 A",
		"First to stand in the way: the board itself, which at 80 °C cuts by leakage",
		"Next, 1.30 A on: the junction of Q5.1 at 100 °C.",
		"the overcurrent trip of U101, with the board warm",
		"the rated current of F1",
		"Trip: 29.0 A in a pulse at 25 °C, 21.1 A once the board has settled",
		"106 °C (121 °C *)  105 °C, over",
		"1 to 2  R109 to R209",
		"too much for it; rated 1 W by its size 2512",
		"5.60 W in Q6.1 instead of 300 mW; 100 °C is reached in 1.78 s, and no more than 2.80 A can stay",
		"after overdischarge, charging: the board lets no such current pass",
		"too hot",
		"opened at once it would take 61.0 mJ",
		"board area 25.8 cm²",
	} {
		if !strings.Contains(strings.Join(strings.Fields(s), " "), strings.Join(strings.Fields(want), " ")) {
			t.Errorf("no %q in\n%s", want, s)
		}
	}
	for _, l := range strings.Split(s, "\n") {
		if utf8.RuneCountInString(l) > wide {
			t.Errorf("%d letters: %s", utf8.RuneCountInString(l), l)
		}
	}
}

// What becomes of the current that was asked for stands in the first paragraph.
func TestHeatAskedFor(t *testing.T) {
	for _, c := range []struct {
		amps           float64
		settles, holds bool
		want           string
	}{
		{5, true, true, "5.00 A is within that."},
		{14, true, true, "14.0 A is too much."},
		{20, true, false, "20.0 A is too much: the board would cut it."},
		{60, false, true, "Under 60.0 A it finds no rest: thermal runaway."},
	} {
		a := sampleHeat()
		a.Current, a.ShownAt, a.Settles, a.Holds = num(c.amps), num(c.amps), c.settles, c.holds
		if s := strings.Join(strings.Fields(Heat(a)), " "); !strings.Contains(s, c.want) {
			t.Errorf("no %q in %s", c.want, s)
		}
	}
}
