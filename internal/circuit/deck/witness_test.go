package deck_test

import (
	"fmt"
	"strings"
	"testing"

	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/protector"

	"github.com/google/go-cmp/cmp"
)

// TestWitness drives a protector over thresholds as a run does, once with steps
// that are taken back, and wants every edge with its crossing and its delay.
func TestWitness(t *testing.T) {
	m, err := protector.NewCell(protector.CellSpec{
		VOv: 4.25, VOvr: 4.1, TOv: 1, TOvr: 2e-3, VOc1: 0.1, TOc1: 10e-3, TOcr: 1e-3, VSc: 1, TSc: 250e-6, Roh: 3e3, Rol: 3e3, RVms: 5e4, I: 3e-6,
	})
	if err != nil {
		t.Fatal(err)
	}
	d := newDrive(m)
	d.at(0, 3.7, 0)
	d.w = deck.NewWitness(m, &d.s)
	d.trial(0.5, 3.7, 0.2)
	d.at(0.6, 3.7, 0.2) // over V_oc1
	d.run(0.605)
	d.at(0.605, 4.3, 0.2) // over V_ov meanwhile
	d.run(0.7)
	d.at(0.7, 4.3, 0.05) // the load goes
	d.run(2)
	want := []string{
		"0.61 R_vms true: cs>V_oc1 true at 0.6, 0.01 later",
		"0.61 do to vdd false: cs>V_oc1 true at 0.6, 0.01 later",
		"0.61000005 do to vss true: cs>V_oc1 true at 0.6, 0.01000005 later",
		"0.701 R_vms false: cs>V_ocr false at 0.7, 0.001 later",
		"0.701 do to vss false: cs>V_ocr false at 0.7, 0.001 later",
		"0.70100005 do to vdd true: cs>V_ocr false at 0.7, 0.00100005 later",
		"1.605 co to vdd false: v>V_ov true at 0.605, 1 later",
		"1.60500005 co to cs true: v>V_ov true at 0.605, 1.00000005 later",
	}
	if diff := cmp.Diff(want, d.seen); diff != "" {
		t.Error(diff)
	}
}

// TestWitnessBefore wants no cause for what a timer does that ran before.
func TestWitnessBefore(t *testing.T) {
	m, err := protector.NewCell(protector.CellSpec{VOv: 4.25, VOvr: 4.1, TOv: 1, Roh: 3e3, Rol: 3e3})
	if err != nil {
		t.Fatal(err)
	}
	d := newDrive(m)
	d.at(0, 3.7, 0)
	d.at(0.1, 4.3, 0)
	d.w = deck.NewWitness(m, &d.s)
	d.run(2)
	if len(d.seen) != 2 || !strings.Contains(d.seen[0], "no crossing") {
		t.Errorf("%q, want two edges without a crossing", d.seen)
	}
}

// drive is a single-cell protector at voltages.
type drive struct {
	m     protector.Machine
	w     *deck.Witness
	s     protector.State
	truth protector.Truth
	v     []float64
	seen  []string
}

func newDrive(m protector.Machine) *drive {
	return &drive{m: m, truth: make(protector.Truth, len(m.Comparators())), v: make([]float64, len(m.Pins()))}
}

func (d *drive) set(v, cs float64) {
	for i, name := range d.m.Pins() {
		d.v[i] = map[string]float64{"vdd": v, "cs": cs}[name]
	}
	protector.Evaluate(d.m.Comparators(), d.v, d.truth)
}

// at changes the voltages at a time; the first starts the part.
func (d *drive) at(t, v, cs float64) {
	first := d.s == protector.State{}
	d.set(v, cs)
	switch {
	case first:
		d.m.Start(&d.s, t, d.truth)
	case d.w == nil:
		d.m.Advance(&d.s, t, d.truth)
	default:
		d.w.Advance(&d.s, t, d.truth)
		d.note(t)
	}
}

// trial is a step under trial that is taken back.
func (d *drive) trial(t, v, cs float64) {
	copy, truth := d.s, append(protector.Truth(nil), d.truth...)
	d.set(v, cs)
	d.w.Advance(&copy, t, d.truth)
	d.truth = truth
}

// run advances through every deadline up to a time.
func (d *drive) run(until float64) {
	for {
		due := d.s.Deadline(d.m.Timers())
		if due > until {
			return
		}
		d.w.Advance(&d.s, due, d.truth)
		d.note(due)
	}
}

func (d *drive) note(t float64) {
	for _, m := range d.w.Moved(&d.s) {
		why := "no crossing"
		if c := m.Cause; c.Comparator >= 0 {
			why = fmt.Sprintf("%s %t at %.9g, %.9g later", d.m.Comparators()[c.Comparator].Name, c.Rises, c.Seconds, m.Delay)
		}
		d.seen = append(d.seen, fmt.Sprintf("%.9g %s %t: %s", t, d.m.Links()[m.Link].Name, m.On, why))
	}
}
