package heat

import (
	"context"
	"errors"
	"math"
	"slices"

	"cupel/internal/conductor"
	"cupel/internal/evidence"
)

// Question is what is asked of a board.
type Question struct {
	Ambient float64 // K
	Amps    float64 // the load the parts are shown under; 0: the honest current
}

// Answer is how warm a board gets and what it carries.
type Answer struct {
	Ambient float64
	// Honest is the largest current at which everything holds, with typical parts;
	// Low and High with everything unknown at its worst and at its best.
	Honest, Low, High float64
	Limits            []Limit // the first to bind first
	Runaway           float64 // A; 0: none found
	Trip              TripAt
	At                float64 // the current the parts are shown under
	Settles           bool    // there is a rest at it
	Holds             bool    // no protection cuts it
	Parts             []Part
	Board             float64 // K, the board's mean
	Bleeds            []Bleed
	Diodes            []Diode
	Shorts            []Short
	Assumed           []string
}

// Part is one place with its loss and temperature.
type Part struct {
	Name          string
	Kind          string
	Amps, Watts   float64
	Kelvin        float64
	Limit         float64 // K; NaN: none
	Basis         evidence.Basis
	KelvinPerWatt float64 // over the board's mean, of a wire over the air
	NewerKelvin   float64 // of a track by the newer fit; NaN otherwise
	OffChart      bool    // of a track: beyond what the chart covers
}

// Study answers a question. Its error is a *NoPath where there is no current to
// look at, and *rig.NotComputed.
func Study(ctx context.Context, s Subject, q Question) (Answer, error) {
	st, err := newStand(ctx, s, typical, q.Ambient)
	if err != nil {
		return cutByAir(ctx, s, q.Ambient, err)
	}
	a := Answer{Ambient: q.Ambient, Assumed: slices.Concat(st.assumed, st.can.Assumed)}
	if err := st.honest(&a); err != nil {
		return a, err
	}
	return a, st.complete(&a, q)
}

// Honest answers with the honest current, its limits and its range alone, and the
// ends of the trip.
func Honest(ctx context.Context, s Subject, ambient float64) (Answer, error) {
	st, err := newStand(ctx, s, typical, ambient)
	if err != nil {
		return cutByAir(ctx, s, ambient, err)
	}
	a := Answer{Ambient: ambient}
	return a, st.honest(&a)
}

// cutByAir answers for a board that cuts in air of a temperature but not in a room:
// it carries nothing there.
func cutByAir(ctx context.Context, s Subject, ambient float64, err error) (Answer, error) {
	var none *NoPath
	if !errors.As(err, &none) || !none.Cuts {
		return Answer{}, err
	}
	room, inRoom := newStand(ctx, s, typical, Room)
	if inRoom != nil {
		return Answer{}, err
	}
	a := Answer{
		Ambient: ambient, Limits: []Limit{{Kind: Trip, Kelvin: ambient, Warmth: true}},
		Trip: TripAt{Part: room.can.Sense}, Assumed: slices.Concat(room.assumed, room.can.Assumed),
	}
	a.Trip.Cold, err = tripCold(room)
	return a, err
}

func (st *stand) honest(a *Answer) (err error) {
	if a.Limits, err = st.limits(); err != nil {
		return err
	}
	a.Honest = first(a.Limits)
	for _, l := range a.Limits {
		if l.Kind == Runaway {
			a.Runaway = l.Amps
		}
	}
	return ends(st.ctx, st.subject, a)
}

// first is the current of the first limit.
func first(ls []Limit) float64 {
	if len(ls) == 0 {
		return mostAmps
	}
	return ls[0].Amps
}

// ends adds the honest currents and the trips with everything at its worst and at
// its best.
func ends(ctx context.Context, s Subject, a *Answer) error {
	worst, rest, err := end(ctx, s, adverse, a.Ambient)
	var none *NoPath
	if errors.As(err, &none) {
		err = nil // at its worst the board carries nothing
	} else if err == nil && rest.away == nil {
		a.Low = rest.amps
		a.Trip.Low, err = tripHot(worst, rest.rest.Rises)
	}
	if err != nil {
		return err
	}
	best, rest, err := end(ctx, s, favourable, a.Ambient)
	if err != nil {
		return err
	}
	a.High = rest.amps
	a.Trip.High, err = tripCold(best)
	return err
}

// end is a board in a view, settled at its honest current.
func end(ctx context.Context, s Subject, v view, ambient float64) (*stand, settled, error) {
	st, err := newStand(ctx, s, v, ambient)
	if err != nil {
		return nil, settled{}, err
	}
	ls, err := st.limits()
	if err != nil {
		return nil, settled{}, err
	}
	at, err := st.settle(first(ls))
	return st, at, err
}

// complete adds what is told of the board at one current.
func (st *stand) complete(a *Answer, q Question) error {
	settled, err := st.settle(a.Honest)
	if err != nil {
		return err
	}
	if err := st.trips(a, settled); err != nil {
		return err
	}
	a.At = a.Honest
	if q.Amps > 0 {
		a.At = q.Amps
		if settled, err = st.settle(q.Amps); err != nil {
			return err
		}
	}
	a.Settles, a.Holds = settled.away == nil, settled.holds
	if a.Settles {
		a.Parts = st.parts(settled)
		a.Board = st.ambient + settled.rest.Rises[len(st.spots)]
	}
	return st.beyond(a)
}

// beyond adds what happens beside the settled board: bleeding, a bank that is off,
// a short.
func (st *stand) beyond(a *Answer) (err error) {
	if a.Bleeds, err = st.bleeds(); err != nil {
		return err
	}
	if a.Diodes, err = st.diodes(a.At); err != nil {
		return err
	}
	warm, err := st.settle(a.Honest)
	if err != nil || warm.away != nil {
		return err
	}
	a.Shorts, err = st.shorts(warm.rest.Rises)
	return err
}

func (st *stand) trips(a *Answer, s settled) (err error) {
	a.Trip.Part = st.can.Sense
	if a.Trip.Cold, err = tripCold(st); err != nil {
		return err
	}
	if s.away != nil {
		return nil
	}
	a.Trip.HotKelvin = st.hottest(s)
	a.Trip.Hot, err = tripHot(st, s.rest.Rises)
	return err
}

// parts lists the places, hottest against its limit first.
func (st *stand) parts(s settled) []Part {
	var out []Part
	for i := range st.spots {
		p := &st.spots[i]
		q := Part{
			Name: p.name, Kind: p.kind, Amps: s.each[i], Watts: s.rest.Watts[i], Kelvin: st.kelvin(&s, s.rest.Rises, i),
			Limit: p.limit, Basis: p.basis, KelvinPerWatt: p.own, NewerKelvin: math.NaN(),
		}
		if math.IsInf(q.Limit, 1) {
			q.Limit = math.NaN()
		}
		if p.rise != nil {
			own := p.rise(s.amps)
			q.NewerKelvin = q.Kelvin - own + p.newer(s.amps)
			q.OffChart = !conductor.OnChart(q.Amps, p.width, own)
		}
		out = append(out, q)
	}
	return out
}
