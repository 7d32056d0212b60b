package heat

import (
	"errors"
	"math"

	"cupel/internal/elaborate"
	"cupel/internal/thermal"
	"cupel/internal/trial/rig"
)

// off is one bank being off, to be come back to.
type off struct {
	*stand
	state offState
	bank  elaborate.Bank
	spots []spot // of its FETs
	at    rig.Mark
}

// hot is the FET that is looked at: body diodes are alike, so the one that cools
// worst, the first of equals.
func (f *off) hot() int {
	best := 0
	for i := range f.spots {
		if f.spots[i].own > f.spots[best].own {
			best = i
		}
	}
	return best
}

// carryTries is how often the current is halved until the diodes carry it: a large
// one moves the cell that tripped back over its threshold.
const carryTries = 5

// Carrying through the diodes: the share of the current that must pass them, and
// how long is waited for the board to turn the bank on again or to cut.
const (
	diodeShare = 0.9
	diodeWait  = 5e-3 // s, beyond the releases' and overcurrent's own delays
)

// watts are the losses of the FETs, as much warmer as rises say, or why the diodes
// carry nothing.
func (f *off) watts(amps float64, rises []float64) (watts []float64, why string, err error) {
	f.rig.Rewind(f.at)
	for i, e := range f.bank.FETs {
		e.SetRise(rises[i])
	}
	f.rig.Changed()
	if err := f.state.push(f.stand, amps); err != nil {
		return nil, "", err
	}
	if err := f.rig.Dwell(f.ctx, f.can.Times.Release+f.can.Times.Overcurrent+diodeWait); err != nil {
		return nil, "", err
	}
	i, err := f.rig.Read(rig.Point{Kind: f.state.amps})
	if err != nil {
		return nil, "", err
	}
	x, err := f.rig.Unknowns()
	if err != nil {
		return nil, "", err
	}
	bulk := 0.0
	for _, e := range f.bank.FETs {
		bulk += math.Abs(e.BulkCurrent(x))
		watts = append(watts, e.Power(x))
	}
	switch {
	case i.Value < diodeShare*amps:
		return nil, "the board lets no such current pass", nil
	case bulk < diodeShare*amps:
		return nil, "the bank is on again as soon as current flows", nil
	}
	return watts, "", nil
}

// channel is the loss of the same FET with the bank on; 0 where the board does not
// pass that current.
func (f *off) channel(amps float64, hot int) (float64, error) {
	f.cool()
	x, flows, err := f.try(amps)
	if err != nil || !flows || f.state.flow != "discharging" {
		return 0, err
	}
	return f.bank.FETs[hot].Power(x), nil
}

// net is the network of the bank's FETs.
func (f *off) net() thermal.Network {
	k := make([][]float64, len(f.spots))
	for i := range k {
		k[i] = make([]float64, len(f.spots))
		for j := range k[i] {
			k[i][j] = f.cooling.ohms
		}
		k[i][i] += f.spots[i].own
	}
	return thermal.Network{K: k}
}

// settle is where the FETs come to rest; +Inf where nowhere.
func (f *off) settle(amps float64) ([]float64, error) {
	rest, err := f.net().Settle(func(rises []float64) ([]float64, error) {
		watts, why, err := f.watts(amps, rises)
		if why != "" {
			err = errCut
		}
		return watts, err
	}, thermal.Guess{})
	var away *thermal.Runaway
	if errors.As(err, &away) || errors.Is(err, errCut) {
		for i := range rest.Rises {
			rest.Rises[i] = math.Inf(1)
		}
		return rest.Rises, nil
	}
	return rest.Rises, err
}

// seconds is how long a constant loss takes to warm a FET to its limit.
func (f *off) seconds(watts []float64, hot int) float64 {
	total := 0.0
	for _, w := range watts {
		total += w
	}
	way := f.response(hot)
	rise := func(t float64) float64 {
		return watts[hot]*way.At(t) + total*f.cooling.ohms*-math.Expm1(-t/TimeConstant())
	}
	target := f.spots[hot].limit - f.ambient
	if rise(1e6) <= target {
		return math.Inf(1)
	}
	low, high := 1e-6, 1e6
	for high/low > 1.001 {
		if mid := math.Sqrt(low * high); rise(mid) > target {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}

// most is the current that settles at the limit, told from one that settles at
// rises known. A diode's voltage hardly hangs on its current, so the rise goes with
// it, and a few looks are enough.
func (f *off) most(amps float64, rises []float64) (float64, error) {
	for range mostLooks {
		hot := hottestOf(rises)
		target := f.spots[hot].limit - f.ambient
		if rises[hot] == 0 || target <= 0 {
			return 0, nil
		}
		factor := target / rises[hot]
		if math.IsInf(rises[hot], 1) {
			factor = 0.25
		}
		amps *= factor
		if math.Abs(factor-1) < mostRelative {
			break
		}
		var err error
		if rises, err = f.settle(amps); err != nil {
			return 0, err
		}
	}
	return amps, nil
}

// How closely, and with how many looks, the most of a body diode is told.
const (
	mostRelative = 0.02
	mostLooks    = 5
)

func hottestOf(rises []float64) int {
	best := 0
	for i, r := range rises {
		if r > rises[best] {
			best = i
		}
	}
	return best
}
