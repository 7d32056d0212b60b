package role_test

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/explain/fault"
	"cupel/internal/explain/role"
	"cupel/internal/study/batch"
)

func open(t testing.TB, name string) *dossier.Dossier {
	t.Helper()
	var tree fs.FS = os.DirFS("../testdata/boards/" + name)
	if f, ok := demo.Tree(name); ok {
		tree = f
	}
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.Findings.Err(); err != nil {
		t.Fatal(err)
	}
	return d
}

// tried tries the faults of some kinds.
func tried(t testing.TB, d *dossier.Dossier, kinds ...fault.Kind) []fault.Row {
	t.Helper()
	return triedOf(t, d, func(f fault.Fault) bool { return slices.Contains(kinds, f.Kind) })
}

func triedOf(t testing.TB, d *dossier.Dossier, keep func(fault.Fault) bool) []fault.Row {
	t.Helper()
	fs := fault.List(d.Board, d.Sheets.Sheet)
	b := fault.Bench{Board: d.Board, Sheets: d.Sheets.Sheet, Run: batch.Runner(batch.Options{})}
	rows, err := b.Table(context.Background(), slices.DeleteFunc(fs, func(f fault.Fault) bool { return !keep(f) }))
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// key is a line of a hand-made answer key.
type key struct{ role, piece, block, cell string }

func readKey(t testing.TB, name string) map[string]key {
	t.Helper()
	src, err := os.ReadFile("../testdata/keys/" + name + ".txt")
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]key{}
	for _, l := range strings.Split(string(src), "\n") {
		f := strings.Split(l, " | ")
		if strings.HasPrefix(l, "#") || len(f) != 5 {
			continue
		}
		out[f[0]] = key{f[1], f[2], f[3], f[4]}
	}
	return out
}

func keyOf(p role.Part) key {
	k := key{p.Role, p.Piece, p.Block, "-"}
	if k.piece == "" {
		k.piece = "-"
	}
	if p.Cell > 0 {
		k.cell = fmt.Sprint(p.Cell)
	}
	return k
}

// opened are the parts that are tried open before a board is explained: all, and
// of the largest board, whose ten slices are alike, those that the slices share.
func opened(name string, d *dossier.Dossier) func(fault.Fault) bool {
	return func(f fault.Fault) bool {
		slice := regexp.MustCompile(`^[A-Z]+[1-9]0?[0-9][0-9]$`).MatchString(f.Ref(d.Board))
		return f.Kind == fault.Open && (name != "trolley-10s" || !slice)
	}
}

// TestKeys holds the roles of seven boards against keys written by hand; five of
// these before any of this code. Wrong is worse than unknown: none may be wrong, and
// 95 of 100 must be explained.
func TestKeys(t *testing.T) {
	for _, name := range []string{"sluice-5s", "hive-3s", "lantern-3s", "ferry-3s", "kiln-3s", "dome-8s", "trolley-10s"} {
		t.Run(name, func(t *testing.T) {
			if testing.Short() && name != "hive-3s" && name != "ferry-3s" {
				t.Skip("many screenings of a large board")
			}
			d := open(t, name)
			want := readKey(t, name)
			explained := 0
			parts := role.Parts(role.Input{Board: d.Board, Sheets: d.Sheets.Sheet, Faults: triedOf(t, d, opened(name, d))})
			for _, p := range parts {
				k, ok := want[p.Ref]
				switch {
				case !ok:
					t.Errorf("the key says nothing of %s", p.Ref)
				case p.Role == role.Unknown:
					t.Logf("%s is unknown: %s", p.Ref, p.Sentence)
				case keyOf(p) != k:
					t.Errorf("%s is %v, the key says %v\n%s", p.Ref, keyOf(p), k, p.Sentence)
				default:
					explained++
				}
				if p.Grade == "contradicted" {
					t.Logf("%s contradicted: %s", p.Ref, p.Sentence)
				}
			}
			t.Logf("%d of %d explained", explained, len(parts))
			if explained*100 < 95*len(parts) {
				t.Errorf("only %d of %d parts are explained", explained, len(parts))
			}
		})
	}
}
