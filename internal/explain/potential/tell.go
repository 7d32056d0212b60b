package potential

import (
	"context"
	"math"

	"cupel/internal/board"
)

// Telling is the reading that tells a board best from one that differs from it.
type Telling struct {
	Level         // of the whole board
	State  string // to bring the board to
	Cell   int
	Other  float64 // V on the other board
	Search float64 // V of the largest difference; 0 where no state shows any
}

// Tell finds the net and the state in which a board differs most from one made
// from it by an edit that keeps its nets, given its own survey: the most
// informative place to measure.
func (b Bench) Tell(ctx context.Context, own Survey, edited *board.Board) (Telling, error) {
	other := Bench{Board: edited, Sheets: b.Sheets, Rig: b.Rig}
	s, err := other.Survey(ctx)
	if err != nil {
		return Telling{}, ctx.Err()
	}
	best := Telling{}
	for _, m := range own.Maps {
		for _, o := range s.Maps {
			if o.State != m.State || o.Cell != m.Cell || o.Failed != "" {
				continue
			}
			best.take(m, o)
		}
	}
	return best, nil
}

// take keeps the largest difference of two maps of one state.
func (t *Telling) take(m, o Map) {
	volts := map[board.NetID]float64{}
	for _, l := range o.Levels {
		volts[l.Net] = l.Volts
	}
	for _, l := range m.Levels {
		v, ok := volts[l.Net]
		if d := math.Abs(l.Volts - v); ok && d > t.Search {
			*t = Telling{l, m.State, m.Cell, v, d}
		}
	}
}
