package heat

import (
	"cupel/internal/circuit"
	"cupel/internal/trial/rig"
)

// TripAt is at which current the board itself cuts, cold and warm.
type TripAt struct {
	Part string // the protector that senses the current
	// Cold is a pulse out of rest, board and parts at Room; Hot a current raised
	// quickly from the one under which the board had settled. 0: no trip found.
	Cold, Hot float64
	// Low is Hot with the threshold and all else at its worst, High is Cold with all
	// at its best; 0: no trip found.
	Low, High float64
	// HotKelvin is the warmest FET the sensed current passes.
	HotKelvin float64
}

// Room is where a trip counts as cold.
const Room = circuit.RoomKelvin

// tripRelative is how closely a trip is told.
const tripRelative = 2e-3

// tripCold finds the smallest current that a pulse out of rest trips, 25 °C all over.
func tripCold(st *stand) (float64, error) {
	cold, err := newStand(st.ctx, st.subject, st.view, Room)
	if err != nil {
		return 0, err
	}
	wait := 1.5*cold.can.Times.Overcurrent + 5*cold.can.Times.Filter
	return trip(cold, func(amps float64) (bool, error) {
		cold.rig.Rewind(cold.rest)
		load := rig.Load{Kind: rig.ConstantCurrent, Value: amps}
		cut := false // for good, or until the board tries again
		_, err := cold.rig.Capture(cold.ctx, rig.Capture{
			Cause: rig.Cause{Load: &load}, Points: []rig.Point{{Kind: rig.LoadAmps}}, Seconds: wait,
			Until: func(_ float64, values []float64) bool {
				cut = cut || values[0] < wholeShare*amps
				return cut
			},
		})
		return cut, err
	})
}

// tripHot finds the smallest current that trips with the parts as warm as they
// are.
func tripHot(st *stand, rises []float64) (float64, error) {
	st.warm(rises)
	return trip(st, func(amps float64) (bool, error) {
		_, flows, err := st.try(amps)
		return !flows, err
	})
}

// trip halves around where the sheets expect the trip, or from 1 A upwards.
func trip(st *stand, trips func(amps float64) (bool, error)) (float64, error) {
	low, high := 0.0, 1.0
	if len(st.rig.Circuit().Units) == 0 {
		return 0, nil
	}
	if h := st.can.Hints.LoadAmps; len(h) > 0 {
		high = h[0] / 2
	}
	for high < mostAmps {
		cut, err := trips(high)
		if err != nil {
			return 0, err
		}
		if cut {
			break
		}
		low, high = high, high*1.3
	}
	if high >= mostAmps {
		return 0, nil
	}
	for high-low > tripRelative*high && high > leastAmps {
		mid := (low + high) / 2
		cut, err := trips(mid)
		switch {
		case err != nil:
			return 0, err
		case cut:
			high = mid
		default:
			low = mid
		}
	}
	return (low + high) / 2, nil
}

// hottest is the warmest junction in the path.
func (st *stand) hottest(s settled) float64 {
	t := st.ambient
	for i := range st.spots {
		if st.spots[i].kind == Junction {
			t = max(t, st.kelvin(&s, s.rest.Rises, i))
		}
	}
	return t
}
