package trial

import (
	"context"
	"math"

	"cupel/internal/trial/rig"
)

// tape is what some points did while a cell was taken through a limit and back,
// and the checks that came of it.
type tape struct {
	values  [][]float64 // by sample, then by point
	seconds float64
	checks  []Check
	calm    bool // the step short of the limit was left out
}

// taping is a rig that writes what points do onto a tape; its dwells become
// captures. What passes through it is computed as without it.
type taping struct {
	rig.Rig
	rig.Rewinder
	points []rig.Point
	on     *tape // nil: nothing is written
}

func (t *taping) Dwell(ctx context.Context, seconds float64) error {
	if t.on == nil {
		return t.Rig.Dwell(ctx, seconds)
	}
	_, err := t.Capture(ctx, rig.Capture{Seconds: seconds})
	return err
}

func (t *taping) Capture(ctx context.Context, c rig.Capture) (rig.Record, error) {
	if t.on == nil {
		return t.Rig.Capture(ctx, c)
	}
	own, until := len(c.Points), c.Until
	c.Points = append(append([]rig.Point{}, c.Points...), t.points...)
	if until != nil {
		c.Until = func(at float64, v []float64) bool { return until(at, v[:own]) }
	}
	rec, err := t.Rig.Capture(ctx, c)
	if err != nil {
		return rec, err
	}
	t.on.write(rec, own)
	rec.Points, rec.Values = rec.Points[:own], rec.Values[:own]
	return rec, nil
}

// write adds the points of a record from one on.
func (t *tape) write(rec rig.Record, from int) {
	for j, at := range rec.Times {
		row := make([]float64, len(rec.Values)-from)
		for i := range row {
			row[i] = rec.Values[from+i][j]
		}
		t.values = append(t.values, row)
		if j == len(rec.Times)-1 {
			t.seconds += at
		}
	}
}

// holds reports whether the points of every group kept the distances of the
// start, and what must stay off did.
func (t *tape) holds(start []float64, j Joints) bool {
	for _, row := range t.values {
		for _, o := range j.Off {
			if !o.holds(row) {
				return false
			}
		}
		for _, g := range j.Groups {
			for _, i := range g[1:] {
				if !(math.Abs((row[i]-row[g[0]])-(start[i]-start[g[0]])) <= stillVolts) {
					return false
				}
			}
		}
	}
	return true
}
