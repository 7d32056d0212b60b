package fault_test

import (
	"context"
	"io/fs"
	"os"
	"slices"
	"testing"

	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/explain/fault"
	"cupel/internal/protection"
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

func bench(d *dossier.Dossier) fault.Bench {
	return fault.Bench{Board: d.Board, Sheets: d.Sheets.Sheet, Run: batch.Runner(batch.Options{})}
}

// pick lists the faults of some parts.
func pick(d *dossier.Dossier, kinds []fault.Kind, refs ...string) []fault.Fault {
	var out []fault.Fault
	for _, f := range fault.List(d.Board, d.Sheets.Sheet) {
		if slices.Contains(refs, f.Ref(d.Board)) && (len(kinds) == 0 || slices.Contains(kinds, f.Kind)) {
			out = append(out, f)
		}
	}
	return out
}

// TestSilentLoss holds the trap that the fault table is for: one shifter's
// resistor open, one cell's protection gone, and nothing shows it.
func TestSilentLoss(t *testing.T) {
	d := open(t, "sluice-5s")
	rows, err := bench(d).Table(context.Background(), pick(d, []fault.Kind{fault.Open}, "R405"))
	if err != nil {
		t.Fatal(err)
	}
	r := rows[0].Result
	want := fault.Effect{Trial: protection.Overdischarge, Cell: 4, Port: "discharge", What: "cut", Word: "not cut"}
	if len(r.Lost) != 1 || r.Lost[0] != want {
		t.Errorf("R405 open loses %+v, want %+v alone", r.Lost, want)
	}
	if !r.Silent() || r.Safe() || len(r.Changed) > 0 {
		t.Errorf("R405 open: silent %v, safe %v, changed %+v; want a silent loss that is not safe", r.Silent(), r.Safe(), r.Changed)
	}
}

// TestFailSafe holds the other kind of shifter: its signal means fine, so that
// the same fault stops the board.
func TestFailSafe(t *testing.T) {
	d := open(t, "lantern-3s")
	rows, err := bench(d).Table(context.Background(), pick(d, []fault.Kind{fault.Open}, "R205"))
	if err != nil {
		t.Fatal(err)
	}
	if r := rows[0].Result; len(r.Lost) > 0 || !r.Shows || !r.Safe() {
		t.Errorf("R205 open: %+v, want nothing lost, safe, and showing", r)
	}
}
