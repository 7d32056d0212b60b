package heat

import (
	"math"

	"cupel/internal/board"
	"cupel/internal/circuit/device"
	"cupel/internal/elaborate"
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
