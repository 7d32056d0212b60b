package fault

import (
	"context"

	"cupel/internal/elaborate"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// joinSeconds is how long the board is given after each lead, s: longer than the
// delays of cell voltages.
const joinSeconds = 0.5

// thinLead is a lead that takes nothing away: the screening's currents flow
// through it too.
var thinLead = rig.Lead{Ohms: 1e-3, Henry: 1e-9}

// unplugged is the whole board with all its leads joined in order but one. A
// board on which a lead is broken may have no state of rest, because what watches
// the cells beside it moves the tap that nothing holds; joined so, it is taken as
// it goes.
func (t Bench) unplugged(ctx context.Context, pad string) (*simulated.Rig, error) {
	c, list := elaborate.Elaborate(t.Board, t.Sheets, elaborate.Options{})
	if err := unusable(list); err != nil {
		return nil, err
	}
	r, err := t.made(t.Board, c)
	if err != nil {
		return nil, err
	}
	if err := r.Disconnect(); err != nil {
		return nil, err
	}
	for k := 0; k <= t.Board.Cells; k++ {
		if name, ok := tapPad(t.Board, k); ok && name == pad {
			continue
		}
		if err := r.Connect(k, thinLead); err != nil {
			return nil, err
		}
		if err := r.Dwell(ctx, joinSeconds); err != nil {
			return nil, err
		}
	}
	return r, nil
}
