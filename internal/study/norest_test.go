package study_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"cupel/internal/answer"
	"cupel/internal/board/review"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/study"
	"cupel/internal/study/batch"
)

// A board without parts is no board of which everything is undefined.
func TestNothingToCompute(t *testing.T) {
	d, err := dossier.Read(fstest.MapFS{"board.yaml": {Data: []byte(
		"cupel: 1\nboard: bare\ncells: 2\npads: {B-: bminus, T1: tap1, B+: tap2, P+: tap2, P-: pminus}\nparts: {}\n")}})
	if err != nil {
		t.Fatal(err)
	}
	_, err = study.Predict(t.Context(), d, study.Question{}, batch.Runner(batch.Options{}))
	var refused *finding.Errors
	if !errors.As(err, &refused) || refused.List[0].Code != review.NoParts || !strings.Contains(refused.List[0].Text, "no parts") {
		t.Errorf("got %v, want an error %s that says the board has no parts", err, review.NoParts)
	}
	if a, err := study.Check(d); err != nil || len(a.Findings) != 1 || a.Findings[0].Level != "note" {
		t.Errorf("check says %v, %v; that parts are still missing is a note there", a.Findings, err)
	}
}

// A board without a state of rest says so by name, and its trials are run: made
// board 149 with the capacitor over its high-side load port bridged.
func TestNoRestIsToldAndTried(t *testing.T) {
	name, d, q := mutant(t, 149)
	p, err := study.Predict(t.Context(), d, q, batch.Runner(batch.Options{}))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	told := slices.ContainsFunc(p.Answer.Findings, func(f answer.Finding) bool {
		return string(f.Code) == study.Restless && strings.Contains(f.Text, "U1")
	})
	if !told || len(p.Answer.Results) == 0 {
		t.Errorf("%s: findings %v, %d results", name, p.Answer.Findings, len(p.Answer.Results))
	}
}

// TestRestIsFoundLinkByLink holds that a board whose links tip over one after the
// other comes to rest: made board 228 with base and collector of one of its links
// bridged.
func TestRestIsFoundLinkByLink(t *testing.T) {
	name, d, q := mutant(t, 228)
	p, err := study.Predict(t.Context(), d, q, batch.Runner(batch.Options{}))
	if err != nil || len(p.Answer.Results) == 0 {
		t.Errorf("%s: %v, %d results", name, err, len(p.Answer.Results))
	}
}
