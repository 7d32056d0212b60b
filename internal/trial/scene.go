package trial

import (
	"context"
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Scene is a state that a board can be brought to and looked at: at rest, with
// current flowing, or just tripped with what tripped it still attached.
type Scene struct {
	State string           // "idle", "charging", "discharging", "after overcharge"
	Trial protection.Trial // that trips it; empty where nothing trips
	Cell  int              // 0: of no one cell

	x     Screening
	enter func(w *screen, points []rig.Point) (Entered, error)
}

// Entered is what the way into a scene showed.
type Entered struct {
	Record   rig.Record // from the stimulus on; empty for a scene without one
	Stimulus string
	Port     string  // the direction that is looked at
	Flowed   bool    // current flowed before the cut
	Cut      float64 // s when its current fell to half; NaN where nothing was cut
	// Crossed is the cell voltage or the current at which the sheets expect the
	// board to act; NaN where none is expected.
	Crossed float64
}

// Scenes lists the scenes of the board that a rig holds.
func Scenes(a rig.Abilities) []Scene {
	x := NewScreening(a)
	out := []Scene{{State: "idle", x: x, enter: (*screen).sceneIdle}}
	if a.Charge {
		out = append(out, Scene{State: chargePort.state(), x: x, enter: (*screen).sceneCharging})
	}
	if a.Discharge {
		out = append(out, Scene{State: dischargePort.state(), x: x, enter: (*screen).sceneDischarging})
	}
	for k := 1; k <= a.Cells && a.Charge && a.Hints.Overcharge > 0; k++ {
		out = append(out, x.afterCell(overchargeThreshold(a), k))
	}
	for k := 1; k <= a.Cells && a.Discharge && a.Hints.Overdischarge > 0; k++ {
		out = append(out, x.afterCell(overdischargeThreshold(a), k))
	}
	if a.Discharge && x.over > 0 {
		out = append(out, x.afterCurrent(protection.DischargeOvercurrent))
	}
	if a.Charge && x.charge > 0 {
		out = append(out, x.afterCurrent(protection.ChargeOvercurrent))
	}
	if a.Discharge && a.Short {
		out = append(out, x.afterCurrent(protection.LoadShort))
	}
	return out
}

// Enter brings the board of a rig into the scene and leaves it there. points are
// recorded on the way.
func (c Scene) Enter(ctx context.Context, r rig.Rig, points []rig.Point) (Entered, error) {
	return c.enter(c.x.screen(ctx, r), points)
}

// settled is how long a scene without a trip is let settle, s.
const settled = 1.0

func (w *screen) sceneIdle([]rig.Point) (Entered, error) {
	if err := w.rest(w.a.CellMiddle); err != nil {
		return Entered{}, err
	}
	return Entered{Cut: math.NaN(), Crossed: math.NaN(), Stimulus: "every cell half full, nothing attached"}, w.dwell(settled)
}

// sceneAmps is the charge current of the scene, A, where the board stands it.
const sceneAmps = 1.0

func (w *screen) sceneCharging([]rig.Point) (Entered, error) {
	if err := w.rest(w.a.CellMiddle); err != nil {
		return Entered{}, err
	}
	amps := sceneAmps
	if h := w.a.Hints.ChargeAmps; h > 0 {
		amps = math.Min(amps, screenLoad*h)
	}
	if err := w.charger(rig.Charger{Volts: w.pack() + probeOver, Amps: amps}); err != nil {
		return Entered{}, err
	}
	return Entered{
		Port: chargePort.String(), Cut: math.NaN(), Crossed: math.NaN(), Stimulus: fmt.Sprintf("charger of %.3g A on half-full cells", amps),
	}, w.dwell(settled)
}

func (w *screen) sceneDischarging([]rig.Point) (Entered, error) {
	if err := w.rest(w.a.CellMiddle); err != nil {
		return Entered{}, err
	}
	if err := w.load(rig.Load{Kind: rig.ConstantCurrent, Value: w.rated}); err != nil {
		return Entered{}, err
	}
	return Entered{
		Port: dischargePort.String(), Cut: math.NaN(), Crossed: math.NaN(), Stimulus: fmt.Sprintf("load of %.3g A on half-full cells", w.rated),
	}, w.dwell(w.waitOvercurrent())
}

// afterCell is the scene after a cell passed one of its limits.
func (x Screening) afterCell(th threshold, k int) Scene {
	return Scene{
		State: "after " + string(th.word), Trial: th.word, Cell: k, x: x,
		enter: func(w *screen, points []rig.Point) (Entered, error) {
			past, crossed := w.a.Hints.Overcharge+screenBeyond, w.a.Hints.Overcharge
			if th.word == protection.Overdischarge {
				past, crossed = w.a.Hints.Overdischarge-screenBelow, w.a.Hints.Overdischarge
			}
			d, err := w.armed(th.port)
			if err != nil {
				return Entered{}, err
			}
			how := fmt.Sprintf("cell %d stepped from %.2f V to %.2f V", k, w.a.CellMiddle, past)
			e, err := w.enters(th.port, rig.Capture{Cause: w.cause(k, past, th.port), Points: points, Seconds: th.delay}, how, crossed)
			e.Flowed = e.Flowed && d.flows()
			return e, err
		},
	}
}

// afterCurrent is the scene after too much current.
func (x Screening) afterCurrent(t protection.Trial) Scene {
	return Scene{
		State: "after " + string(t), Trial: t, x: x,
		enter: func(w *screen, points []rig.Point) (Entered, error) {
			p := dischargePort
			if t == protection.ChargeOvercurrent {
				p = chargePort
			}
			if err := w.rest(w.a.CellMiddle); err != nil {
				return Entered{}, err
			}
			c, how, crossed := w.tooMuch(t)
			c.Points = points
			e, err := w.enters(p, c, how, crossed)
			e.Flowed = e.Flowed && w.set.seen[p].flows() // what charges a capacitor is no current
			return e, err
		},
	}
}

// tooMuch is the current of a scene.
func (w *screen) tooMuch(t protection.Trial) (c rig.Capture, how string, crossed float64) {
	switch t {
	case protection.LoadShort:
		load := rig.Load{Kind: rig.Short, Value: screenOhms, Lead: rig.Lead{Ohms: loopOhms, Henry: loopHenry}}
		return rig.Capture{Cause: rig.Cause{Load: &load}, Seconds: shortSeconds}, fmt.Sprintf("load port shorted by %.0f mΩ", screenOhms*1e3), math.NaN()
	case protection.ChargeOvercurrent:
		charger := rig.Charger{Volts: w.pack() + probeOver + w.charge*w.packOhms(), Amps: w.charge}
		return rig.Capture{Cause: rig.Cause{Charger: &charger}, Seconds: w.wait(w.a.Times.ChargeOvercurrent, fallbackOvercurrent)},
			fmt.Sprintf("charger of %.3g A", w.charge), w.a.Hints.ChargeAmps
	}
	load := rig.Load{Kind: rig.ConstantCurrent, Value: w.over}
	return rig.Capture{Cause: rig.Cause{Load: &load}, Seconds: w.waitOvercurrent()}, fmt.Sprintf("load of %.3g A", w.over), w.a.Hints.LoadAmps[0]
}

// enters runs the capture that trips, and lets the board settle behind it.
func (w *screen) enters(p port, c rig.Capture, how string, crossed float64) (Entered, error) {
	sh, err := w.capture(p, c, w.judgeable())
	if err != nil {
		return Entered{}, err
	}
	e := Entered{
		Record: sh.record, Stimulus: how, Port: p.String(), Flowed: sh.peak >= probeAmps/2, Cut: sh.first, Crossed: crossed,
	}
	return e, w.dwell(w.settle())
}
