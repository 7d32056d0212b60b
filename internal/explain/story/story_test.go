package story_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/explain/fault"
	"cupel/internal/explain/story"
	"cupel/internal/protection"
)

func bench(t testing.TB, name string) story.Bench {
	t.Helper()
	tree, _ := demo.Tree(name)
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	f := fault.Bench{Board: d.Board, Sheets: d.Sheets.Sheet}
	return story.Bench{Board: d.Board, Sheets: d.Sheets.Sheet, Rig: f.NewRig}
}

func links(s story.Story) string {
	var out []string
	for _, x := range s.Steps {
		word := x.At
		switch {
		case x.Needed == nil:
			word += " ?"
		case !*x.Needed:
			word += " (not needed)"
		}
		out = append(out, word)
	}
	return strings.Join(out, " > ")
}

// The chains as the boards' makers drew them.
func TestTell(t *testing.T) {
	for _, c := range []struct {
		board string
		trial protection.Trial
		cell  int
		want  string
	}{
		{"sluice-5s", protection.Overdischarge, 5, "cell 5 > U501 > U501 > R503 > Q501 > R505 > Q1 > R2 > discharge bank"},
		{"sluice-5s", protection.Overcharge, 2, "cell 2 > U201 > U201 > R206 > Q202 > R208 > Q2 > R6 > Q3 > R8 > D1 > Q4 > R10 > charge bank"},
		{"sluice-5s", protection.DischargeOvercurrent, 0, "load > U101 > U101 > R103 > Q101 > R105 > Q1 > R2 > discharge bank"},
		// A line that says "fine" is held, not cut.
		{"hive-3s", protection.Overdischarge, 2, "cell 2 > U1 > U1 > R7 > discharge bank"},
		{"hive-3s", protection.LoadShort, 0, "load > U1 > U1 > R7 > discharge bank"},
		// The upper of two protectors speaks to the lower.
		{"dome-8s", protection.Overcharge, 7, "cell 7 > U2 > U2 > R62 > U1 > R15 > charge bank"},
	} {
		t.Run(fmt.Sprintf("%s %s %d", c.board, c.trial, c.cell), func(t *testing.T) {
			s, err := bench(t, c.board).Tell(context.Background(), c.trial, c.cell)
			if err != nil {
				t.Fatal(err)
			}
			if got := links(s); got != c.want || s.Broken != "" {
				t.Errorf("chain %s\n want %s\n broken %q", got, c.want, s.Broken)
				for _, x := range s.Steps {
					t.Logf("%+v", x)
				}
			}
			for i := 1; i < len(s.Steps); i++ {
				if s.Steps[i].Time < s.Steps[i-1].Time-1e-6 {
					t.Errorf("%s at %g s follows %s at %g s", s.Steps[i].At, s.Steps[i].Time, s.Steps[i-1].At, s.Steps[i-1].Time)
				}
			}
		})
	}
}
