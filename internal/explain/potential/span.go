package potential

import (
	"context"
	"math"

	"cupel/internal/board"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// Corner is a board whose parts are not nominal, between cells that are not
// quite half full.
type Corner struct {
	Rig   func() (rig.Rig, error)
	Cells float64 // V of every cell off the middle
}

// Spread says over which boards the range of a map goes.
type Spread struct {
	Boards int     // that the range covers, the nominal one among them
	Cells  float64 // V of every cell off the middle at most
	Failed int     // corners that could not be computed
	Other  int     // corners that did not act as the nominal board did, and do not count
}

// cellSpread is how far from the middle a cell that is called half full may be,
// as a part of the way from there to full: 3.55 to 3.85 V of 3.70. Our own choice.
const cellSpread = 0.3

// CellSpread is by how much a cell that is called half full may be off, V.
func CellSpread(a rig.Abilities) float64 { return cellSpread * (a.CellFull - a.CellMiddle) }

// Span widens a map by what its nets are at in corners: every level gets its
// range. A net that floats in a corner has no level there.
func (b Bench) Span(ctx context.Context, m *Map, corners []Corner) (Spread, error) {
	out := Spread{Boards: 1}
	if m.Failed != "" {
		return out, nil
	}
	for i, l := range m.Levels {
		if !m.switches {
			m.Levels[i].Low, m.Levels[i].High = l.Volts, l.Volts
		}
	}
	nominal, err := b.Rig(b.Board)
	if err != nil {
		return out, err
	}
	for _, c := range corners {
		x, err := b.corner(ctx, m, c, nominal.Can())
		switch {
		case ctx.Err() != nil:
			return out, ctx.Err()
		case err != nil:
			out.Failed++
		case x.acts != m.acts || x.switches != m.switches:
			out.Other++
		default:
			out.Boards++
			out.Cells = math.Max(out.Cells, math.Abs(c.Cells))
			m.widen(x)
		}
	}
	return out, nil
}

// corner maps the state of a map on a corner's board. The stimulus is that of the
// nominal board, which can a.
func (b Bench) corner(ctx context.Context, m *Map, c Corner, a rig.Abilities) (Map, error) {
	a.CellMiddle += c.Cells
	for _, scene := range trial.Scenes(a) {
		if scene.State != m.State || scene.Cell != m.Cell {
			continue
		}
		r, err := c.Rig()
		if err != nil {
			return Map{}, err
		}
		x := Map{State: scene.State, Cell: scene.Cell}
		err = b.lookAt(ctx, r, scene, &x, newWorst(b.Board, nil))
		return x, err
	}
	return Map{}, nil
}

// widen takes the levels of another board into the ranges.
func (m *Map) widen(other Map) {
	at := map[board.NetID]Level{}
	for _, l := range other.Levels {
		at[l.Net] = l
	}
	for i := range m.Levels {
		l := &m.Levels[i]
		for _, v := range []float64{at[l.Net].Volts, at[l.Net].Low, at[l.Net].High} {
			if _, ok := at[l.Net]; ok && !math.IsNaN(v) {
				l.Low, l.High = math.Min(l.Low, v), math.Max(l.High, v)
			}
		}
	}
}
