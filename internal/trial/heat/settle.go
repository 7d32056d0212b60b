package heat

import (
	"errors"
	"math"
	"slices"

	"cupel/internal/thermal"
	"cupel/internal/trial/rig"
)

// settled is the board at a current after long.
type settled struct {
	amps  float64
	rest  thermal.Rest
	away  *thermal.Runaway // nil: losses and temperatures agree
	holds bool             // no protection cuts the current
	each  []float64        // A through each spot
}

// settle finds losses and temperatures at a current. Where the board would cut it,
// they are those it would have were it not to.
func (st *stand) settle(amps float64) (settled, error) {
	if s, ok := st.seen[amps]; ok {
		return s, nil
	}
	s := settled{amps: amps, holds: true}
	if amps >= st.leak {
		s.away = &thermal.Runaway{}
		return s, nil
	}
	var err error
	if amps < st.cut {
		err = st.solve(&s, st.flowing, st.guess(amps))
		if err == nil && s.away == nil && !st.beyondSheets(&s) {
			return st.keep(s), nil
		}
	}
	cut := amps >= st.cut || errors.Is(err, errCut)
	if err != nil && !cut {
		return s, err
	}
	drifting := s.away
	s.away = nil
	if err = st.force(&s); err != nil {
		return s, err
	}
	if !cut && drifting != nil && s.away == nil && !st.beyondSheets(&s) {
		// Resistances alone would find a rest: what grows is leakage. Either it makes
		// the board cut as it drifts on, or nothing stops it.
		flows, err := st.drifts(amps)
		if err != nil {
			return s, err
		}
		if cut = !flows; flows {
			s.away, st.leak = drifting, math.Min(st.leak, amps)
		}
	}
	if cut {
		st.cut = math.Min(st.cut, amps)
		s.holds = false
	}
	st.seen[amps] = s
	return s, nil
}

// driftOver is how much warmer than at the last rest a drifting board is looked at.
const driftOver = 40. // K

// drifts reports whether a current still flows while the board drifts on.
func (st *stand) drifts(amps float64) (flows bool, err error) {
	rises := make([]float64, len(st.spots)+1)
	copy(rises, st.base.rest.Rises)
	for i := range rises {
		rises[i] += driftOver
	}
	st.warm(rises)
	_, flows, err = st.try(amps)
	return flows, err
}

// keep remembers a solution that was simulated whole.
func (st *stand) keep(s settled) settled {
	if s.holds && s.amps > st.base.amps {
		st.base = s
	}
	st.seen[s.amps] = s
	return s
}

// sheetMost is hotter than any sheet speaks of. What the models make of a part
// beyond it, leakage above all, is not worth following.
const sheetMost = zeroCelsius + 200

// beyondSheets reports whether a solution has a place that hot.
func (st *stand) beyondSheets(s *settled) bool {
	return slices.Max(s.rest.Rises) > sheetMost-st.ambient
}

// errCut says that the board cut the current.
var errCut = errors.New("the board cuts the current")

// solve finds rest with losses as they are told.
func (st *stand) solve(s *settled, losses func(*settled, []float64) ([]float64, error), from thermal.Guess) error {
	var err error
	s.rest, err = st.network.Settle(func(rises []float64) ([]float64, error) { return losses(s, rises) }, from)
	if errors.As(err, &s.away) {
		return nil
	}
	return err
}

// guess is the solution at the largest current below amps so far. Losses grow with
// current and temperature, so its rises are below those sought, and the search
// comes from below: it cannot miss the rest for another one beyond a runaway.
func (st *stand) guess(amps float64) thermal.Guess {
	var below settled
	for _, s := range st.seen {
		if s.away == nil && s.holds && s.amps <= amps && s.amps > below.amps {
			below = s
		}
	}
	return thermal.Guess{Rises: below.rest.Rises}
}

func square(x float64) float64 { return x * x }

// flowing are the losses of all places at given rises, simulated; errCut where the
// board cuts the current.
func (st *stand) flowing(s *settled, rises []float64) ([]float64, error) {
	st.warm(rises)
	x, flows, err := st.try(s.amps)
	if s.holds = flows; err == nil && !flows {
		err = errCut
	}
	if err != nil {
		return nil, err
	}
	return st.read(s, x, rises), nil
}

// try is load, for which a current that finds no solution does not flow.
func (st *stand) try(amps float64) (x []float64, flows bool, err error) {
	x, flows, err = st.load(amps)
	var not *rig.NotComputed
	if errors.As(err, &not) {
		return nil, false, nil
	}
	return x, flows, err
}

// read takes losses and currents off the unknowns.
func (st *stand) read(s *settled, x, rises []float64) []float64 {
	watts := make([]float64, len(rises))
	s.each = make([]float64, len(st.spots))
	for i := range st.spots {
		p := &st.spots[i]
		if p.part != nil {
			watts[i] = p.part.Power(x)
			s.each[i] = math.Abs(p.part.Current(x))
			continue
		}
		watts[i] = p.watts(s.amps, st.kelvin(s, rises, i))
		s.each[i] = p.share * s.amps
	}
	for _, e := range st.others {
		watts[len(st.spots)] += math.Max(0, e.Power(x))
	}
	return watts
}

// kelvin is the temperature of a spot.
func (st *stand) kelvin(s *settled, rises []float64, i int) float64 {
	t := st.ambient + rises[i]
	if f := st.spots[i].rise; f != nil {
		t += f(s.amps)
	}
	return t
}
