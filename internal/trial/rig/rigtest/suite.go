// Package rigtest holds the tests every rig must pass.
package rigtest

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"cupel/internal/trial/rig"
)

// volts is how near a cell must come to what it was set to, V: a rig with
// supplies and leads of its own is allowed millivolts.
const volts = 20e-3

// Suite runs the tests on rigs that make gives, each fresh and with a board
// in it whose directions are on at rest.
func Suite(t *testing.T, make func() rig.Rig) {
	t.Helper()
	for _, c := range []struct {
		name string
		test func(*testing.T, rig.Rig)
	}{
		{"abilities make sense", abilities},
		{"cells are set and read back", cells},
		{"bad cells are refused", badCells},
		{"directions are on at rest", directions},
		{"make safe empties the ports", makeSafe},
		{"capture times grow", captureTimes},
		{"capture ends when told", captureUntil},
		{"a cause is made in the capture", captureCause},
		{"a stopped context stops", cancelled},
		{"rewind is exact", rewind},
	} {
		t.Run(c.name, func(t *testing.T) { c.test(t, make()) })
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func read(t *testing.T, r rig.Rig, p rig.Point) float64 {
	t.Helper()
	v, err := r.Read(p)
	if err != nil {
		t.Fatalf("reading %s: %v", p, err)
	}
	return v.Value
}

func settle(a rig.Abilities) float64 {
	if a.Settle > 0 {
		return a.Settle
	}
	return 3e-3
}

func pack(a rig.Abilities) float64 { return float64(a.Cells) * a.CellMiddle }

func abilities(t *testing.T, r rig.Rig) {
	a := r.Can()
	if a.Cells < 1 {
		t.Errorf("%d cells", a.Cells)
	}
	if !(0 < a.CellMiddle && a.CellMiddle < a.CellFull) {
		t.Errorf("a cell is %g V half full and %g V full", a.CellMiddle, a.CellFull)
	}
	if (!a.Discharge || !a.Charge) && a.Missing == "" {
		t.Error("a port is missing and nothing says which pad")
	}
	if !slices.IsSorted(a.Hints.LoadAmps) {
		t.Errorf("hints of load current do not grow: %v", a.Hints.LoadAmps)
	}
}

// middle sets every cell to the middle and lets the board come to rest.
func middle(t *testing.T, r rig.Rig) rig.Abilities {
	t.Helper()
	a := r.Can()
	for k := 1; k <= a.Cells; k++ {
		must(t, r.SetCell(k, a.CellMiddle))
	}
	must(t, r.MakeSafe())
	must(t, r.Dwell(context.Background(), math.Max(2*a.Times.Release, settle(a))))
	return a
}

func cells(t *testing.T, r rig.Rig) {
	a := middle(t, r)
	for k := 1; k <= a.Cells; k++ {
		must(t, r.SetCell(k, a.CellMiddle+0.1))
		must(t, r.Dwell(context.Background(), settle(a)))
		if v := read(t, r, rig.Point{Kind: rig.CellVolts, N: k}); math.Abs(v-a.CellMiddle-0.1) > volts {
			t.Errorf("cell %d set to %g V reads %g V", k, a.CellMiddle+0.1, v)
		}
		must(t, r.SetCell(k, a.CellMiddle))
	}
}

func badCells(t *testing.T, r rig.Rig) {
	a := r.Can()
	for _, k := range []int{-1, 0, a.Cells + 1} {
		if r.SetCell(k, a.CellMiddle) == nil {
			t.Errorf("cell %d of %d could be set", k, a.Cells)
		}
	}
	if _, err := r.Read(rig.Point{Kind: rig.CellVolts, N: a.Cells + 1}); err == nil {
		t.Errorf("cell %d of %d could be read", a.Cells+1, a.Cells)
	}
}

// probeAmps is the current of the probes, A.
const probeAmps = 5e-3

func directions(t *testing.T, r rig.Rig) {
	a := middle(t, r)
	if a.Discharge {
		must(t, r.SetLoad(rig.Load{Kind: rig.Resistance, Value: pack(a) / probeAmps}))
		isOn(t, r, rig.LoadAmps, rig.MinusDrop)
		must(t, r.SetLoad(rig.Load{}))
	}
	if a.Charge {
		must(t, r.SetCharger(rig.Charger{Volts: pack(a) + 1.5, Amps: probeAmps}))
		isOn(t, r, rig.ChargeAmps, rig.ChargeDrop)
	}
}

func isOn(t *testing.T, r rig.Rig, amps, drop rig.PointKind) {
	t.Helper()
	must(t, r.Dwell(context.Background(), settle(r.Can())))
	if i := read(t, r, rig.Point{Kind: amps}); math.Abs(i-probeAmps) > 0.1*probeAmps {
		t.Errorf("%s of a 5 mA probe is %g A", amps, i)
	}
	if v := read(t, r, rig.Point{Kind: drop}); math.Abs(v) > 0.2 {
		t.Errorf("%s is %g V at 5 mA", drop, v)
	}
}

func makeSafe(t *testing.T, r rig.Rig) {
	a := middle(t, r)
	if a.Discharge {
		must(t, r.SetLoad(rig.Load{Kind: rig.Resistance, Value: pack(a) / probeAmps}))
	}
	if a.Charge {
		must(t, r.SetCharger(rig.Charger{Volts: pack(a) + 1.5, Amps: probeAmps}))
	}
	must(t, r.Dwell(context.Background(), settle(a)))
	must(t, r.MakeSafe())
	must(t, r.Dwell(context.Background(), settle(a)))
	if a.Discharge {
		isOff(t, r, rig.LoadAmps)
	}
	if a.Charge {
		isOff(t, r, rig.ChargeAmps)
	}
}

// isOff wants no more than leakage through an emptied port.
func isOff(t *testing.T, r rig.Rig, amps rig.PointKind) {
	t.Helper()
	if i := read(t, r, rig.Point{Kind: amps}); math.Abs(i) > 1e-5 {
		t.Errorf("%s is %g A although the rig says it is safe", amps, i)
	}
}

func captureTimes(t *testing.T, r rig.Rig) {
	middle(t, r)
	points := []rig.Point{{Kind: rig.CellVolts, N: 1}, {Kind: rig.CellAmps, N: 1}}
	rec, err := r.Capture(context.Background(), rig.Capture{Points: points, Seconds: 0.05})
	must(t, err)
	if !slices.Equal(rec.Points, points) || len(rec.Values) != len(points) {
		t.Fatalf("asked for %v, got %v with %d rows", points, rec.Points, len(rec.Values))
	}
	n := len(rec.Times)
	if n < 2 || rec.Times[0] != 0 {
		t.Fatalf("%d times, beginning with %v", n, rec.Times[:min(n, 1)])
	}
	for i := 1; i < n; i++ {
		if !(rec.Times[i] > rec.Times[i-1]) {
			t.Fatalf("time %d is %g s after %g s", i, rec.Times[i], rec.Times[i-1])
		}
	}
	if end := rec.Times[n-1]; math.Abs(end-0.05) > 1e-3 {
		t.Errorf("a record of 0.05 s ends at %g s", end)
	}
	for i, v := range rec.Values {
		if len(v) != n {
			t.Errorf("%s has %d values at %d times", points[i], len(v), n)
		}
	}
}

func captureUntil(t *testing.T, r rig.Rig) {
	middle(t, r)
	last := -1.0
	rec, err := r.Capture(context.Background(), rig.Capture{
		Points: []rig.Point{{Kind: rig.CellVolts, N: 1}}, Seconds: 10,
		Until: func(now float64, v []float64) bool {
			if now < last || len(v) != 1 {
				t.Errorf("until was asked at %g s after %g s with %d values", now, last, len(v))
			}
			last = now
			return now >= 0.01
		},
	})
	must(t, err)
	if end := rec.Times[len(rec.Times)-1]; end < 0.01 || end > 9 {
		t.Errorf("a record to be ended after 0.01 s ends at %g s", end)
	}
}

func captureCause(t *testing.T, r rig.Rig) {
	a := middle(t, r)
	to := a.CellMiddle + 0.1
	rec, err := r.Capture(context.Background(), rig.Capture{
		Cause:  rig.Cause{Cell: 1, Volts: to},
		Points: []rig.Point{{Kind: rig.CellVolts, N: 1}}, Seconds: settle(a),
	})
	must(t, err)
	if v := rec.Values[0][len(rec.Times)-1]; math.Abs(v-to) > volts {
		t.Errorf("cell 1 ends at %g V, was to go to %g V", v, to)
	}
	if v := read(t, r, rig.Point{Kind: rig.CellVolts, N: 1}); math.Abs(v-to) > volts {
		t.Errorf("after the capture cell 1 reads %g V, was set to %g V", v, to)
	}
}

func cancelled(t *testing.T, r rig.Rig) {
	middle(t, r)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := r.Dwell(ctx, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("dwell: %v, want %v", err, context.Canceled)
	}
	_, err := r.Capture(ctx, rig.Capture{Points: []rig.Point{{Kind: rig.CellVolts, N: 1}}, Seconds: 1})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("capture: %v, want %v", err, context.Canceled)
	}
	must(t, r.MakeSafe())
}

// rewind runs the same second twice from one mark, with a cell far off in
// between, and wants the same record to the last bit.
func rewind(t *testing.T, r rig.Rig) {
	w, ok := r.(rig.Rewinder)
	if !ok {
		t.Skip("the rig cannot go back")
	}
	a := middle(t, r)
	if a.Discharge {
		must(t, r.SetLoad(rig.Load{Kind: rig.Resistance, Value: pack(a) / probeAmps}))
	}
	mark := w.Mark()
	run := func() rig.Record {
		points := []rig.Point{{Kind: rig.CellVolts, N: 1}, {Kind: rig.CellAmps, N: 1}}
		if a.Discharge {
			points = append(points, rig.Point{Kind: rig.LoadAmps})
		}
		rec, err := r.Capture(context.Background(), rig.Capture{Cause: rig.Cause{Cell: 1, Volts: a.CellFull + 0.3}, Points: points, Seconds: 1})
		must(t, err)
		return rec
	}
	first := run()
	must(t, r.MakeSafe())
	must(t, r.SetCell(a.Cells, 0.5*a.CellMiddle))
	must(t, r.Dwell(context.Background(), 1))
	for range 2 {
		w.Rewind(mark)
		again := run()
		if len(first.Times) != len(again.Times) {
			t.Fatalf("%d times the first run, %d after rewinding", len(first.Times), len(again.Times))
		}
		for i, x := range first.Times {
			if again.Times[i] != x {
				t.Fatalf("time %d is %.17g s the first run, %.17g s after rewinding", i, x, again.Times[i])
			}
		}
		for i := range first.Values {
			if !slices.Equal(first.Values[i], again.Values[i]) {
				t.Errorf("%s differs after rewinding", first.Points[i])
			}
		}
	}
}
