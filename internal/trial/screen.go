package trial

import (
	"context"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Screening is every trial in its shortest form: the stimulus is not searched
// for but put a margin before and beyond where a whole board acts, so that a few
// dwells tell whether a protection is there, acts too early, too late or not at
// all, and comes back. It tells faulted boards from the whole one; it measures
// nothing finely.
type Screening struct {
	whole     rig.Abilities // a faulted board is asked the same as the whole one
	rated     float64       // A of the rated load
	over      float64       // A beyond the first stage; 0: not tried
	charge    float64       // A beyond charge overcurrent; 0: not tried
	hot, cold float64       // Ω in the thermistor's place
}

// Margins of the stimuli; our own choice. The nearest thresholds of the generic
// sheets, balance at 4.18 V and overcharge at 4.25 V, lie 70 mV apart.
const (
	screenBefore = 0.03 // V short of a threshold, where nothing may happen
	screenBeyond = 0.06 // V past overcharge
	screenBelow  = 0.1  // V past overdischarge, and above it for an empty cell
	screenLoad   = 0.7  // of the first stage at most, as rated load
	screenOver   = 1.3  // of a stage
	screenFar    = 2.0  // of a stage, where that was not enough
	screenOhms   = 10e-3
	screenHot    = 0.1 // of the thermistor's resistance: far beyond any limit
	screenCold   = 10.
)

// NewScreening fixes the stimuli by what the rig of the whole board says of it.
func NewScreening(a rig.Abilities) Screening {
	x := Screening{whole: a, rated: orElse(a.RatedAmps, 1)}
	if h := a.Hints.LoadAmps; len(h) > 0 {
		x.rated, x.over = math.Min(orElse(a.RatedAmps, h[0]/2), screenLoad*h[0]), screenOver*h[0]
	}
	if a.Hints.ChargeAmps > 0 {
		x.charge = screenOver * a.Hints.ChargeAmps
	}
	if a.Thermistor {
		r := orElse(a.NTC.Ohms, ntcRest)
		x.hot, x.cold = screenHot*r, screenCold*r
	}
	return x
}

// Run screens the board on a rig, and leaves it safe. Checks that were not
// reached because the simulation found no solution are missing; the error says
// why.
func (x Screening) Run(ctx context.Context, r rig.Rig) ([]Check, error) {
	w := x.screen(ctx, r)
	err := w.run()
	return w.checks, err
}

// screen begins a screening on a rig.
func (x Screening) screen(ctx context.Context, r rig.Rig) *screen {
	s := newStand(ctx, r)
	s.a = x.whole
	return &screen{Screening: x, stand: s, start: map[port]direction{}, calm: map[port]bool{}}
}

// run screens, and leaves the board safe.
func (w *screen) run() error {
	err := w.all()
	if err == nil && w.keep != nil {
		err = w.rested()
	}
	if safe := w.r.MakeSafe(); err == nil {
		err = safe
	}
	return err
}

// screen is one screening under way.
type screen struct {
	Screening
	*stand
	checks []Check
	start  map[port]direction // with a probe, before any stimulus
	calm   map[port]bool      // on while every cell was near its limit

	taping *taping // of a whole board; nil: nothing is remembered
	keep   *Whole
	like   *Likeness // nil: there is nothing to compare with
	joined map[port]likeness
}

// all runs every part. What needs no solution that another part did not find
// goes on.
func (w *screen) all() error {
	var first error
	for _, part := range []func() error{
		w.idle, w.full, w.underLoad, w.drained, w.cells, w.overcurrents, w.warmth,
	} {
		if err := part(); err != nil {
			if w.ctx.Err() != nil {
				return err
			}
			if first == nil {
				first = err
			}
		}
	}
	return first
}

func (w *screen) add(c Check) { w.checks = append(w.checks, c) }

// look adds the state of a direction, probed.
func (w *screen) look(t protection.Trial, p port, state string, normal bool) error {
	d, err := w.probe(p)
	if err == nil {
		w.add(Check{Trial: t, Port: p.String(), State: state, What: LooksDirection, Normal: normal, Word: d.word, Value: math.NaN()})
	}
	return err
}

// looks adds the states of all directions.
func (w *screen) looks(t protection.Trial, state string, normal bool) error {
	for _, p := range w.ports() {
		if err := w.look(t, p, state, normal); err != nil {
			return err
		}
	}
	return nil
}

// idle is the board at rest, half full.
func (w *screen) idle() error {
	if err := w.rest(w.a.CellMiddle); err != nil {
		return err
	}
	for _, p := range w.ports() {
		w.add(Check{
			Trial: protection.Path, Port: p.String(), State: "idle", What: LooksDirection, Normal: true,
			Word: w.set.seen[p].word, Value: math.NaN(),
		})
	}
	word := "no"
	if w.woke {
		word = "yes"
	}
	w.add(Check{Trial: protection.Release, State: "idle", What: LooksWake, Normal: true, Word: word, Value: math.NaN()})
	for k := 1; k <= w.a.Cells; k++ {
		i, err := w.read(rig.Point{Kind: rig.CellAmps, N: k})
		if err != nil {
			return err
		}
		w.add(Check{Trial: protection.SupplyCurrent, Cell: k, State: "idle", What: LooksDrain, Value: i, Unit: "A"})
	}
	return w.bleeds("idle")
}

// bleeding is the least current that counts as a bleed, A: a tenth of the
// weakest in use. Common practice, no source.
const bleeding = 2e-3

// bleeds adds which cells are bled.
func (w *screen) bleeds(state string) error {
	if !w.a.Balances {
		return nil
	}
	for k := 1; k <= w.a.Cells; k++ {
		c := Check{Trial: protection.Balance, Cell: k, State: state, What: LooksBleed, Normal: true, Word: Quiet, Unit: "A"}
		i, err := w.read(rig.Point{Kind: rig.BleedAmps, N: k})
		if err != nil {
			i = 0 // a board that lost its bleed resistor bleeds nothing
		}
		if c.Value = i; i > bleeding {
			c.Word = Bleeds
		}
		w.add(c)
	}
	return nil
}

// set all cells to one voltage.
func (w *screen) every(volts float64) error {
	for k := 1; k <= w.a.Cells; k++ {
		if err := w.cell(k, volts); err != nil {
			return err
		}
	}
	return nil
}

// fullVolts is a full cell, kept short of overcharge.
func (x Screening) fullVolts() float64 {
	if ov := x.whole.Hints.Overcharge; ov > 0 {
		return math.Min(x.whole.CellFull, ov-screenBefore)
	}
	return x.whole.CellFull
}

// full charges all cells to full and lets them rest there.
func (w *screen) full() error {
	if err := w.rest(w.a.CellMiddle); err != nil {
		return err
	}
	if err := w.every(w.fullVolts()); err != nil {
		return err
	}
	longest := math.Max(w.wait(w.a.Times.Overcharge, fallbackOvercharge), w.wait(w.a.Times.Balance, fallbackBalance))
	if w.a.Charge {
		d, err := w.carries(chargePort, longest)
		if err != nil {
			return err
		}
		w.calm[chargePort] = d.on()
		w.add(Check{Trial: protection.Path, Port: "charge", State: "charging", What: LooksDirection, Normal: true, Word: d.word, Value: math.NaN()})
		if err := w.empty(); err != nil {
			return err
		}
	}
	if err := w.dwell(longest); err != nil {
		return err
	}
	if err := w.bleeds("full"); err != nil {
		return err
	}
	return w.looks(protection.Path, "full", true)
}

// carries attaches the probe of p for some seconds and judges p at their end. A
// direction that keeps opening and closing is left as soon as it is seen to.
func (w *screen) carries(p port, seconds float64) (direction, error) {
	if err := w.attach(p); err != nil {
		return direction{}, err
	}
	seen := newWatch(0)
	until := func(t float64, v []float64) bool { seen.see(t, v[0]); return seen.chatters() }
	if _, err := w.r.Capture(w.ctx, rig.Capture{Points: []rig.Point{p.amps()}, Seconds: seconds, Until: until}); err != nil {
		return direction{}, err
	}
	d, err := w.state(p)
	if seen.chatters() {
		d.word = CutChatters
	}
	return d, err
}

// underLoad carries the rated load for longer than an overcurrent would take.
func (w *screen) underLoad() error {
	if !w.a.Discharge {
		return nil
	}
	if err := w.rest(w.a.CellMiddle); err != nil {
		return err
	}
	if err := w.load(rig.Load{Kind: rig.ConstantCurrent, Value: w.rated}); err != nil {
		return err
	}
	if err := w.dwell(w.waitOvercurrent()); err != nil {
		return err
	}
	amps, err := w.read(rig.Point{Kind: rig.LoadAmps})
	if err != nil {
		return err
	}
	drop, err := w.read(rig.Point{Kind: rig.MinusDrop})
	if err != nil {
		return err
	}
	c := Check{Trial: protection.Path, Port: "discharge", State: "discharging", What: LooksDirection, Normal: true, Word: isOpen, Value: math.NaN()}
	switch {
	case amps >= delivered*w.rated && math.Abs(drop) < loadedDrop:
		c.Word = isOn
	case amps >= delivered*w.rated:
		c.Word = isDiode
	}
	w.add(c)
	if c.Word != isOpen {
		c.What, c.Word, c.Normal, c.Value, c.Unit = LooksDrop, "", false, math.Abs(drop)/amps, "Ω"
		w.add(c)
	}
	return nil
}

// loadedDrop is less than a body diode takes and more than a bank at its rated
// current, V; common practice, no source.
const loadedDrop = 0.5

// drained discharges all cells to a little above overdischarge.
func (w *screen) drained() error {
	uv := w.a.Hints.Overdischarge
	if uv == 0 {
		return nil
	}
	if err := w.rest(w.a.CellMiddle); err != nil {
		return err
	}
	if err := w.every(uv + screenBelow); err != nil {
		return err
	}
	long := w.wait(w.a.Times.Overdischarge, fallbackOverdischarge)
	if !w.a.Discharge {
		if err := w.dwell(long); err != nil {
			return err
		}
		return w.looks(protection.Path, "empty", true)
	}
	d, err := w.carries(dischargePort, long)
	if err != nil {
		return err
	}
	w.calm[dischargePort] = d.on()
	return w.looks(protection.Path, "empty", true)
}
