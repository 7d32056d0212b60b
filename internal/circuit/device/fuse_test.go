package device

import (
	"math"
	"testing"

	"cupel/internal/circuit"
)

// blow lets a constant current pass a fuse, in steps of backward Euler, and
// returns the time at which it would part; +Inf if not within an hour.
func blow(f *Fuse, amps, step float64) float64 {
	l := circuit.Lay(2, []circuit.Element{f})
	s := l.NewSystem()
	s.Alpha = 1 / step
	f.LoadMatrix(s)
	s.X[1] = amps / f.g
	for time := 0.; time < 3600; time += step {
		s.Hist[f.state] = -s.Alpha * s.Q[f.state]
		before := f.Margin(s)
		f.Store(s)
		if after := f.Margin(s); after < 0 {
			return time + step*before/(before-after)
		}
	}
	return math.Inf(1)
}

// TestFuseCurve holds the one point a fuse was made from, that it carries its
// rating for ever, and that far above it parts at a constant I²t.
func TestFuseCurve(t *testing.T) {
	p := FuseParams{Ohms: 2e-3, RatedAmps: 30, BlowAmps: 90, BlowSeconds: 2}
	within(t, "at its point", blow(NewFuse("f", 1, 0, p), 90, 1e-4), 2, 1e-3)
	if at := blow(NewFuse("f", 1, 0, p), 30, 0.1); !math.IsInf(at, 1) {
		t.Errorf("parts at its rating after %g s", at)
	}
	a, b := blow(NewFuse("f", 1, 0, p), 1000, 1e-6), blow(NewFuse("f", 1, 0, p), 2000, 1e-6)
	within(t, "I²t at twice the current", 4*b/a, 1, 0.01)
}

// TestFuseOpen holds that an opened fuse conducts nothing and comes back with
// what was held.
func TestFuseOpen(t *testing.T) {
	f := NewFuse("f", 1, 0, FuseParams{Ohms: 2e-3, RatedAmps: 30, BlowAmps: 90, BlowSeconds: 2})
	whole := f.Hold(nil)
	f.Open()
	within(t, "open", f.Siemens(room), 0, 0)
	f.Recall(whole)
	within(t, "whole again", f.Siemens(room), 500, 1e-9)
}
