package fault_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"cupel/internal/circuit/circuittest/spice"
	"cupel/internal/circuit/deck"
	"cupel/internal/explain/fault"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// watched is a rig that remembers from where its first capture with a cause
// started.
type watched struct {
	*simulated.Rig
	mark rig.Mark
	did  rig.Capture
}

func (w *watched) Capture(ctx context.Context, c rig.Capture) (rig.Record, error) {
	if w.mark == nil && c.Cause != (rig.Cause{}) {
		w.mark, w.did = w.Mark(), c
	}
	return w.Rig.Capture(ctx, c)
}

// spicedSeconds is the length of a run: the delay of 0.1 s, and time to settle.
const spicedSeconds = 0.12

// spiced is a row of testdata/ngspice.txt: a fault, whether overdischarge of cell
// 2 is still cut, and where P− ended in ngspice.
type spiced struct {
	ref  string
	kind fault.Kind
	cut  bool
	ends float64 // V
}

func readSpiced(t testing.TB) []spiced {
	t.Helper()
	src, err := os.ReadFile("testdata/ngspice.txt")
	if err != nil {
		t.Fatal(err)
	}
	var out []spiced
	for _, l := range strings.Split(string(src), "\n") {
		f := strings.Split(l, " | ")
		if strings.HasPrefix(l, "#") || len(f) != 4 {
			continue
		}
		v, err := strconv.ParseFloat(f[3], 64)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, spiced{f[0], fault.Kind(f[1]), f[2] == "cut", v})
	}
	return out
}

// faulted trips a board with a fault by cell 2's overdischarge, and gives the
// cards of that run and where P− ended.
func (c spiced) faulted(t *testing.T) (cards string, ends float64) {
	t.Helper()
	d := open(t, "kiln-3s")
	f := pick(d, []fault.Kind{c.kind}, c.ref)[0]
	r, err := bench(d).NewRig(fault.Apply(d.Board, f))
	if err != nil {
		t.Fatal(err)
	}
	w := &watched{Rig: r.(*simulated.Rig)}
	for _, s := range trial.Scenes(r.Can()) {
		if s.Trial == protection.Overdischarge && s.Cell == 2 {
			_, err = s.Enter(t.Context(), w, nil)
		}
	}
	if err != nil || w.mark == nil {
		t.Fatalf("%s %s: %v", c.ref, c.kind, err)
	}
	w.Rewind(w.mark)
	out, err := w.Deck(t.Context(), rig.Capture{Cause: w.did.Cause, Seconds: spicedSeconds}, false)
	if err != nil {
		t.Fatal(err)
	}
	v, err := w.Read(rig.Point{Kind: rig.MinusDrop})
	if err != nil {
		t.Fatal(err)
	}
	var text strings.Builder
	if err := deck.Write(&text, out); err != nil {
		t.Fatal(err)
	}
	return text.String(), v.Value
}

// agrees holds where P− ends against another's figure, and against what the row
// says of the cut.
func (c spiced) agrees(t *testing.T, ours, theirs float64) {
	t.Helper()
	const half = 5. // V, of a pack of 9.8
	if (ours > half) != c.cut || (theirs > half) != c.cut {
		t.Errorf("%s %s: P− ends at %.3f V here, at %.3f V in ngspice; cut should be %v", c.ref, c.kind, ours, theirs, c.cut)
	}
	if math.Abs(ours-theirs) > 0.02*math.Abs(theirs)+5e-3 {
		t.Errorf("%s %s: P− ends at %.4f V here, at %.4f V in ngspice", c.ref, c.kind, ours, theirs)
	}
}

// TestOutcomesAgainstTable holds the outcomes of faulted boards against what
// ngspice made of the same circuits, the outputs of the ICs moving as they did
// here: P− ends at B− while the load is fed, near B+ once it is cut off.
func TestOutcomesAgainstTable(t *testing.T) {
	rows := readSpiced(t)
	if len(rows) < 30 {
		t.Errorf("only %d faults in the table", len(rows))
	}
	for _, c := range rows {
		_, ours := c.faulted(t)
		c.agrees(t, ours, c.ends)
	}
}

var updateSpice = flag.Bool("update-ngspice", false, "run every fault of testdata/ngspice.txt in ngspice and write the table anew")

// TestOutcomesAgainstNgspice runs a few of the table's faults live; all of them
// with -update-ngspice.
func TestOutcomesAgainstNgspice(t *testing.T) {
	spice.Need(t)
	if testing.Short() && !*updateSpice {
		t.Skip("takes some seconds")
	}
	const live = 10 // every tenth row
	var table strings.Builder
	for i, c := range readSpiced(t) {
		if i%live != 0 && !*updateSpice {
			continue
		}
		cards, ours := c.faulted(t)
		theirs, ok := spice.Run(t, cards).Measured["minus_at_end"]
		if !ok {
			t.Errorf("%s %s: ngspice did not come to the end", c.ref, c.kind)
			continue
		}
		c.agrees(t, ours, theirs)
		fmt.Fprintf(&table, "%s | %s | %s | %.5g\n", c.ref, c.kind, map[bool]string{true: "cut", false: "not cut"}[c.cut], theirs)
	}
	if *updateSpice {
		src, _ := os.ReadFile("testdata/ngspice.txt")
		head, _, _ := strings.Cut(string(src), "\n\n")
		if err := os.WriteFile("testdata/ngspice.txt", []byte(head+"\n\n"+table.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
