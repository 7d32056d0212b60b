package rigtest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"cupel/internal/trial/rig"
)

// Ideal is a board without a circuit: every threshold, delay and release rule
// is what its Board says, exactly. Trials are tested against it.
type Ideal struct {
	board Board
	latch []latch
	bleed map[int]int // cell → its latch
	now   world
}

// Board says how an Ideal behaves. A zero threshold is one that does not exist.
type Board struct {
	Cells        int
	Full, Middle float64 // V
	CellOhms     float64
	PathOhms     float64

	Over, Under  []Limit // per cell, or one for all
	OverRule     Rule
	UnderRule    Rule
	Load         []Stage // of the load current, growing
	LoadRule     Rule
	LoadBack     float64 // s from what the rule asks for to release
	HoldOhms     float64 // the largest load that still holds a tripped load stage; 0: every one does
	Charge       Stage
	ChargeRule   Rule
	Bleed        []Limit
	BleedOhms    float64
	BleedWhen    Rule  // Auto, ChargerOn or LoadOff
	Cold, Hot    Limit // of the thermistor in Ω: charge direction above Cold.At, below Hot.At
	HotDischarge Limit
	Supply       float64 // A each cell gives
	Asleep       float64 // A each cell gives after overdischarge; 0: as ever
	Starve       float64 // V of a cell below which the switches open after StarveAfter, no flag set
	StarveAfter  float64

	// Faults.
	ChatterHertz float64 // a tripped cell latch opens and closes the path at this rate
	NeedsWake    bool    // nothing conducts until a charger has been seen
	Diode        bool    // a tripped overdischarge leaves a body diode
	NoDischarge  bool
	NoCharge     bool
	NoShort      bool
	NoBanks      bool
	Separate     bool // charging does not share the discharge switches
	Rated        float64
	Hints        rig.Hints
	NoTimes      bool // the sheets name no delays
}

// Limit is a threshold with its way back.
type Limit struct{ At, Back, Delay, BackDelay float64 }

// Stage is a current limit.
type Stage struct{ Amps, Delay float64 }

// Rule is what a release wants beside the voltage that is back.
type Rule int

// The rules.
const (
	Auto Rule = iota
	LoadOff
	LoadOn
	ChargerOn
	ChargerOff
	Never
)

// world is all of an Ideal that a rewind brings back.
type world struct {
	t          float64
	cells      []float64
	load       rig.Load
	charger    rig.Charger
	thermistor float64 // NaN: the board's own
	kelvin     float64
	latched    []bool
	since      []float64 // when the condition to change began; NaN: it does not hold
	at         []float64 // when the latch last changed
	joules     [2]float64
	joined     []bool // taps joined while the board is put together; nil: in use
}

func (w world) clone() world {
	w.cells = slices.Clone(w.cells)
	w.latched = slices.Clone(w.latched)
	w.since = slices.Clone(w.since)
	w.at = slices.Clone(w.at)
	return w
}

// latch is one thing a board remembers: set while set has held for its delay,
// cleared while clear has.
type latch struct {
	name               string
	part               string
	set, clear         func(*Ideal) bool
	setDelay, clrDelay float64
	opens              [2]bool // discharge, charge
	chatters           bool
}

// NewIdeal makes the rig. It comes with every cell at the middle.
func NewIdeal(b Board) *Ideal {
	r := &Ideal{board: b, bleed: map[int]int{}}
	r.latches()
	w := world{cells: make([]float64, b.Cells), thermistor: math.NaN(), kelvin: 298.15}
	for k := range w.cells {
		w.cells[k] = b.Middle
	}
	w.latched = make([]bool, len(r.latch))
	w.since = make([]float64, len(r.latch))
	w.at = make([]float64, len(r.latch))
	for i := range w.since {
		w.since[i] = math.NaN()
	}
	r.now = w
	if b.NeedsWake {
		r.now.latched[len(r.latch)-1] = true
	}
	r.settle(nil)
	return r
}

// per is the limit of cell k.
func per(ls []Limit, k int) Limit {
	switch len(ls) {
	case 0:
		return Limit{}
	case 1:
		return ls[0]
	}
	return ls[k-1]
}

// Can says what an Ideal can do.
func (r *Ideal) Can() rig.Abilities {
	b := r.board
	a := rig.Abilities{
		Board: "ideal", Cells: b.Cells, Discharge: !b.NoDischarge, Charge: !b.NoCharge, Separate: b.Separate,
		Short: !b.NoShort, Balances: b.BleedOhms > 0, Thermistor: b.Cold.At > 0 || b.Hot.At > 0 || b.HotDischarge.At > 0,
		ForcedPorts: true, RatedAmps: b.Rated, CellFull: b.Full, CellMiddle: b.Middle, CellOhms: b.CellOhms,
		Steps: rig.Steps{Volts: 1e-4, Relative: 1e-3}, Hints: b.Hints, NTC: rig.NTC{Ohms: 10e3, Kelvin: 298.15, Beta: 3435},
		Supplies: []string{"U1"}, Sense: "U1", Banks: []string{"discharge", "charge"}, Middle: "middle",
		Assumed: []string{"everything: an ideal board"},
	}
	if b.NoDischarge {
		a.Missing = "P-"
	}
	if b.NoCharge {
		a.Missing = "C-"
	}
	if b.NoBanks {
		a.Banks, a.Middle = nil, ""
	}
	if !b.NoTimes {
		a.Times = b.times()
	}
	return a
}

// times are the longest delays of the board.
func (b Board) times() rig.Times {
	t := rig.Times{Release: b.LoadBack, ChargeOvercurrent: b.Charge.Delay}
	for k := 1; k <= b.Cells; k++ {
		o, u, l := per(b.Over, k), per(b.Under, k), per(b.Bleed, k)
		t.Overcharge = math.Max(t.Overcharge, o.Delay)
		t.Overdischarge = math.Max(t.Overdischarge, u.Delay)
		t.Balance = math.Max(t.Balance, l.Delay)
		t.Release = math.Max(t.Release, math.Max(o.BackDelay, u.BackDelay))
	}
	for _, s := range b.Load {
		t.Overcurrent = math.Max(t.Overcurrent, s.Delay)
		t.Short = s.Delay
	}
	t.Temperature = math.Max(b.Cold.Delay, math.Max(b.Hot.Delay, b.HotDischarge.Delay))
	return t
}

// cellIndex refuses a cell the board does not have.
func (r *Ideal) cellIndex(k int) error {
	if k < 1 || k > r.board.Cells {
		return fmt.Errorf("cell %d: the board has cells 1 to %d", k, r.board.Cells)
	}
	return nil
}

// SetCell sets the voltage behind cell k.
func (r *Ideal) SetCell(k int, volts float64) error {
	if err := r.cellIndex(k); err != nil {
		return err
	}
	r.now.cells[k-1] = volts
	r.settle(nil)
	return nil
}

// SetLoad sets the load.
func (r *Ideal) SetLoad(l rig.Load) error {
	if l.Kind != rig.Open && r.board.NoDischarge {
		return errors.New("load: the board has no P-")
	}
	r.now.load = l
	r.settle(nil)
	return nil
}

// SetCharger sets the charger.
func (r *Ideal) SetCharger(c rig.Charger) error {
	if c.Amps > 0 && r.board.NoCharge {
		return errors.New("charger: the board has no C-")
	}
	r.now.charger = c
	r.settle(nil)
	return nil
}

// SetThermistor sets the resistance in the thermistor's place.
func (r *Ideal) SetThermistor(ohms float64) error {
	r.now.thermistor = ohms
	r.settle(nil)
	return nil
}

// SetTemperature changes nothing an Ideal does.
func (r *Ideal) SetTemperature(kelvin float64) error {
	r.now.kelvin = kelvin
	return nil
}

// MakeSafe empties the ports.
func (r *Ideal) MakeSafe() error {
	r.now.load, r.now.charger = rig.Load{}, rig.Charger{}
	r.settle(nil)
	return nil
}

// Mark keeps the present.
func (r *Ideal) Mark() rig.Mark { return r.now.clone() }

// Rewind goes back to a mark.
func (r *Ideal) Rewind(m rig.Mark) { r.now = m.(world).clone() }

// Dwell lets time pass.
func (r *Ideal) Dwell(ctx context.Context, seconds float64) error {
	_, err := r.Capture(ctx, rig.Capture{Seconds: seconds})
	return err
}
