package fault_test

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"reflect"
	"slices"
	"sync"
	"testing"

	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/explain/fault"
	"cupel/internal/protection"
	"cupel/internal/quantity"
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

// TestList holds what is a fault on the 5-cell board: every part open, every lead
// broken, each fault once.
func TestList(t *testing.T) {
	d := open(t, "sluice-5s")
	seen := map[string]bool{}
	count := map[fault.Kind]int{}
	for _, f := range fault.List(d.Board, d.Sheets.Sheet) {
		name := f.Ref(d.Board) + " " + f.Name()
		if seen[name] {
			t.Errorf("%s is listed twice", name)
		}
		seen[name] = true
		count[f.Kind]++
	}
	if count[fault.Open] != len(d.Board.Parts) || count[fault.LeadOpen] != d.Board.Cells+1 {
		t.Errorf("%d parts open of %d, %d leads of %d", count[fault.Open], len(d.Board.Parts), count[fault.LeadOpen], d.Board.Cells+1)
	}
	for _, want := range []string{
		"R405 short", "R405 ×10", "R405 ÷10", "C401 ×10", "Q401 pin b open", "Q401 pins b and e bridged", "Q401 short",
		"U401 pins do and cs bridged", "Q5 one open", "T4 lead open",
	} {
		if !seen[want] {
			t.Errorf("%s is missing", want)
		}
	}
}

// TestApplyLeavesTheBoard holds that an edit changes a copy alone, and that what
// it makes is whole: every pin is on the net that lists it.
func TestApplyLeavesTheBoard(t *testing.T) {
	d := open(t, "hive-3s")
	before := fmt.Sprintf("%+v", d.Board)
	for _, f := range fault.List(d.Board, d.Sheets.Sheet) {
		b := fault.Apply(d.Board, f)
		for n := range b.Nets {
			for _, r := range b.Nets[n].Pins {
				if b.Parts[r.Part].Pins[r.Pin].Net != board.NetID(n) {
					t.Fatalf("%s %s: net %s lists a pin that is not on it", f.Ref(d.Board), f.Name(), b.Nets[n].Name)
				}
			}
		}
	}
	if fmt.Sprintf("%+v", d.Board) != before {
		t.Error("an edit changed the board itself")
	}
}

// memory keeps results for as long as a test runs.
type memory struct {
	mu   sync.Mutex
	have map[string]fault.Result
	hits int
}

func (m *memory) Get(key string) (fault.Result, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	r, ok := m.have[key]
	if ok {
		m.hits++
	}
	return r, ok
}

func (m *memory) Put(key string, r fault.Result) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.have[key] = r
}

// TestResume holds that work which was stopped goes on where it was, gives the
// same table for any number of workers, and that a changed part is tried anew.
func TestResume(t *testing.T) {
	d := open(t, "hive-3s")
	fs := pick(d, []fault.Kind{fault.Open, fault.Short}, "R1", "R2", "C1", "C6", "R7", "Q1")
	b := bench(d)
	b.Run = fault.Runner(batch.Runner(batch.Options{Workers: 1}))
	want, err := b.Table(context.Background(), fs)
	if err != nil {
		t.Fatal(err)
	}
	keep := &memory{have: map[string]fault.Result{}}
	b.Store, b.Run = keep, fault.Runner(batch.Runner(batch.Options{Workers: 4}))
	if _, err := b.Table(context.Background(), fs[:5]); err != nil {
		t.Fatal(err)
	}
	got, err := b.Table(context.Background(), fs)
	if err != nil {
		t.Fatal(err)
	}
	if keep.hits != 5 || !reflect.DeepEqual(got, want) {
		t.Errorf("%d results taken up again, want 5; table the same: %v", keep.hits, reflect.DeepEqual(got, want))
	}
	keep.hits = 0
	c := *d.Board
	c.Parts = slices.Clone(c.Parts)
	c.Parts[0].Value = quantity.Exact(quantity.Resistance, 470)
	b.Board = &c
	if _, err := b.Table(context.Background(), fs[2:4]); err != nil {
		t.Fatal(err)
	}
	if keep.hits != 0 {
		t.Errorf("%d results of another board taken for this one's", keep.hits)
	}
}

// TestStopped holds that rows that were not reached say so.
func TestStopped(t *testing.T) {
	d := open(t, "hive-3s")
	ctx, stop := context.WithCancel(context.Background())
	b := bench(d)
	b.Run = func(ctx context.Context, n int, do func(context.Context, int) error) []error {
		errs := make([]error, n)
		errs[0] = do(ctx, 0)
		stop()
		for i := 1; i < n; i++ {
			errs[i] = batch.ErrNotRun
		}
		return errs
	}
	rows, err := b.Table(ctx, pick(d, []fault.Kind{fault.Open}, "R1", "R2", "R3"))
	if err != nil {
		t.Fatal(err)
	}
	if !rows[0].Done || rows[1].Done || rows[2].Done {
		t.Errorf("done %v %v %v, want the first alone", rows[0].Done, rows[1].Done, rows[2].Done)
	}
}

// TestDelayShorted holds that solder which makes a delay endless takes its
// protection away: the net counts, not a resistance of next to nothing.
func TestDelayShorted(t *testing.T) {
	d := open(t, "hive-3s")
	rows, err := bench(d).Table(context.Background(), pick(d, []fault.Kind{fault.Short}, "C7"))
	if err != nil {
		t.Fatal(err)
	}
	lost := 0
	for _, e := range rows[0].Result.Lost {
		if e.Trial == protection.Overdischarge {
			lost++
		}
	}
	if lost != 3 || !rows[0].Result.Silent() {
		t.Errorf("C7 shorted: %+v, want overdischarge of three cells lost unseen", rows[0].Result)
	}
}

// TestCoarseIsEnough holds that the accuracy of a screening changes no outcome,
// on faults at which a coarser one did.
func TestCoarseIsEnough(t *testing.T) {
	d := open(t, "kiln-3s")
	b := bench(d)
	fs := pick(d, []fault.Kind{fault.Open, fault.Short}, "R203", "R303", "R4", "R108", "Q101")
	rough, err := b.Table(context.Background(), fs)
	if err != nil {
		t.Fatal(err)
	}
	b.Fine = true
	fine, err := b.Table(context.Background(), fs)
	if err != nil {
		t.Fatal(err)
	}
	for i := range fs {
		if !reflect.DeepEqual(rough[i].Result, fine[i].Result) {
			t.Errorf("%s %s: coarse %+v\nfine %+v", fs[i].Ref(d.Board), fs[i].Name(), rough[i].Result, fine[i].Result)
		}
	}
}

// TestAlike holds that faults which make the same circuit are tried once, and
// give the same.
func TestAlike(t *testing.T) {
	d := open(t, "kiln-3s")
	b := bench(d)
	tries := 0
	b.Run = func(ctx context.Context, n int, do func(context.Context, int) error) []error {
		tries += n
		return batch.Runner(batch.Options{})(ctx, n, do)
	}
	var fs []fault.Fault
	for _, f := range fault.List(d.Board, d.Sheets.Sheet) {
		switch f.Ref(d.Board) + " " + f.Name() {
		case "R105 open", "Q101 pin c open", // the collector leads nowhere, the resistor hangs on one end
			"R104 short", "Q101 pins b and e bridged", // base and emitter are one
			"U101 short", "C101 short":
			fs = append(fs, f)
		}
	}
	rows, err := b.Table(context.Background(), fs)
	if err != nil {
		t.Fatal(err)
	}
	if len(fs) != 6 || tries != 3 {
		t.Errorf("%d faults took %d tries, want 6 and 3", len(fs), tries)
	}
	for _, r := range rows {
		if !r.Done {
			t.Errorf("%s %s has no result", r.Fault.Ref(d.Board), r.Fault.Name())
		}
	}
}

// plain is a bench that leaves nothing out of a screening.
func plain(ctx context.Context, d *dossier.Dossier, fs []fault.Fault) ([]fault.Row, error) {
	b := bench(d)
	b.Plain = true
	return b.Table(ctx, fs)
}

// TestLeftOut holds that what a screening leaves out, because the whole board's
// record proves it, comes out the same when it is done: on parts of a slice, of
// the lines they share and of the gates.
func TestLeftOut(t *testing.T) {
	d := open(t, "sluice-5s")
	refs := []string{"R205", "Q401", "R409", "Q303", "R304", "C501", "R4", "Q7"}
	if testing.Short() {
		refs = refs[:2]
	}
	fs := pick(d, []fault.Kind{fault.Open, fault.Tenfold, fault.PinOpen}, refs...)
	rows, err := bench(d).Table(context.Background(), fs)
	if err != nil {
		t.Fatal(err)
	}
	all, err := plain(context.Background(), d, fs)
	if err != nil {
		t.Fatal(err)
	}
	for i := range fs {
		if !reflect.DeepEqual(rows[i].Result, all[i].Result) {
			t.Errorf("%s %s: %+v\nwith nothing left out %+v", fs[i].Ref(d.Board), fs[i].Name(), rows[i].Result, all[i].Result)
		}
	}
}
