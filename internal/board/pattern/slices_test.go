package pattern_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"cupel/internal/board/pattern"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
)

func demoGraph(t testing.TB, name string) *pattern.Graph {
	t.Helper()
	tree, _ := demo.Tree(name)
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	return pattern.NewGraph(d.Board, d.Sheets.Sheet)
}

func name(g *pattern.Graph, i int) string {
	if i < 0 {
		return "-"
	}
	return g.Board.Parts[i].Ref
}

func refs(g *pattern.Graph, r pattern.Repeat) string {
	var out []string
	for _, i := range r.Parts {
		if i < 0 {
			out = append(out, "-")
			continue
		}
		out = append(out, g.Board.Parts[i].Ref)
	}
	return strings.Join(out, " ")
}

// The chain board repeats itself in 19 parts a cell; their references, which the
// search does not look at, say which belong together.
func TestSlicesOfAChain(t *testing.T) {
	g := demoGraph(t, "sluice-5s")
	var got []string
	for _, r := range pattern.Slices(g) {
		got = append(got, refs(g, r))
	}
	slices.Sort(got)
	var want []string
	for _, p := range strings.Fields("C_01 C_02 Q_01 Q_02 Q_03 R_01 R_02 R_03 R_04 R_05 R_06 R_07 R_08 R_09 R_10 U_01 U_02") {
		var row []string
		for k := 1; k <= 5; k++ {
			row = append(row, strings.Replace(p, "_", fmt.Sprint(k), 1))
		}
		want = append(want, strings.Join(row, " "))
	}
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("slices\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	var lines []string
	for _, d := range pattern.Differences(g, pattern.Slices(g)) {
		lines = append(lines, fmt.Sprintf("cell %d: %s %s", d.Cell, name(g, d.Part), d.Text))
	}
	for _, want := range []string{
		"cell 1: R105 is 47 kΩ, R205 is 1 MΩ",
		"cell 1: R108 is 220 kΩ, R208 is 1 MΩ",
		"cell 1: U101 pin cs lies on a net of its own, that of U201 on the bottom of its cell",
	} {
		if !slices.Contains(lines, want) {
			t.Errorf("differences\n%s\nlack %s", strings.Join(lines, "\n"), want)
		}
	}
	for _, l := range lines {
		if !strings.HasPrefix(l, "cell 1:") {
			t.Errorf("slices 2 to 5 are drawn alike, but: %s", l)
		}
	}
}

// The stack board repeats its sense filters; the lowest capacitor has no filter
// below it to lean on.
func TestSlicesOfAStack(t *testing.T) {
	g := demoGraph(t, "hive-3s")
	var got []string
	for _, r := range pattern.Slices(g) {
		got = append(got, refs(g, r))
	}
	slices.Sort(got)
	if want := []string{"- C3 C4", "R2 R3 R4"}; !slices.Equal(got, want) {
		t.Errorf("slices %q, want %q", got, want)
	}
}
