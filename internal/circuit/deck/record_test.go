package deck

import (
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/device"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// TestNote wants edges where something moved, in growing time even where two
// changes fall into one instant, and nothing where it stood still.
func TestNote(t *testing.T) {
	w := device.NewSwitch("w", 1, 0, device.SwitchParams{OnOhms: 1})
	k := device.NewSink("k", 1, 0, device.SinkParams{Amps: 3e-6})
	all := []circuit.Element{w, k, device.NewResistor("r", 1, 0, device.ResistorParams{Ohms: 1})}
	s := Scripts{}
	s.Note(0, all)
	s.Note(1, all)
	w.Set(true)
	s.Note(2, all)
	w.Set(false)
	s.Note(2, all)
	want := Scripts{
		"w": {{0, 0}, {2, 0}, {2 + Edge, 1}, {2 + 2*Edge, 1}, {2 + 3*Edge, 0}},
		"k": {{0, 3e-6}},
	}
	near := cmpopts.EquateApprox(1e-15, 0) // the sums of edges round
	if d := cmp.Diff(want, s, near); d != "" {
		t.Error(d)
	}
}
