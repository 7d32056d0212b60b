package rehearse

import (
	"context"
	"testing"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

func demoSample(t testing.TB, name string) (*ringout.Sample, strip.Truth) {
	t.Helper()
	texts, ok := demo.Texts(name)
	if !ok {
		t.Fatalf("no demo %s", name)
	}
	d := dossier.OfTexts(texts)
	return strip.Board(d.Board, d.Sheets.Sheet)
}

func play(t testing.TB, s *ringout.Sample, truth strip.Truth, o Options) Result {
	t.Helper()
	r, err := Play(context.Background(), s, truth, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestDemos(t *testing.T) {
	for _, name := range demo.Names() {
		s, truth := demoSample(t, name)
		r := play(t, s, truth, Options{Seed: 1})
		t.Logf("%s: %d pads %d nets touches %d = %.3f closing %d bridged %d rep %d naive %d questions %d wrong %v flagged %v found %v", name, r.Pads, r.Nets, r.Touches, float64(r.Touches)/float64(r.Pads), r.Closing, r.ClosingBridged, r.Representative, r.NaivePairs, r.Questions, r.Wrong, r.Flagged, r.Found)
	}
}
