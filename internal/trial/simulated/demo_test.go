package simulated_test

import (
	"testing"

	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/elaborate"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
	"cupel/internal/trial/simulated"
)

// demoBoard reads a demo dossier and returns its board and how to elaborate it.
func demoBoard(t testing.TB, name string) (*board.Board, simulated.Elaborator) {
	t.Helper()
	tree, ok := demo.Tree(name)
	if !ok {
		t.Fatalf("no demo %s", name)
	}
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	return d.Board, func(kelvin float64) (*elaborate.Circuit, error) {
		c, list := elaborate.Elaborate(d.Board, d.Sheets.Sheet, elaborate.Options{Kelvin: kelvin})
		return c, list.Err()
	}
}

func newRig(t testing.TB, name string) *simulated.Rig {
	t.Helper()
	b, make := demoBoard(t, name)
	r, err := simulated.New(b, make, simulated.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The simulated rig does what every rig must.
func TestSuite(t *testing.T) {
	for _, name := range demo.Names() {
		t.Run(name, func(t *testing.T) {
			rigtest.Suite(t, func() rig.Rig { return newRig(t, name) })
		})
	}
}
