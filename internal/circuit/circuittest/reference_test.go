package circuittest_test

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"cupel/internal/circuit/circuittest"
	"cupel/internal/circuit/circuittest/spice"
)

var update = flag.Bool("update", false, "write the reference tables anew from the reference simulator")

// TestReferenceDevices holds every device alone against the committed tables.
func TestReferenceDevices(t *testing.T) {
	for _, s := range circuittest.Devices() {
		t.Run(s.Name, func(t *testing.T) {
			if *update {
				write(t, s.Name, fromSpice(t, s))
			}
			got, err := s.Solve()
			if err != nil {
				t.Fatal(err)
			}
			differ(t, got, read(t, s.Name), s.Within)
		})
	}
}

// TestSpiceDevices holds every device alone against the reference simulator
// that is installed here.
func TestSpiceDevices(t *testing.T) {
	spice.Need(t)
	for _, s := range circuittest.Devices() {
		t.Run(s.Name, func(t *testing.T) {
			got, err := s.Solve()
			if err != nil {
				t.Fatal(err)
			}
			differ(t, got, fromSpice(t, s), s.Within)
		})
	}
}

// TestReferenceRuns and TestSpiceRuns do the same with runs through time.
func TestReferenceRuns(t *testing.T) {
	for _, r := range circuittest.Runs() {
		t.Run(r.Name, func(t *testing.T) {
			if *update {
				write(t, r.Name, runSpice(t, r))
			}
			got, err := r.Solve()
			if err != nil {
				t.Fatal(err)
			}
			differ(t, got, read(t, r.Name), r.Within)
		})
	}
}

func TestSpiceRuns(t *testing.T) {
	spice.Need(t)
	for _, r := range circuittest.Runs() {
		t.Run(r.Name, func(t *testing.T) {
			got, err := r.Solve()
			if err != nil {
				t.Fatal(err)
			}
			differ(t, got, runSpice(t, r), r.Within)
		})
	}
}

func fromSpice(t *testing.T, s circuittest.Sweep) circuittest.Table {
	t.Helper()
	text, err := s.Deck()
	if err != nil {
		t.Fatal(err)
	}
	table, err := s.FromVectors(spice.Run(t, text).Vectors)
	if err != nil {
		t.Fatal(err)
	}
	table.Comment = made(t, s.About)
	return table
}

func runSpice(t *testing.T, r circuittest.Run) circuittest.Table {
	t.Helper()
	text, err := r.Deck()
	if err != nil {
		t.Fatal(err)
	}
	out := spice.Run(t, text)
	table, err := r.FromMeasured(out.Measured)
	if err != nil {
		t.Fatalf("%v\n%s", err, out.Log)
	}
	table.Comment = made(t, r.About)
	return table
}

func made(t *testing.T, about string) []string {
	t.Helper()
	return []string{about, "computed by " + spice.Version(t) + " from the deck that package deck prints; see README.md"}
}

func differ(t *testing.T, got, want circuittest.Table, within circuittest.Limits) {
	t.Helper()
	for _, d := range circuittest.Differences(got, want, within) {
		t.Error(d)
	}
}

func file(name string) string { return filepath.Join("testdata", name+".csv") }

func read(t *testing.T, name string) circuittest.Table {
	t.Helper()
	f, err := os.Open(file(name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table, err := circuittest.ReadTable(f)
	if err != nil {
		t.Fatalf("%s: %v", file(name), err)
	}
	return table
}

func write(t *testing.T, name string, table circuittest.Table) {
	t.Helper()
	f, err := os.Create(file(name))
	if err != nil {
		t.Fatal(err)
	}
	if err := table.Write(f); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
}
