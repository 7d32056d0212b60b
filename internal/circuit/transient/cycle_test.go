package transient

import (
	"context"
	"math"
	"strings"
	"testing"

	"cupel/internal/circuit"
)

// chattering is the limit cycle of TestChatterIsReported, and beside it an alarm
// on the source that takes its time.
func chattering(t *testing.T, delay float64) (run *Run, slow *Unit) {
	t.Helper()
	pull, far := r(2, 0, 10), r(1, 0, 1e3)
	fast := &Unit{Part: "U1", Machine: alarm{1, 0.5, 1e-4}, Nodes: []circuit.Node{2, 0, 2}, Links: []Switcher{pull}}
	slow = &Unit{Part: "U2", Machine: alarm{1, 0.5, delay}, Nodes: []circuit.Node{1, 0, 1}, Links: []Switcher{far}}
	run = start(t, []string{"0", "in", "out"}, Options{}, []*Unit{fast, slow}, v(1, 0, steady(0)), r(1, 2, 1e3), c(2, 0, 1e-6), pull, far)
	run.solver.Elements()[0].(*source).volts = steady(2)
	if err := run.Disturb(); err != nil {
		t.Fatal(err)
	}
	return run, slow
}

// What else waits is not passed over with a limit cycle: a delay of 5 s ends
// after 5 s, whatever chatters meanwhile.
func TestPassesOverNothingElse(t *testing.T) {
	run, slow := chattering(t, 5)
	at := math.NaN()
	run.Log = func(when float64, u *Unit) {
		if u == slow {
			at = when
		}
	}
	if err := run.Advance(context.Background(), 10); err != nil {
		t.Fatal(err)
	}
	if math.Abs(at-5) > 1e-6 {
		t.Errorf("the other unit acts at %.9g s, want 5 s", at)
	}
	if run.Steps > 20000 {
		t.Errorf("%d steps: nothing was passed over", run.Steps)
	}
}

// The mean over a period: v = 2 − 1.5·e^(−t/τ) from 0.5 V to the threshold of
// 1 V and 0.1 ms on, then back through 10 Ω in microseconds.
func TestMeanOfACycle(t *testing.T) {
	run, _ := chattering(t, 100)
	if run.Mean() != nil {
		t.Error("a mean before anything was passed over")
	}
	if err := run.Advance(context.Background(), 10); err != nil {
		t.Fatal(err)
	}
	const tau = 1e-3
	period := tau*math.Log(1.5) + 1e-4
	want := 2 - 1.5*-math.Expm1(-period/tau)*tau/period
	// The way back adds its 10 µs at a lower voltage.
	if m := run.Mean(); m == nil || math.Abs(m[2]-want) > 0.02*want {
		t.Fatalf("mean %v, want %.4f V at node 2", m, want)
	}
	if err := run.Disturb(); err != nil {
		t.Fatal(err)
	}
	if run.Mean() != nil {
		t.Error("still a mean after something was changed")
	}
}

// Timers that beat against each other repeat no short pattern, but go on at a
// steady rate; what slows down does not.
func TestIrregularCycles(t *testing.T) {
	var beats, slows toggles
	at, slow := 0.0, 0.0
	for i := range 3 * lot {
		at += 0.25e-3
		if i%9 == 8 {
			at += 1.7e-3
		}
		slow += 1e-3 * (1 + float64(i)/300)
		beats.add(at + 0.1e-3*math.Sin(float64(i*i)))
		slows.add(slow * slow)
	}
	if n, rate := beats.cycles(); n != lot || math.Abs(rate*2*at/(3*lot)-1) > 0.05 {
		t.Errorf("beating: %d changes at %g Hz, want %d at %g Hz", n, rate, lot, 3*lot/at/2)
	}
	if n, rate := slows.cycles(); n == lot {
		t.Errorf("slowing down: taken for steady at %g Hz", rate)
	}
}

// A run that gives up names what kept switching, and how far it came.
func TestGivingUpNamesTheUnit(t *testing.T) {
	run, _ := chattering(t, 100)
	run.opt.Events = 10
	err := run.Advance(context.Background(), 10)
	if err == nil || !strings.Contains(err.Error(), "of 10 s after 11 instants of switching, the last of U1") {
		t.Errorf("error %v", err)
	}
}
