package heat

import (
	"math"
	"slices"
)

// Limit is one of the limits of a board's current, with the largest current at
// which it holds.
type Limit struct {
	Kind   string  // "junction", "copper", "trip", …
	Part   string  // the part or piece it binds at; empty where it is none
	Amps   float64 // where it alone would bind
	Kelvin float64 // the temperature not to be passed; NaN where it is none
	// Warmth is true of a trip that the board's warmth is to blame for, and not the
	// current: Kelvin is then the board's. Of a runaway it says that leakage grows,
	// and not resistance.
	Warmth bool
}

// temperatureKinds are the limits that are temperatures, in the order in which
// two at the same current are named.
var temperatureKinds = []string{Junction, Resistor, CopperIn, WireIn, StripIn}

// A search for a current; our own choices.
const (
	leastAmps = 0.01 // A
	mostAmps  = 2000 // A
	relative  = 2e-4 // how far apart the ends of the last interval may be
)

// limits returns the current of every limit the board meets below 2000 A, the
// first to bind first.
func (st *stand) limits() ([]Limit, error) {
	var out []Limit
	// The trip comes first: beyond it losses are drawn on from the last current
	// below it.
	for _, kind := range slices.Concat([]string{Trip}, temperatureKinds, []string{Rating}) {
		if !st.has(kind) {
			continue
		}
		l, ok, err := st.limit(kind)
		if err != nil {
			return nil, err
		}
		if ok {
			out = append(out, l)
		}
	}
	away, ok, err := st.runaway()
	if err != nil {
		return nil, err
	}
	if ok {
		// Beyond the runaway nothing else can bind.
		out = slices.DeleteFunc(out, func(l Limit) bool { return l.Amps > away.Amps })
		out = append(out, away)
	}
	slices.SortStableFunc(out, func(a, b Limit) int {
		switch {
		case a.Amps < b.Amps:
			return -1
		case a.Amps > b.Amps:
			return 1
		}
		return 0
	})
	return out, nil
}

// has reports whether anything on the board can meet a limit.
func (st *stand) has(kind string) bool {
	if kind == Trip {
		return len(st.rig.Circuit().Units) > 0
	}
	return slices.ContainsFunc(st.spots, func(s spot) bool {
		if kind == Rating {
			return !math.IsInf(s.most, 1)
		}
		return s.kind == kind && !math.IsInf(s.limit, 1)
	})
}

// limit is the largest current at which one limit holds; ok is false where it is
// not met before the losses run away.
func (st *stand) limit(kind string) (l Limit, ok bool, err error) {
	low, high, found, err := st.bracket(func(s settled) bool { return s.away != nil || st.worst(s, kind).use > 1 })
	if err != nil || !found {
		return Limit{}, false, err
	}
	above, err := st.settle(high)
	if err != nil || above.away != nil {
		return Limit{}, false, err
	}
	l = Limit{Kind: kind, Amps: low, Kelvin: math.NaN(), Part: st.can.Sense}
	if kind == Trip {
		return l, !above.holds, st.blame(&l)
	}
	if w := st.worst(above, kind); w.spot != nil {
		l.Part = w.spot.name
		if kind != Rating {
			l.Kelvin = w.spot.limit
		}
	}
	return l, true, nil
}

// blameShare is how far above the last current that flowed a quick trip must lie
// for the warmth to be to blame.
const blameShare = 1.1

// blame tells whether a trip is the current's or the warmth's. At the last current
// that flowed, its parts kept as warm as they are, a trip by the current lies just
// above. One that lies far above says that a little more warmth cut the board:
// leakage that turns a shifter on or drags a gate down.
func (st *stand) blame(l *Limit) error {
	if st.base.amps == 0 {
		return nil
	}
	st.warm(st.base.rest.Rises)
	_, flows, err := st.try(blameShare * l.Amps)
	if err == nil && flows {
		l.Warmth, l.Part, l.Kelvin = true, "", st.ambient+st.base.rest.Rises[len(st.spots)]
	}
	return err
}

// bracket narrows down the current from which on fails is true.
func (st *stand) bracket(fails func(settled) bool) (low, high float64, found bool, err error) {
	at := func(amps float64) bool {
		s, e := st.settle(amps)
		if e != nil {
			err = e
			return true
		}
		return fails(s)
	}
	for high = 1; !at(high); high *= 2 {
		if low = high; high >= mostAmps {
			return low, high, false, err
		}
	}
	for err == nil && high-low > relative*high && high > leastAmps {
		if mid := (low + high) / 2; at(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return low, high, true, err
}

// use is how far a limit is used up, 1 all of it, and by what.
type use struct {
	use  float64
	spot *spot
}

// worst is what uses up a limit most.
func (st *stand) worst(s settled, kind string) use {
	if kind == Trip {
		if s.holds {
			return use{}
		}
		return use{use: 2}
	}
	out := use{}
	for i := range st.spots {
		p, u := &st.spots[i], 0.0
		switch {
		case kind == Rating:
			u = s.each[i] / p.most
		case p.kind == kind && !math.IsInf(p.limit, 1):
			u = (st.kelvin(&s, s.rest.Rises, i) - st.ambient) / (p.limit - st.ambient)
			if p.limit <= st.ambient {
				u = math.Inf(1)
			}
		}
		if u > out.use {
			out = use{u, p}
		}
	}
	return out
}

// runaway is the current above which losses and temperatures have no solution.
// Resistances grow in a straight line, so the loop gain grows with the square of
// the current alone, and is 1 there; leakage may run away before.
func (st *stand) runaway() (l Limit, ok bool, err error) {
	low, _, found, err := st.bracket(func(s settled) bool { return s.away != nil || s.rest.Gain > gainSeen })
	if err != nil {
		return Limit{}, false, err
	}
	l = Limit{Kind: Runaway, Amps: math.Inf(1), Kelvin: math.NaN()}
	if s, err := st.settle(low); err != nil {
		return Limit{}, false, err
	} else if found && s.away == nil && s.rest.Gain > 0 {
		l.Amps = low / math.Sqrt(s.rest.Gain)
	}
	if st.leak < l.Amps {
		l.Amps, l.Warmth = st.leak, true
	}
	return l, l.Amps > 0 && l.Amps <= mostAmps, nil
}

// gainSeen is the loop gain at which the runaway is told: high enough to be
// seen well, low enough for the temperatures to be a part's.
const gainSeen = 0.25
