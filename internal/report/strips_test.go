package report

import (
	"testing"

	"cupel/internal/answer"
)

// A figure is set beside the claim of its own stage and state, never another's.
func TestStripClaims(t *testing.T) {
	v, room, limit := 40.0, 25.0, 50.0
	row := func(stage, state string) answer.Result {
		return answer.Result{
			Trial: "discharge-overcurrent", Quantity: "detect", Unit: "A", Outcome: "found", Value: &v, Temperature: &room,
			Stage: answer.Text(stage), State: answer.Text(state),
		}
	}
	claim := func(name, verdict string) answer.Claim {
		return answer.Claim{
			Name: name, Trial: "discharge-overcurrent", Quantity: "detect", Unit: "A", Temperature: &room, Verdict: verdict,
			Stated: answer.Limits{Max: &limit},
		}
	}
	a := answer.Predict{Prediction: answer.Prediction{
		Results: []answer.Result{row("1", "idle"), row("2", "idle"), row("short", "idle")},
		Claims: []answer.Claim{
			claim("discharge overcurrent detect", "meets"), claim("discharge overcurrent detect, stage 2", "fails"),
			claim("discharge overcurrent detect, after overdischarge", "fails"),
		},
	}}
	want := map[string]string{"1": "discharge overcurrent detect", "2": "discharge overcurrent detect, stage 2", "short": ""}
	strips := Strips(a)
	if len(strips) != len(want) {
		t.Fatalf("%d strips", len(strips))
	}
	for _, s := range strips {
		got := ""
		if s.Stated != nil {
			got = s.Stated.Name
		}
		if got != want[s.Stage] {
			t.Errorf("stage %s is set beside %q, want %q", s.Stage, got, want[s.Stage])
		}
	}
}
