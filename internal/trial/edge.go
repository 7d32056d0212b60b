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
	lost    string  // why the path opened without any protection's doing; empty otherwise
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
		if sets && ev.Time <= c.first && (strings.HasPrefix(name, "OC") || slices.Contains(currentFlags, name)) {
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
		if e.Time < sh.first && decides(e.What) {
			t = e.Time
		}
	}
	j := len(times) - 1
	for j > 0 && times[j] > t {
		j--
	}
	return j
}

// decides reports whether an event sets a flag that boards cut for: not an output
// of another part that moves meanwhile, nor the protector's own, which comes
// after.
func decides(what string) bool {
	name, sets := strings.CutPrefix(what, rig.Sets)
	return sets && slices.ContainsFunc([]string{"OC", "SC", "COC", "UV", "OV"}, func(flag string) bool { return strings.HasPrefix(name, flag) })
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
	if _, tells := s.r.(rig.Foreseer); tells && c.opened() {
		c.lost = c.undecided()
	}
	return c
}

// early is the part of the longest overdischarge delay before which a cut is
// not for the cells. Typical delays are at least half of the longest; no source.
const early = 0.5

// byCells reports whether a cut was overdischarge's: by the rig's word if it
// gives one, otherwise by voltage and time.
func (c cut) byCells(a rig.Abilities) bool {
	for _, e := range c.record.Events {
		if e.Time <= c.first && decides(e.What) {
			return strings.HasPrefix(e.What, rig.Sets+"UV")
		}
	}
	return c.lowest < a.Hints.Overdischarge && c.first > early*a.Times.Overdischarge
}

// otherCuts are the flags that open a path though no cell and no current is beyond
// its threshold, as events name them: temperatures, control pins, an open tap.
var otherCuts = []string{"CH", "CC", "DH", "CTLD", "CTLC", "OW"}

// undecided says why a path opened if no flag of a protection was set before and no
// fuse parted. It is meant for rigs that tell what they decide.
func (c cut) undecided() string {
	var out []string
	for _, e := range c.record.Events {
		flag, sets := strings.CutPrefix(e.What, rig.Sets)
		switch {
		case e.Time > c.first:
		case e.What == rig.Parts, decides(e.What), slices.Contains(otherCuts, flag):
			return ""
		case sets && flag == "BO" && !slices.Contains(out, e.Part):
			out = append(out, e.Part)
		}
	}
	if len(out) == 0 {
		return "its gates lost their drive"
	}
	return "the supply of " + strings.Join(out, ", ") + " collapsed"
}

// delivered is the fraction of the current asked for that must flow for the
// edge to count.
const delivered = 0.9

// step puts a search's word to it.
func (c cut) step() step {
	switch {
	case c.lost != "":
		return step{answer: beyond, note: fmt.Sprintf("at %.4g A no protection acted: the path opened after %.3g ms because %s", c.asked, c.first*1e3, c.lost)}
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
