package audit

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/finding"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"
)

var update = flag.Bool("update", false, "rewrite the wanted findings of testdata")

// listing prints findings as the case files want them. Of what is missing only
// the cases about that speak.
func listing(list finding.List, notes bool) string {
	var b strings.Builder
	for _, f := range list {
		if f.Level == finding.Note && !notes {
			continue
		}
		fmt.Fprintf(&b, "%s %s: %s\n\t= %s\n\t> %s\n", f.Code, f.Level, f.Text, f.Arithmetic, f.Do)
		if f.Suggestion != "" {
			fmt.Fprintf(&b, "\tdid you mean %s?\n", f.Suggestion)
		}
	}
	return b.String()
}

// wholeTable is a text of claims: whole, or the sound one with lines changed.
func wholeTable(t *testing.T, text string) string {
	if strings.HasPrefix(text, "cupel:") {
		return text
	}
	return changed(sound(t), text)
}

// Each row of what is audited is a case file: its comment names the rule's
// code, and then texts come in threes: one that breaks this rule and no other,
// what is found in it, and one that just does not break it.
func TestRows(t *testing.T) {
	files, err := filepath.Glob("testdata/rows/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, name := range files {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txtar"), func(t *testing.T) {
			a, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			codes := strings.Fields(strings.SplitN(string(a.Comment), "\n", 2)[0])
			for i := 0; i+2 < len(a.Files); i += 3 {
				tryRow(t, codes, a.Files[i:i+3])
			}
			if *update {
				if err := os.WriteFile(name, txtar.Format(a), 0o666); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}

func tryRow(t *testing.T, codes []string, fs []txtar.File) {
	t.Helper()
	breaks, want, holds := fs[0], &fs[1], fs[2]
	notes := strings.Contains(breaks.Name, "missing") || strings.Contains(breaks.Name, "usual")
	found := check(t, wholeTable(t, string(breaks.Data)), 0)
	for _, f := range found {
		whole(t, f)
		if (notes || f.Level > finding.Note) && !strings.Contains(strings.Join(codes, " "), f.Code) {
			t.Errorf("%s: breaks %s too: %s [%s]", breaks.Name, f.Code, f, f.Arithmetic)
		}
	}
	got := listing(found, notes)
	if *update {
		want.Data = []byte(got)
	} else if string(want.Data) != got || got == "" {
		t.Errorf("%s: findings differ (-want +got):\n%s", breaks.Name, cmp.Diff(string(want.Data), got))
	}
	for _, f := range check(t, wholeTable(t, string(holds.Data)), 0) {
		if notes || f.Level > finding.Note {
			t.Errorf("%s: %s %s [%s]", holds.Name, f.Code, f, f.Arithmetic)
		}
	}
}
