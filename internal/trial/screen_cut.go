package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// cells moves each cell past both its limits.
func (w *screen) cells() error {
	for _, l := range w.limits() {
		c := l.check()
		if err := w.once(c.Key(), l.port, func() error { return w.limit(l) }); err != nil {
			return err
		}
	}
	return nil
}

// limits lists both limits of each cell, as far as the board has them.
func (w *screen) limits() []cellLimit {
	var out []cellLimit
	for k := 1; k <= w.a.Cells; k++ {
		if h := w.a.Hints.Overcharge; h > 0 && w.a.Charge {
			limit := orElse(w.a.CellLimit, w.a.CellFull+cellAbove)
			out = append(out, cellLimit{overchargeThreshold(w.a), k, h - screenBefore, h + screenBeyond, limit})
		}
		if h := w.a.Hints.Overdischarge; h > 0 && w.a.Discharge {
			out = append(out, cellLimit{overdischargeThreshold(w.a), k, h + screenBelow/2, h - screenBelow, orElse(w.a.CellFloor, cellFloor)})
		}
	}
	return out
}

// cellAbove is how far above full a cell is taken where the rig names no limit.
const cellAbove = 0.6 // V

// cellLimit is one limit of one cell: where nothing may happen yet, where the
// board must have acted, and as far as a cell is taken.
type cellLimit struct {
	threshold
	cell              int
	before, past, far float64 // V
}

// check is that of the limit, before anything was tried.
func (l cellLimit) check() Check {
	return Check{Trial: l.word, Cell: l.cell, Port: l.port.String(), What: LooksCut, Word: CutNotReady, Value: math.NaN()}
}

// limit takes a cell through one of its limits and back.
func (w *screen) limit(l cellLimit) error {
	c := l.check()
	if d, err := w.armed(l.port); err != nil || !d.flows() {
		w.add(c)
		return err
	}
	for _, step := range l.steps(w.calm[l.port]) {
		sh, err := w.capture(l.port, rig.Capture{Cause: w.cause(l.cell, step.volts, l.port), Seconds: l.delay}, w.judgeable())
		if err != nil {
			return err
		}
		if c.Word = cutWord(sh, step.word); c.Word != CutNot {
			c.Value, c.Unit = sh.first, "s"
			break
		}
	}
	w.add(c)
	if c.Word == CutNot || c.Word == CutChatters {
		return nil
	}
	return w.cellBack(c, l)
}

// cellStep is a voltage of a cell, and the word for a cut there.
type cellStep struct {
	volts float64
	word  string
}

// steps are what a cell is taken through. Where the board was calm with every
// cell as near to the limit, one cell alone need not be tried there.
func (l cellLimit) steps(calm bool) []cellStep {
	steps := []cellStep{{l.before, CutEarly}, {l.past, CutDone}, {l.far, CutLate}}
	if calm {
		return steps[1:]
	}
	return steps
}

// cellBack takes the cell back to the middle and looks whether the direction
// comes on. A charger may stay meanwhile, which is quicker; a load that stays
// holds its port up, which most boards take for an overcurrent.
func (w *screen) cellBack(c Check, l cellLimit) error {
	if l.port == dischargePort {
		return w.backOn(c, l.port, func() error { return w.cell(l.cell, w.a.CellMiddle) })
	}
	back := w.cause(l.cell, w.a.CellMiddle, l.port)
	since, amps := math.Inf(1), probeAmps/2
	until := func(t float64, v []float64) bool {
		switch {
		case v[0] < amps:
			since = math.Inf(1)
		case math.IsInf(since, 1):
			since = t
		}
		return t-since >= w.judgeable()
	}
	w.remember(back)
	if _, err := w.r.Capture(w.ctx, rig.Capture{Cause: back, Points: []rig.Point{l.port.amps()}, Seconds: w.waitRelease(), Until: until}); err != nil {
		return err
	}
	if d, err := w.stand.state(l.port); err != nil || d.on() {
		c.What, c.Word, c.Value, c.Unit = LooksRelease, Released, math.NaN(), ""
		w.add(c)
		return err
	}
	return w.backOn(c, l.port, func() error { return nil })
}

// armed rests the board and attaches the probe, however the direction is. It
// judges the direction once: a rig that was put back there shows the same.
func (w *screen) armed(p port) (direction, error) {
	err := w.from("screen "+p.String(), func() error {
		if err := w.rest(w.a.CellMiddle); err != nil {
			return err
		}
		d, err := w.probe(p)
		w.start[p] = d
		return err
	})
	return w.start[p], err
}

// flows reports whether current goes through, in whatever way.
func (d direction) flows() bool { return d.word == isOn || d.word == isDiode }

// cutWord puts a word to what a stimulus did; done is the word for a cut.
func cutWord(sh shot, done string) string {
	switch {
	case sh.chatters(), sh.opened() && sh.end.on():
		return CutChatters
	case sh.end.flows() || !sh.opened() && sh.end.word == isUndefined:
		return CutNot
	}
	return done
}

// backOn takes the cause of a cut away, empties the ports and looks whether the
// direction comes back.
func (w *screen) backOn(c Check, p port, away func() error) error {
	if err := away(); err != nil {
		return err
	}
	if err := w.empty(); err != nil {
		return err
	}
	if err := w.dwell(w.waitRelease()); err != nil {
		return err
	}
	d, err := w.probe(p)
	if err != nil {
		return err
	}
	c.What, c.Word, c.Value, c.Unit = LooksRelease, Stays, math.NaN(), ""
	if d.on() {
		c.Word = Released
	}
	w.add(c)
	return nil
}

// overcurrents tries each kind of too much current.
func (w *screen) overcurrents() error {
	if w.a.Discharge && w.over > 0 {
		cc := func(f float64) rig.Cause {
			return rig.Cause{Load: &rig.Load{Kind: rig.ConstantCurrent, Value: f * w.over}}
		}
		if err := w.strike(protection.DischargeOvercurrent, dischargePort, w.waitOvercurrent(), cc(1), cc(screenFar)); err != nil {
			return err
		}
	}
	if w.a.Discharge && w.a.Short {
		load := rig.Load{Kind: rig.Short, Value: screenOhms, Lead: rig.Lead{Ohms: loopOhms, Henry: loopHenry}}
		if err := w.strike(protection.LoadShort, dischargePort, shortSeconds, rig.Cause{Load: &load}); err != nil {
			return err
		}
	}
	if w.a.Charge && w.charge > 0 {
		cc := func(f float64) rig.Cause {
			amps := f * w.charge
			return rig.Cause{Charger: &rig.Charger{Volts: w.pack() + probeOver + amps*w.packOhms(), Amps: amps}}
		}
		return w.strike(protection.ChargeOvercurrent, chargePort, w.wait(w.a.Times.ChargeOvercurrent, fallbackOvercurrent), cc(1), cc(screenFar))
	}
	return nil
}

// strike lets too much current flow, more if that is not cut, and looks
// whether the direction comes back without it.
func (w *screen) strike(t protection.Trial, p port, seconds float64, causes ...rig.Cause) error {
	c := Check{Trial: t, Port: p.String(), What: LooksCut, Word: CutNotReady, Value: math.NaN()}
	return w.once(c.Key(), p, func() error { return w.struck(c, p, seconds, causes) })
}

// struck is strike, done.
func (w *screen) struck(c Check, p port, seconds float64, causes []rig.Cause) error {
	if d, err := w.armed(p); err != nil || !d.flows() {
		w.add(c)
		return err
	}
	for i, cause := range causes {
		if _, err := w.armed(p); err != nil {
			return err
		}
		if err := w.empty(); err != nil {
			return err
		}
		sh, err := w.capture(p, rig.Capture{Cause: cause, Seconds: seconds}, w.judgeable())
		if err != nil {
			return err
		}
		if sh.opened() && !sh.chatters() {
			c.Word = []string{CutDone, CutLate}[i]
			c.Value, c.Unit = sh.first, "s"
			break
		}
		c.Word = CutNot
		if sh.chatters() {
			c.Word = CutChatters
			break
		}
	}
	w.add(c)
	if c.Word != CutDone && c.Word != CutLate {
		return nil
	}
	return w.backOn(c, p, func() error { return nil })
}

// warmth puts resistances far hotter and colder in the thermistor's place. A
// faulted board that has lost its own is looked at as it is: it feels neither.
func (w *screen) warmth() (err error) {
	if !w.a.Thermistor {
		return nil
	}
	here := w.r.Can().Thermistor
	if err := w.rest(w.a.CellMiddle); err != nil {
		return err
	}
	defer func() {
		if !here {
			return
		}
		if back := w.r.SetThermistor(math.NaN()); err == nil {
			err = back
		}
	}()
	for _, side := range []struct {
		state string
		ohms  float64
	}{{"hot", w.hot}, {"cold", w.cold}} {
		if err := w.rest(w.a.CellMiddle); err != nil {
			return err
		}
		if here {
			if err := w.r.SetThermistor(side.ohms); err != nil {
				return fmt.Errorf("%s: %w", side.state, err)
			}
		}
		if err := w.dwell(w.wait(w.a.Times.Temperature, fallbackTemperature)); err != nil {
			return err
		}
		if err := w.looks(protection.Temperature, side.state, false); err != nil {
			return err
		}
	}
	return nil
}
