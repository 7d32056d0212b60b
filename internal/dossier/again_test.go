package dossier_test

import (
	"fmt"
	"maps"
	"testing"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/ringout"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// A dossier that is read again is what it would be if it were read whole.
func TestAgain(t *testing.T) {
	full, ok := demo.Texts("hive-3s")
	if !ok {
		t.Fatal("no demo board")
	}
	log := string(ringout.Header())
	line := func(n int) string {
		return fmt.Sprintf("%d,pair,R1.1,R1.2,open,,,a,stripped,,,,,2026-01-01 10:00:%02d,\n", n, n)
	}
	choices := map[string][]string{
		"board.yaml":  {string(full["board.yaml"]), string(full["board.yaml"]) + "nonsense: 1\n", "", "cupel: 1\n"},
		"claims.yaml": {string(full["claims.yaml"]), "cupel: 1\nfigures: []\n", "cupel: 1\nfigures: 3\n"},
		"ringout.csv": {log, log + line(1), log + line(1) + line(2), log + line(1) + line(2) + "3,pair", log + line(2), "other\n", log + "bad\n"},
		"photos.yaml": {"cupel: 1\n", "cupel: x\n"},
		"parts/x.yaml": {
			"cupel: 1\nsheet: x\nkind: resistor\n", "cupel: 1\nsheet: y\nkind: nothing\n",
		},
	}
	names := []string{"board.yaml", "claims.yaml", "ringout.csv", "photos.yaml", "parts/x.yaml"}
	rapid.Check(t, func(t *rapid.T) {
		texts := maps.Clone(full)
		var d *dossier.Dossier
		for range rapid.IntRange(1, 8).Draw(t, "edits") {
			name := rapid.SampledFrom(names).Draw(t, "name")
			if rapid.IntRange(0, 5).Draw(t, "away") == 0 {
				delete(texts, name)
			} else {
				texts[name] = []byte(rapid.SampledFrom(choices[name]).Draw(t, "text"))
			}
			d = dossier.Again(d, texts)
			whole := dossier.OfTexts(texts)
			if diff := cmp.Diff(whole.Findings, d.Findings); diff != "" {
				t.Fatalf("findings: %s", diff)
			}
			for what, pair := range map[string][2]any{
				"board": {whole.Board, d.Board}, "claims": {whole.Claims, d.Claims}, "log": {whole.Log, d.Log},
				"pads": {whole.Pads, d.Pads}, "photos": {whole.Photos, d.Photos}, "texts": {whole.Texts, d.Texts}, "hash": {whole.Hash, d.Hash},
			} {
				if a, b := fmt.Sprintf("%+v", pair[0]), fmt.Sprintf("%+v", pair[1]); a != b {
					t.Fatalf("%s: %s\nwant %s", what, b, a)
				}
			}
		}
	})
}
