// Package simulated is the rig that computes: a board as a circuit, cells, load
// and charger as elements around it, and time that passes by integration.
//
// Ordinary trials have each cell between its taps, behind its own resistance.
// The trial of the first connection joins the taps one by one through leads; for
// it the rig builds the circuit again, with a switch and a lead at each tap.
package simulated

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"cupel/internal/board"
	"cupel/internal/circuit"
	"cupel/internal/circuit/newton"
	"cupel/internal/circuit/transient"
	"cupel/internal/elaborate"
	"cupel/internal/trial/rig"
)

// Elaborator makes the board's circuit at a temperature, K.
type Elaborator func(kelvin float64) (*elaborate.Circuit, error)

// Options say what surrounds the board. The zero value gives the defaults.
type Options struct {
	CellOhms   float64 // resistance of a cell; 0: 12 mΩ
	CellMiddle float64 // V half full; 0: by the board's thresholds, 3.70 or 3.30 V
	CellFull   float64 // V full; 0: likewise, 4.20 or 3.65 V
	RatedAmps  float64 // printed rating; 0: unknown
	Kelvin     float64 // at first; 0: 25 °C
	// Actuate lets trials take a cell to where a second-level detector fires its
	// fuse, which parts a board for good. Without it they stay below.
	Actuate bool
	Solve   transient.Options
}

// defaultCellOhms is a power cell of the 18650 size; common practice, no source.
const defaultCellOhms = 12e-3

// The local error allowed at each node and the step never taken back: fine while
// a short's current flows, where peaks and turn-off count, coarse otherwise. On the
// 5-cell demo board 20 mV instead of 1 mV moved a trip after 1.0007 s by 12 µs.
const (
	coarseVolts, coarseStep = 20e-3, 500e-9
	fineVolts, fineStep     = 2e-3, 5e-9
)

// Rig is a simulated board with everything around it.
type Rig struct {
	board *board.Board
	make  Elaborator
	opt   Options
	can   rig.Abilities

	circuit *elaborate.Circuit
	ports   *ports
	run     *transient.Run
	set     settings
	dirty   bool // something was set since the instant was last solved
	record  recorder
	apart   mark // of the circuit with leads, none of them joined
}

// settings is what a trial set; a mark saves it.
type settings struct {
	cells      []float64 // V, cell 1 first
	load       rig.Load
	charger    rig.Charger
	thermistor float64 // Ω; NaN: the part itself
	joined     []bool  // taps joined, of a circuit with leads
	ebb        ebb     // of the load's short
}

func (s settings) clone() settings {
	s.cells, s.joined = slices.Clone(s.cells), slices.Clone(s.joined)
	return s
}

// New returns a rig for a board, at rest with every cell half full and empty
// ports. The error is a *rig.NotComputed, or the elaborator's.
func New(b *board.Board, make Elaborator, opt Options) (*Rig, error) {
	if opt.Kelvin == 0 {
		opt.Kelvin = circuit.RoomKelvin
	}
	if opt.CellOhms == 0 {
		opt.CellOhms = defaultCellOhms
	}
	r := &Rig{board: b, make: make, opt: opt}
	if err := r.build(opt.Kelvin, false); err != nil {
		return nil, err
	}
	return r, r.learn()
}

// build makes the circuit anew, with leads or without, and brings it to rest.
func (r *Rig) build(kelvin float64, leads bool) error {
	c, err := r.make(kelvin)
	if err != nil {
		return err
	}
	r.circuit, r.ports = c, newPorts(r.board, c, r.opt.CellOhms, leads)
	r.chemistry()
	n := newton.New(r.ports.names, slices.Concat(c.Elements, r.ports.elements))
	n.Sys.Kelvin = kelvin
	r.run = transient.New(n, units(c), r.opt.Solve)
	for _, f := range c.Fuses {
		r.run.Fuses = append(r.run.Fuses, f)
	}
	r.record.follow(r.run)
	r.set = settings{thermistor: math.NaN(), cells: slices.Repeat([]float64{r.opt.CellMiddle}, r.board.Cells)}
	for k, s := range r.ports.cells {
		s.SetVolts(r.set.cells[k])
	}
	r.dirty = false
	r.tolerance()
	return wrap(r.run.Operate())
}

func units(c *elaborate.Circuit) []*transient.Unit {
	us := make([]*transient.Unit, len(c.Units))
	for i, u := range c.Units {
		us[i] = &transient.Unit{Part: u.Part, Machine: u.Machine, Nodes: u.Nodes}
		for _, l := range u.Links {
			us[i].Links = append(us[i].Links, l)
		}
		for _, s := range u.Sinks {
			us[i].Sinks = append(us[i].Sinks, s)
		}
	}
	return us
}

// wrap makes an error of the run the rig's own; a context's passes as it is.
func wrap(err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return &rig.NotComputed{Text: err.Error()}
}

// Can says what the rig can do.
func (r *Rig) Can() rig.Abilities { return r.can }

// SetCell sets the voltage behind a cell.
func (r *Rig) SetCell(k int, volts float64) error {
	if k < 1 || k > r.board.Cells {
		return fmt.Errorf("no cell %d: the board has cells 1 to %d", k, r.board.Cells)
	}
	if r.set.cells[k-1] != volts {
		r.set.cells[k-1] = volts
		r.ports.cells[k-1].SetVolts(volts)
		r.dirty = true
	}
	return nil
}

// SetLoad sets what hangs between P+ and P−.
func (r *Rig) SetLoad(l rig.Load) error {
	if !r.can.Discharge && l.Kind != rig.Open {
		return fmt.Errorf("no load port: %s", r.can.Missing)
	}
	if l != r.set.load {
		r.set.load, r.set.ebb = l, ebb{low: r.run.Time}
		r.ports.setLoad(l)
		r.tolerance()
		r.dirty = true
	}
	return nil
}

// tolerance sets the local error by what is being done to the board.
func (r *Rig) tolerance() {
	switch {
	case r.opt.Solve.Volts > 0:
	case r.set.load.Kind == rig.Short && !r.set.ebb.over:
		r.run.SetAccuracy(fineVolts, fineStep)
	default:
		r.run.SetAccuracy(coarseVolts, coarseStep)
	}
}

// SetCharger sets the charger.
func (r *Rig) SetCharger(c rig.Charger) error {
	if !r.can.Charge && c != (rig.Charger{}) {
		return fmt.Errorf("no charge port: %s", r.can.Missing)
	}
	if c != r.set.charger {
		r.set.charger = c
		r.ports.setCharger(r.run.Time, c)
		r.run.Break(r.ports.charger.Settled())
		r.dirty = true
	}
	return nil
}

// SetThermistor puts a resistance in the thermistor's place; NaN gives it back.
func (r *Rig) SetThermistor(ohms float64) error {
	if len(r.circuit.Sensors) == 0 {
		return errors.New("the board has no thermistor")
	}
	r.set.thermistor = ohms
	for _, s := range r.circuit.Sensors {
		s.SetOhms(ohms)
	}
	r.dirty = true
	return nil
}

// SetTemperature makes the board anew at another temperature and brings it to
// rest there, cells half full and ports empty; earlier marks no longer apply.
func (r *Rig) SetTemperature(kelvin float64) error {
	if kelvin == r.run.Solver().Sys.Kelvin {
		return nil
	}
	return r.build(kelvin, false)
}

// settle solves the present instant again if something was set.
func (r *Rig) settle() error {
	if !r.dirty {
		return nil
	}
	r.dirty = false
	return wrap(r.run.Disturb())
}

// Dwell lets time pass.
func (r *Rig) Dwell(ctx context.Context, seconds float64) error {
	if err := r.settle(); err != nil {
		return err
	}
	return r.advance(ctx, seconds, nil)
}

// MakeSafe opens load and charger.
func (r *Rig) MakeSafe() error {
	if err := r.SetLoad(rig.Load{}); err != nil {
		return err
	}
	if err := r.SetCharger(rig.Charger{}); err != nil {
		return err
	}
	return r.settle()
}

// mark is a state of the rig.
type mark struct {
	set settings
	run *transient.Snapshot
	of  *transient.Run
}

// Mark returns the present to come back to. It holds only while the circuit is
// the same one: not across SetTemperature, Disconnect or a first Connect.
func (r *Rig) Mark() rig.Mark {
	_ = r.settle() // a failure shows again at the next Dwell, where it can be returned
	return mark{r.set.clone(), r.run.Snapshot(), r.run}
}

// Rewind goes back to m.
func (r *Rig) Rewind(m rig.Mark) {
	k := m.(mark)
	if k.of != r.run {
		panic("simulated: a mark of another circuit")
	}
	r.set = k.set.clone()
	for i, s := range r.ports.cells {
		s.SetVolts(r.set.cells[i])
	}
	r.ports.setLoad(r.set.load)
	r.ports.setCharger(r.run.Time, r.set.charger)
	r.tolerance()
	for _, s := range r.circuit.Sensors {
		s.SetOhms(r.set.thermistor)
	}
	r.run.Rewind(k.run)
	r.dirty = false
}
