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

// TestHeaterFuse holds that the heater alone parts the fuse at the one point it
// was made from, and that it loses its current with the element.
func TestHeaterFuse(t *testing.T) {
	p := FuseParams{Ohms: 2e-3, RatedAmps: 30, BlowAmps: 90, BlowSeconds: 2}
	f := NewHeaterFuse("f", 1, 0, 2, 3, p, HeaterParams{Ohms: 5, Watts: 20, Seconds: 0.5})
	l := circuit.Lay(4, []circuit.Element{f})
	s := l.NewSystem()
	const step = 1e-5
	s.Alpha = 1 / step
	f.LoadMatrix(s)
	s.X[3] = math.Sqrt(20. * 5) // all of it across the heater
	within(t, "loss", f.Power(s.X), 20, 1e-9)
	time := 0.
	for ; f.Margin(s) > 0 && time < 1; time += step {
		s.Hist[f.state] = -s.Alpha * s.Q[f.state]
		f.Store(s)
	}
	within(t, "parts after", time, 0.5, 1e-3)
	f.Open()
	f.LoadMatrix(s)
	within(t, "loss when parted", f.Power(s.X), 0, 0)
}

// TestHeaterFuseCarries holds that the two halves together are the resistance of
// the sheet.
func TestHeaterFuseCarries(t *testing.T) {
	f := NewHeaterFuse("f", 1, 0, 2, 3, FuseParams{Ohms: 2e-3}, HeaterParams{Ohms: 5})
	l := circuit.Lay(4, []circuit.Element{f})
	s := l.NewSystem()
	f.LoadMatrix(s)
	s.X[1], s.X[2], s.X[3] = 20e-3, 10e-3, 10e-3
	within(t, "current", f.Current(s.X), 10, 1e-9)
	within(t, "loss", f.Power(s.X), 0.2, 1e-9)
}
