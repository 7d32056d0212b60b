package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Balance raises one cell at a time until its bleed starts and lowers it until
// it stops: alone, with a charger, with a load.
type Balance struct{}

// Word names the trial.
func (Balance) Word() protection.Trial { return protection.Balance }

// balanceQuantities are what a job of one cell owes an answer for.
var balanceQuantities = []protection.Quantity{
	protection.Start, protection.Stop, protection.Current, protection.ResistorPower, protection.NeighbourShift,
}

// Jobs has one job a cell.
func (Balance) Jobs(a rig.Abilities) []Job {
	absent := ""
	if !a.Balances {
		absent = "the board has nothing to bleed a cell with"
	}
	var jobs []Job
	for k := 1; k <= a.Cells; k++ {
		jobs = append(jobs, work{
			base: Result{
				Trial: protection.Balance, Cell: k, Tap: -1, State: "idle",
				Stimulus:   fmt.Sprintf("cell %d on a stiff source in steps up and down, others %.3f V", k, a.CellMiddle),
				OpenMeans:  "bleeding: more than 1 mA at the end of the dwell",
				Cautions:   []string{cautionCells, "a bleed resistor gets hot: keep fingers and film off it"},
				Conditions: []Condition{cellCondition(a.CellMiddle), ohmsCondition(a)},
			},
			name: fmt.Sprintf("balance of cell %d", k), after: balanceQuantities, absent: absent,
			run: func(s *stand, l *logbook) error { return newBleed(s, k).study(l) },
		}.job())
	}
	return jobs
}

// longestLook is how long a balancer may pause its bleed to look at the cell
// without its drop: a pause is no end of the bleeding. Looks take about a
// millisecond; common practice, no source.
const longestLook = 10e-3 // s

// The search for bleeding; our own choices but for the dwell, which the
// protection trials define as 1.5 of the delay and a second more.
const (
	bleedAmps       = 1e-3 // A above which a cell bleeds
	bleedResolution = 2e-3 // V
	bleedExtra      = 1.0  // s
	bleedOver       = 0.02 // V above start at which the current is read
)

// bleed is one cell under the trial.
type bleed struct {
	s     *stand
	k     int
	dwell float64
}

func newBleed(s *stand, k int) *bleed {
	return &bleed{s: s, k: k, dwell: s.wait(s.a.Times.Balance, fallbackBalance) + bleedExtra}
}

// outside is what hangs at the board while it balances.
type outside struct {
	state string
	has   func(rig.Abilities) bool
	apply func(*stand) error
}

// outsides in the order they are tried. The first finds the thresholds, the
// others begin where it found them.
var outsides = []outside{
	{"idle", func(rig.Abilities) bool { return true }, (*stand).empty},
	{"charging", func(a rig.Abilities) bool { return a.Charge }, func(s *stand) error { return s.attach(chargePort) }},
	{"discharging", func(a rig.Abilities) bool { return a.Discharge }, func(s *stand) error { return s.attach(dischargePort) }},
}

func (b *bleed) study(l *logbook) error {
	start, stop := b.s.a.Hints.BalanceStart, b.s.a.Hints.BalanceStop
	width := hintVolts
	any := false
	for _, o := range outsides {
		if !o.has(b.s.a) {
			continue
		}
		l.base.State = o.state
		up, down, err := b.thresholds(o, start, stop, width)
		if err != nil {
			return err
		}
		l.ending(protection.Start, up)
		if up.found() {
			l.ending(protection.Stop, down)
			start, width = up.value(), math.Max(bleedResolution, b.s.a.Steps.Volts)/2
		}
		if down.found() {
			stop = down.value()
		}
		if up.found() && !any {
			any = true
			if err := b.figures(l, o, up.value()); err != nil {
				return err
			}
		}
		if up.outcome == protection.Chatters {
			if err := b.rate(l, o, up); err != nil {
				return err
			}
		}
	}
	if !any {
		l.base.State = "idle"
		l.missing(balanceQuantities, l.results[0].Outcome, "it does not bleed")
	}
	return nil
}

// rest is the start of every step: everything in the middle, the outside
// applied.
func (b *bleed) rest(o outside) error {
	return b.s.from("balance "+o.state, func() error {
		if err := b.s.rest(b.s.a.CellMiddle); err != nil {
			return err
		}
		if err := b.s.dwell(b.dwell); err != nil { // a bleed takes longer to stop than a direction to come on
			return err
		}
		return o.apply(b.s)
	})
}

// hold takes the cell to volts and watches its bleed current for the dwell.
func (b *bleed) hold(volts float64) (*watch, rig.Record, error) {
	w := newWatch(0)
	w.steady = longestLook
	cause := rig.Cause{Cell: b.k, Volts: volts}
	if b.s.set.charger.Amps > 0 {
		cause = b.s.cause(b.k, volts, chargePort)
	}
	b.s.remember(cause)
	rec, err := b.s.r.Capture(b.s.ctx, rig.Capture{
		Cause: cause, Points: []rig.Point{{Kind: rig.BleedAmps, N: b.k}}, Seconds: b.dwell,
		Until: func(t float64, v []float64) bool { return w.see(t, v[0]) },
	})
	if err == nil && len(rec.Times) == 0 {
		err = errEmptyRecord
	}
	return w, rec, err
}

// bleeding puts a search's word to a watched dwell.
func (b *bleed) bleeding(w *watch) step {
	switch {
	case w.chatters() && w.peak > bleedAmps:
		return step{answer: chattered, note: fmt.Sprintf("the bleed stopped %d times within %.3g s", w.openings, b.dwell)}
	case w.peak > bleedAmps && (!w.below || !w.lasted()):
		return step{answer: acted}
	}
	return step{answer: still}
}

// thresholds searches for start upwards and stop downwards under one outside.
func (b *bleed) thresholds(o outside, start, stop, width float64) (up, down ending, err error) {
	a := b.s.a
	resolution := math.Max(bleedResolution, a.Steps.Volts)
	up, err = b.s.search(search{
		from: a.CellMiddle, to: orElse(a.CellLimit, a.CellFull+beyondFull), coarse: coarseVolts, width: width,
		resolution: resolution, expect: start,
		name: "start " + o.state,
		start: func(note func(float64) error) error {
			if err := b.rest(o); err != nil {
				return err
			}
			return note(a.CellMiddle)
		},
		try: func(v float64) (step, error) {
			if err := b.rest(o); err != nil {
				return step{}, err
			}
			w, _, err := b.hold(v)
			return b.bleeding(w), err
		},
	})
	if err != nil || !up.found() {
		return up, down, err
	}
	down, err = b.s.search(search{
		from: up.value() + bleedOver, to: a.CellMiddle, coarse: coarseVolts, width: width,
		resolution: resolution, expect: stop,
		name: "stop " + o.state,
		start: func(note func(float64) error) error {
			if err := b.on(o, up.value()); err != nil {
				return err
			}
			return note(up.value() + bleedOver)
		},
		try: func(v float64) (step, error) {
			if err := b.on(o, up.value()); err != nil {
				return step{}, err
			}
			w, _, err := b.hold(v)
			if err != nil || b.bleeding(w).answer == acted {
				return step{}, err
			}
			return step{answer: acted}, nil
		},
	})
	if down.outcome == protection.NoneFound {
		down.outcome = protection.NeverReleases
	}
	return up, down, err
}

// on is the start of the way down: bleeding, a little above start.
func (b *bleed) on(o outside, start float64) error {
	return b.s.from("bleeding "+o.state, func() error {
		if err := b.rest(o); err != nil {
			return err
		}
		w, _, err := b.hold(start + bleedOver)
		if err == nil && b.bleeding(w).answer != acted {
			err = &notReadyError{text: fmt.Sprintf("cell %d does not bleed at %.3f V, although it was found to start at %.3f V", b.k, start+bleedOver, start)}
		}
		return err
	})
}

// rate adds how fast a chattering bleed chatters.
func (b *bleed) rate(l *logbook, o outside, up ending) error {
	if err := b.rest(o); err != nil {
		return err
	}
	w, _, err := b.hold(up.hi)
	if err != nil {
		return err
	}
	r := l.reading(protection.ChatterRate, float64(w.openings)/b.dwell)
	r.Conditions = append(r.Conditions, Condition{"cell under test", up.hi, "V"})
	return nil
}

// figures adds current, resistor loss and what the neighbours see.
func (b *bleed) figures(l *logbook, o outside, start float64) error {
	if err := b.rest(o); err != nil {
		return err
	}
	before, err := b.neighbours()
	if err != nil {
		return err
	}
	if err := b.on(o, start); err != nil {
		return err
	}
	after, err := b.neighbours()
	if err != nil {
		return err
	}
	on, err := b.flows()
	if err != nil {
		return err
	}
	was := l.base
	defer func() { l.base = was }()
	l.with(Condition{"cell under test", start + bleedOver, "V"})
	if on.share < 1 {
		l.with(Condition{"share of the time", on.share, ""})
	}
	l.reading(protection.Current, on.amps)
	l.reading(protection.ResistorPower, on.watts)
	shift := 0.0
	for i := range before {
		if d := after[i] - before[i]; math.Abs(d) > math.Abs(shift) {
			shift = d
		}
	}
	l.reading(protection.NeighbourShift, shift)
	return nil
}

// flow is what a bleed does while it is on, and how much of the time it is.
type flow struct{ amps, watts, share float64 }

// flowSeconds is how long a bleed is averaged over: many of the periods in which
// balancers look at their cells.
const flowSeconds = 1.0

// flows averages the bleed over the time that it is on, pauses apart.
func (b *bleed) flows() (flow, error) {
	rec, err := b.s.r.Capture(b.s.ctx, rig.Capture{
		Points: []rig.Point{{Kind: rig.BleedAmps, N: b.k}, {Kind: rig.BleedWatts, N: b.k}}, Seconds: flowSeconds,
	})
	if err != nil {
		return flow{}, err
	}
	n := len(rec.Times) - 1
	if n < 0 {
		return flow{}, errEmptyRecord
	}
	amps, watts := rec.Values[0], rec.Values[1]
	var f flow
	on, all := 0.0, 0.0
	for j := 1; j <= n; j++ {
		dt := rec.Times[j] - rec.Times[j-1]
		all += dt
		if math.Min(amps[j], amps[j-1]) > highest(amps)/2 {
			on += dt
			f.amps += dt * (amps[j] + amps[j-1]) / 2
			f.watts += dt * (watts[j] + watts[j-1]) / 2
		}
	}
	if on == 0 {
		return flow{amps[n], watts[n], 1}, nil
	}
	return flow{f.amps / on, f.watts / on, on / all}, nil
}

// neighbours reads the cells next to the one under test, at the board.
func (b *bleed) neighbours() ([]float64, error) {
	var vs []float64
	for _, k := range []int{b.k - 1, b.k + 1} {
		if k < 1 || k > b.s.a.Cells {
			continue
		}
		v, err := b.s.read(rig.Point{Kind: rig.CellVolts, N: k})
		if err != nil {
			return nil, err
		}
		vs = append(vs, v)
	}
	return vs, nil
}
