package study

import (
	"slices"
	"testing"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/protection"
	"cupel/internal/study/batch"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// Trial by trial a board is predicted as in one run. Only what is assumed and
// warned of may stand in another order.
func TestJoin(t *testing.T) {
	t.Parallel()
	texts, _ := demo.Texts("hive-3s")
	d, run := dossier.OfTexts(texts), batch.Runner(batch.Options{})
	want, err := Predict(t.Context(), d, Question{}, run)
	if err != nil {
		t.Fatal(err)
	}
	var parts []Part
	for _, word := range slices.Backward(protection.Trials) {
		p, err := Predict(t.Context(), d, Question{Trials: []protection.Trial{word}}, run)
		if err != nil {
			t.Fatal(err)
		}
		parts = append(parts, Part{word, p})
	}
	got := Join(parts)
	for _, p := range []*Prediction{&got, &want} {
		slices.Sort(p.Answer.Assumed)
		slices.Sort(p.Answer.Cautions)
	}
	if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("joined is not what one run gives:\n%s", diff)
	}
	if Join(nil).Answer.Complete {
		t.Error("nothing is complete")
	}
}
