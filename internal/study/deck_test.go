package study_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"cupel/internal/circuit/circuittest/spice"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/protection"
	"cupel/internal/study"
	"cupel/internal/study/batch"
)

func read(t *testing.T, name string) *dossier.Dossier {
	t.Helper()
	tree, ok := demo.Tree(name)
	if !ok {
		t.Fatalf("no demo %s", name)
	}
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestDeckOfEveryTrial holds that every trial of both demo boards can be
// exported, and that its cards are those of the board.
func TestDeckOfEveryTrial(t *testing.T) {
	for _, name := range demo.Names() {
		d := read(t, name)
		for _, word := range protection.Trials {
			if word == protection.FirstConnection || word == protection.Release {
				continue // the slow ones say nothing that the others do not
			}
			a, err := study.Deck(context.Background(), d, study.DeckQuestion{Trial: word})
			if err != nil {
				t.Errorf("%s, %s: %v", name, word, err)
				continue
			}
			if !strings.HasPrefix(a.Cards, name+", ") || !strings.HasSuffix(strings.TrimSpace(a.Cards), ".end") {
				t.Errorf("%s, %s: no whole deck:\n%.200s", name, word, a.Cards)
			}
		}
	}
}

// TestDeckAgainstNgspice runs the exported short in ngspice, where that is
// installed, and compares how high P− flies with Cupel's own figure of the
// discharge bank, which blocks nearly all of it.
func TestDeckAgainstNgspice(t *testing.T) {
	spice.Need(t)
	if testing.Short() {
		t.Skip("takes seconds")
	}
	d := read(t, "sluice-5s")
	a, err := study.Deck(t.Context(), d, study.DeckQuestion{Trial: protection.LoadShort})
	if err != nil {
		t.Fatal(err)
	}
	theirs, ok := spice.Run(t, a.Cards).Measured["minus_highest"]
	if !ok {
		t.Fatal("ngspice did not measure minus_highest")
	}
	ours := peakVoltage(t, d)
	// The peak is a few nanoseconds of ringing; the two integrate it with
	// different steps.
	if math.Abs(theirs-ours) > 0.03*ours {
		t.Errorf("P− flies to %.2f V in ngspice, the discharge bank blocks %.2f V here", theirs, ours)
	}
}

// peakVoltage is what the discharge bank blocks at the hardest short, cells
// half full.
func peakVoltage(t *testing.T, d *dossier.Dossier) float64 {
	t.Helper()
	p, err := study.Predict(t.Context(), d, study.Question{Trials: []protection.Trial{protection.LoadShort}}, batch.Runner(batch.Options{}))
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range p.Answer.Results {
		if r.Quantity == string(protection.PeakVoltage) && r.Port == "discharge" && r.Step == "" {
			return *r.Value
		}
	}
	t.Fatal("no peak voltage")
	return 0
}
