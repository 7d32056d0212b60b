package trial

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/trial/rig"
)

// edge is a current switched on within microseconds and held for the dwell:
// what an overcurrent search is made of.
type edge struct {
	port  port
	cells float64 // V every cell is at before
	dwell float64 // s
}

// cut is what an edge showed.
type cut struct {
	shot
	starved bool    // it was the sagging cells that were cut for, not the current
	asked   float64 // A
	sensed  float64 // V the board judged the current by, just before it cut
	lowest  float64 // V of the lowest cell at that moment
	highest float64
}

// strike names an edge that was struck.
type strike struct {
	edge
	amps float64
}

// rest is the state edges start from.
func (e edge) rest(s *stand) error { return s.ready(e.cells, e.port) }

// cause is the current as the port's source or sink is set to it.
func (e edge) cause(s *stand, amps float64) rig.Cause {
	if e.port == chargePort {
		return rig.Cause{Charger: &rig.Charger{Volts: s.pack() + probeOver + amps*s.packOhms(), Amps: amps}}
	}
	return rig.Cause{Load: &rig.Load{Kind: rig.ConstantCurrent, Value: amps}}
}

// strike rests the board, switches amps on and watches until the first opening
// that lasts: a board that takes its cut back once the current is gone goes on in
// turns, and the first of them is the cut.
func (e edge) strike(s *stand, amps float64) (cut, error) {
	if err := e.rest(s); err != nil {
		return cut{}, err
	}
	points := make([]rig.Point, 0, s.a.Cells+1)
	for k := 1; k <= s.a.Cells; k++ {
		points = append(points, rig.Point{Kind: rig.CellVolts, N: k})
	}
	if s.a.Sense != "" {
		points = append(points, rig.Point{Kind: rig.SenseVolts, Part: s.a.Sense})
	}
	sh, err := s.capture(e.port, rig.Capture{Cause: e.cause(s, amps), Points: points, Seconds: e.dwell}, steadyTime)
	if err != nil {
		return cut{}, err
	}
	c := e.read(s, sh, amps)
	if s.rewinds() {
		s.cuts[strike{e, amps}] = c
	}
	return c, nil
}

// see is strike where only what was seen matters, not how it leaves the board.
func (e edge) see(s *stand, amps float64) (cut, error) {
	if c, ok := s.cuts[strike{e, amps}]; ok {
		return c, nil
	}
	return e.strike(s, amps)
}

// lookPart is when the comparator of a stage is looked at, as a part of the time
// until it sets its flag on the nominal board: before it can on any board.
const lookPart = 0.4

// currentFlags are the flags of currents, as events name them.
var currentFlags = []string{"OC1", "OC2", "SC", "COC"}

// foresee lets a search see comparators: without current, under an ampere, and
// under whatever current for a time too short to act.
func (e edge) foresee(s *stand, sr *search) {
	sr.under = func(amps, seconds float64) error {
		if err := e.rest(s); err != nil {
			return err
		}
		if err := s.drive(e.cause(s, amps)); err != nil {
			return err
		}
		return s.dwell(seconds)
	}
	sr.start = func(note func(float64) error) error {
		if err := e.rest(s); err != nil {
			return err
		}
		if err := note(0); err != nil {
			return err
		}
		if err := sr.under(1, s.settle()); err != nil {
			return err
		}
		return note(1)
	}
	sr.set = func(amps float64) (rig.Edge, float64) {
		c := s.cuts[strike{e, amps}]
		return c.flag()
	}
}

// flag is the current flag that was set last before the cut, and when to look at
// its comparator.
func (c cut) flag() (flag rig.Edge, look float64) {
	for _, ev := range c.record.Events {
		name, sets := strings.CutPrefix(ev.What, rig.Sets)
		if sets && ev.Time <= c.first && slices.Contains(currentFlags, name) {
			flag, look = rig.Edge{Part: ev.Part, Flag: name}, lookPart*ev.Time
		}
	}
	return flag, look
}

// lateInDelay is how far into the time to the cut the board's inputs are read
// where the rig does not say when it decided: late enough to have settled,
// before the path begins to open.
const lateInDelay = 0.7

// decided is the sample at which the board decided to cut: when its flag was
// set, if the rig tells, or late in the delay. It is the last one if there was
// no cut.
func (sh shot) decided() int {
	times := sh.record.Times
	if !sh.opened() {
		return len(times) - 1
	}
	t := lateInDelay * sh.first
	for _, e := range sh.record.Events {
		if e.Time < sh.first && strings.HasPrefix(e.What, rig.Sets) {
			t = e.Time
		}
	}
	j := len(times) - 1
	for j > 0 && times[j] > t {
		j--
	}
	return j
}

// read takes what was on the board at the moment before the cut, or at the end.
func (e edge) read(s *stand, sh shot, amps float64) cut {
	c := cut{shot: sh, asked: amps, lowest: math.Inf(1), highest: math.Inf(-1)}
	j := sh.decided()
	for k := range s.a.Cells {
		v := sh.record.Values[2+k][j]
		c.lowest, c.highest = math.Min(c.lowest, v), math.Max(c.highest, v)
	}
	sense := 1
	if s.a.Sense != "" {
		sense = 2 + s.a.Cells
	}
	c.sensed = math.Abs(sh.record.Values[sense][j])
	c.starved = e.port == dischargePort && c.opened() && c.byCells(s.a)
	return c
}

// early is the part of the longest overdischarge delay before which a cut is
// not for the cells. Typical delays are at least half of the longest; no source.
const early = 0.5

// byCells reports whether a cut was overdischarge's: by the rig's word if it
// gives one, otherwise by voltage and time.
func (c cut) byCells(a rig.Abilities) bool {
	for _, e := range c.record.Events {
		if e.Time <= c.first && strings.HasPrefix(e.What, rig.Sets) {
			return strings.HasPrefix(e.What, rig.Sets+"UV")
		}
	}
	return c.lowest < a.Hints.Overdischarge && c.first > early*a.Times.Overdischarge
}

// delivered is the fraction of the current asked for that must flow for the
// edge to count.
const delivered = 0.9

// step puts a search's word to it.
func (c cut) step() step {
	switch {
	case c.starved:
		return step{answer: beyond, note: fmt.Sprintf("at %.4g A overdischarge cut first: the lowest cell was at %.3f V", c.asked, c.lowest)}
	case c.chatters():
		return step{answer: chattered, note: fmt.Sprintf("the path opened %d times within the dwell", c.openings)}
	case c.opened() && c.peak >= delivered*c.asked:
		return step{acted, c.parted()}
	case c.peak < delivered*c.asked:
		return step{answer: beyond, note: fmt.Sprintf("of %.4g A asked for only %.4g A flowed", c.asked, c.peak)}
	}
	return step{answer: still}
}

// onset is the smallest current that is cut within the dwell.
func (e edge) onset(s *stand, sr search) (ending, error) {
	sr.name = "onset"
	e.foresee(s, &sr)
	sr.try = func(amps float64) (step, error) {
		c, err := e.see(s, amps)
		if err != nil {
			return step{}, err
		}
		return c.step(), nil
	}
	return s.search(sr)
}

// point is an edge that was cut, with its delay.
type point struct{ amps, delay float64 }

// Steps of the search for faster stages.
const (
	firstRung  = 1.05 // of the first stage's current: clear of the filter's slowest part
	rung       = 1.3
	fasterThan = 2.0 // a delay this many times shorter may belong to another stage
)

// ladder strikes with growing currents up to limit and gives the delays. Its
// note says where it ended, if before limit, and what was not cut.
func (e edge) ladder(s *stand, from, limit float64) (ps []point, note string, err error) {
	for amps := firstRung * from; amps <= limit; amps *= rung {
		c, err := e.strike(s, amps)
		if err != nil {
			return ps, note, err
		}
		switch st := c.step(); st.answer {
		case acted, chattered:
			ps = append(ps, point{amps, c.first})
		case still:
			note = join(note, fmt.Sprintf("not cut at %.4g A", amps))
		default:
			return ps, join(note, st.note), nil
		}
	}
	return ps, note, nil
}

// onsets finds the currents at which faster stages take over, behind the first:
// wherever the delay of a rung is less than half of what the slower stage takes
// inside its own range, and goes on falling steeply from there.
func (e edge) onsets(s *stand, first ending, ps []point, relative float64) ([]ending, error) {
	slower := first
	var found []ending
	for n := 0; ; n++ {
		f := faster{n: n}
		if err := f.half(s, e, slower); err != nil || !f.among(ps, slower) {
			return found, err
		}
		en, err := f.onset(s, e, relative)
		if err != nil || !en.found() {
			return found, err
		}
		if is, err := f.steep(s, e, en); err != nil || !is {
			return found, err
		}
		if s.learning != nil {
			s.learning.stages = append(s.learning.stages, f)
		}
		found, slower = append(found, en), en
	}
}

// faster is a faster stage between two currents, known by its delay.
type faster struct {
	n        int
	from, to float64 // A
	between  float64 // s: its delay is shorter, that of the slower stage is not
}

const (
	// inside is how far inside a stage its delay is taken, as a multiple of where
	// it begins: just there it is longer.
	inside = 1.1
	// fall is what a delay must fall to inside a stage, as a part of what it is
	// where the stage begins; one that goes with the inverse of the current would
	// only fall to 0.91.
	fall = 0.8
)

// half makes between what tells the stage from the slower one: the part of the
// slower one's delay at which it belongs to another stage. It stays 0 if the
// slower one does not act.
func (f *faster) half(s *stand, e edge, slower ending) error {
	c, err := e.see(s, inside*slower.high())
	if err == nil && c.opened() {
		f.between = c.first / fasterThan
	}
	return err
}

// steep reports whether a stage that begins at en is one, and not the slower one's
// delay that only falls with the current.
func (f faster) steep(s *stand, e edge, en ending) (bool, error) {
	c, err := e.see(s, inside*en.high())
	return err == nil && c.opened() && c.first <= fall*f.between, err
}

// among looks for the stage among rungs, beyond the slower one.
func (f *faster) among(ps []point, slower ending) bool {
	f.from = slower.high()
	for _, p := range ps {
		if p.amps <= f.from {
			continue
		}
		if p.delay < f.between {
			f.to = p.amps
			return true
		}
		f.from = p.amps
	}
	return false
}

// onset finds the current at which the stage takes over. The board is watched
// for no longer than tells the two apart.
func (f faster) onset(s *stand, e edge, relative float64) (ending, error) {
	e.dwell = math.Min(e.dwell, f.between+1.2*steadyTime)
	sr := search{
		name: fmt.Sprintf("faster stage %d", f.n), from: f.from, to: f.to, coarse: f.to - f.from, relative: relative,
		try: func(amps float64) (step, error) {
			c, err := e.see(s, amps)
			if err != nil || !c.opened() || c.first >= f.between {
				return step{}, err
			}
			return step{answer: acted}, nil
		},
	}
	e.foresee(s, &sr)
	return s.search(sr)
}

// fastest is a delay below which a stage counts as the short stage. Common
// practice, no source.
const fastest = 1e-3

// stageNames names stages with these delays, slowest first: by number, the
// last one "short" if it is fast and not the only one.
func stageNames(delays []float64) []string {
	names := make([]string, len(delays))
	for i := range names {
		names[i] = fmt.Sprint(i + 1)
	}
	if n := len(delays); n > 1 && slices.Min(delays) == delays[n-1] && delays[n-1] < fastest {
		names[n-1] = "short"
	}
	return names
}
