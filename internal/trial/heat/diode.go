package heat

import (
	"errors"
	"math"

	"cupel/internal/board"
	"cupel/internal/circuit/device"
	"cupel/internal/elaborate"
	"cupel/internal/thermal"
	"cupel/internal/trial/rig"
)

// Diode is a bank that is off while current flows the other way through its body
// diodes.
type Diode struct {
	Bank  string // the bank that is off
	After string // the protection that turned it off
	Flow  string // "discharging" or "charging"
	// Carries is false where the board lets no current through the diodes, or turns
	// the bank on again: Why says so, and nothing below is set.
	Carries bool
	Why     string
	Part    string  // the hottest FET
	Amps    float64 // what was looked at
	Volts   float64 // across the bank
	Watts   float64 // of the hottest FET, while it is as warm as its surroundings
	Channel float64 // W, of the same FET with the bank on
	Kelvin  float64 // where it settles; +Inf: nowhere
	Limit   float64 // K
	Seconds float64 // to the limit from the surroundings; +Inf: it never gets there
	Most    float64 // A that settles at the limit
}

// offState is a protection that has acted, and the current that still flows.
type offState struct {
	bank, after, flow string
	threshold         func(*stand) float64 // of the protection; 0: the board has none
	prepare           func(*stand) error
	push              func(st *stand, amps float64) error
	amps              rig.PointKind
}

var offStates = []offState{
	{"charge", "overcharge", "discharging", func(st *stand) float64 { return st.can.Hints.Overcharge }, overcharged, (*stand).discharge, rig.LoadAmps},
	{"discharge", "overdischarge", "charging", func(st *stand) float64 { return st.can.Hints.Overdischarge }, overdischarged, (*stand).charge, rig.ChargeAmps},
}

// How far beyond its threshold a cell is taken, and how much a charger is above the
// pack; our own choices.
const (
	beyond       = 50e-3 // V
	chargerAbove = 1.0   // V
)

func overcharged(st *stand) error {
	if err := st.rig.SetCell(1, st.can.Hints.Overcharge+beyond); err != nil {
		return err
	}
	return st.rig.Dwell(st.ctx, 2*st.can.Times.Overcharge+5*st.can.Times.Filter)
}

func overdischarged(st *stand) error {
	if err := st.rig.SetCell(1, st.can.Hints.Overdischarge-2*beyond); err != nil {
		return err
	}
	return st.rig.Dwell(st.ctx, 2*st.can.Times.Overdischarge+5*st.can.Times.Filter)
}

func (st *stand) discharge(amps float64) error {
	return st.rig.SetLoad(rig.Load{Kind: rig.ConstantCurrent, Value: amps})
}

func (st *stand) charge(amps float64) error {
	pack := st.can.CellFull * float64(st.can.Cells)
	return st.rig.SetCharger(rig.Charger{Volts: pack + chargerAbove + amps*st.can.CellOhms*float64(st.can.Cells), Amps: amps})
}

// diodes looks at every bank that can be off while the other direction flows.
func (st *stand) diodes(amps float64) ([]Diode, error) {
	var out []Diode
	for _, o := range offStates {
		for _, b := range st.rig.Circuit().Banks {
			if b.Name != o.bank || st.can.Separate || len(b.FETs) == 0 || o.threshold(st) == 0 {
				continue
			}
			d, err := st.diode(o, b, amps)
			if err != nil {
				return nil, err
			}
			out = append(out, d)
		}
	}
	return out, nil
}

// off is one bank being off, to be come back to.
type off struct {
	*stand
	state offState
	bank  elaborate.Bank
	spots []spot // of its FETs
	at    rig.Mark
}

func (st *stand) diode(o offState, b elaborate.Bank, amps float64) (Diode, error) {
	d := Diode{Bank: o.bank, After: o.after, Flow: o.flow, Amps: amps}
	st.cool()
	st.rig.Rewind(st.rest)
	f := &off{stand: st, state: o, bank: b, spots: st.bankSpots(b)}
	hot := f.hot()
	if err := o.prepare(st); err != nil {
		return d, err
	}
	f.at = st.rig.Mark()
	var watts []float64
	var err error
	for range carryTries {
		watts, d.Why, err = f.watts(d.Amps, make([]float64, len(b.FETs)))
		if err != nil || d.Why == "" {
			break
		}
		d.Amps /= 2
	}
	if err != nil || d.Why != "" {
		d.Amps = amps
		return d, err
	}
	x, err := st.rig.Unknowns()
	if err != nil {
		return d, err
	}
	d.Carries, d.Part, d.Watts, d.Limit = true, f.spots[hot].name, watts[hot], f.spots[hot].limit
	d.Volts = math.Abs(x[b.Drain] - x[b.Source])
	if d.Channel, err = f.channel(d.Amps, hot); err != nil {
		return d, err
	}
	rises, err := f.settle(d.Amps)
	if err != nil {
		return d, err
	}
	// The voltage of a warm diode falls, so that the warmest of several takes ever
	// more: the one that ends hottest is told.
	warmest := hottestOf(rises)
	d.Kelvin, d.Part = st.ambient+rises[warmest], f.spots[warmest].name
	d.Seconds = f.seconds(watts, hot)
	d.Most, err = f.most(d.Amps, rises)
	return d, err
}

// bankSpots describes the FETs of a bank, in the path of a load or not.
func (st *stand) bankSpots(b elaborate.Bank) []spot {
	m := &maker{board: st.subject.Board, sheets: st.subject.Sheets, view: st.view, cooling: st.cooling}
	var out []spot
	for _, e := range b.FETs {
		if p, ok := st.owner(e); ok {
			out = append(out, m.spot(p, e))
		}
	}
	return out
}

// owner is the part an element belongs to.
func (st *stand) owner(e *device.MOSFET) (*board.Part, bool) {
	for ref, elements := range st.rig.Circuit().Parts {
		for _, other := range elements {
			if other == e {
				return st.subject.Board.Part(ref)
			}
		}
	}
	return nil, false
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
