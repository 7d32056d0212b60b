package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// overcurrent is one run of the trial at one cell voltage.
type overcurrent struct {
	level level
	edge  edge
	limit float64 // A, the most that is asked for
	short bool    // limit is the rig's, not the cells'
}

// Bounds of a search for a current; our own choices.
const (
	coarseAmps   = 5.0  // A, coarse step
	coarsePart   = 0.25 // of the expected or rated current, where that is less
	mostAmps     = 1000 // A, no search goes beyond
	ofProspect   = 0.9  // of what the cells deliver into a bolted load
	ampsRelative = 0.01 // resolution
	hintWidth    = 0.1  // of the expected current, half width of the first bracket
	assumedSense = 0.1  // V, the drop at which a board of unknown rating may act
)

func (o overcurrent) study(s *stand, l *logbook) error {
	v, err := o.level.volts(s, dischargePort)
	if err != nil {
		return err
	}
	l.with(cellCondition(v))
	o.edge = edge{port: dischargePort, cells: v, dwell: s.waitOvercurrent()}
	if err := o.edge.rest(s); err != nil {
		return err
	}
	path, err := s.pathOhms()
	if err != nil {
		return err
	}
	o.bound(s, path)
	e, err := o.edge.onset(s, o.search(s, path))
	if err != nil {
		return err
	}
	l.ending(protection.Current, e)
	if !e.found() {
		l.absent([]protection.Quantity{protection.Delay, protection.SensedVoltage}, e, "A", "there was no trip to time")
		if o.level == levelMiddle {
			l.absent([]protection.Quantity{protection.ReleaseDelay, protection.ResidualLoad}, e, "A", "there was no trip to release")
		}
		return nil
	}
	if !s.asks(protection.Delay, protection.SensedVoltage, protection.ReleaseDelay, protection.ResidualLoad) {
		_, err := o.atTrip(s, l, e)
		return err
	}
	return o.stages(s, l, e)
}

// atTrip says of the last figure, a current, what the lowest cell was at when it
// was cut.
func (o overcurrent) atTrip(s *stand, l *logbook, e ending) (cut, error) {
	at, err := o.edge.see(s, e.high())
	if err == nil {
		current := &l.results[len(l.results)-1]
		current.Conditions = append(current.Conditions, Condition{"lowest cell at the trip", at.lowest, "V"})
	}
	return at, err
}

// pathOhms is the drop of the discharge path at an ampere, per ampere.
func (s *stand) pathOhms() (float64, error) {
	if err := s.load(rig.Load{Kind: rig.ConstantCurrent, Value: 1}); err != nil {
		return 0, err
	}
	if err := s.dwell(s.settle()); err != nil {
		return 0, err
	}
	v, err := s.read(dischargePort.drop())
	if err != nil {
		return 0, err
	}
	if err := s.load(rig.Load{}); err != nil {
		return 0, err
	}
	return math.Max(math.Abs(v), 1e-4), nil
}

// bound sets how far is searched: what the cells deliver, or the rig.
func (o *overcurrent) bound(s *stand, path float64) {
	o.limit = math.Min(mostAmps, ofProspect*s.pack()/(s.packOhms()+path))
	if r := s.a.LoadLimit; r > 0 && r < o.limit {
		o.limit, o.short = r, true
	}
}

func (o overcurrent) search(s *stand, path float64) search {
	expect := 0.0
	if h := s.a.Hints.LoadAmps; len(h) > 0 {
		expect = h[0]
	}
	scale := expect
	if scale == 0 {
		scale = orElse(s.a.RatedAmps, assumedSense/path)
	}
	coarse := math.Min(coarseAmps, coarsePart*scale)
	return search{
		from: coarse / 10, to: o.limit, limited: o.short, coarse: coarse, expect: expect, width: hintWidth * expect,
		relative: math.Max(ampsRelative, s.a.Steps.Relative),
	}
}

// stages looks for faster stages and reports each with its delay.
func (o overcurrent) stages(s *stand, l *logbook, first ending) error {
	rungs, more, flags, note, err := o.above(s, first)
	if err != nil {
		return err
	}
	l.results[len(l.results)-1].Note = join(l.results[len(l.results)-1].Note, note)
	all := append([]ending{first}, more...)
	cuts := make([]cut, len(all))
	delays := make([]float64, len(all))
	for i := range all {
		if cuts[i], err = o.edge.strike(s, o.well(all, i)); err != nil {
			return err
		}
		delays[i] = cuts[i].first
	}
	names := stageNames(delays, flags)
	for i, e := range all {
		if err := o.report(s, l, names[i], e, cuts[i], i > 0); err != nil {
			return err
		}
	}
	to := o.limit // as far as a guided search goes for a stage it does not find
	if s.guide == nil {
		if to = first.high(); len(rungs) > 0 {
			to = rungs[len(rungs)-1].amps
		}
	}
	o.sayUnreached(l, names[len(names)-1], to)
	return o.after(s, l, first, cuts[0])
}

// above finds the faster stages: by a ladder of currents, or where a guide says.
// flags are those of all stages, the first among them, where the rig tells.
func (o overcurrent) above(s *stand, first ending) (rungs []point, more []ending, flags []rig.Edge, note string, err error) {
	relative := math.Max(ampsRelative, s.a.Steps.Relative)
	c, err := o.edge.see(s, first.high())
	if err != nil {
		return nil, nil, nil, "", err
	}
	flag, _ := c.flag()
	byFlag := &told{edge: o.edge, relative: relative, seen: []rig.Edge{flag}}
	switch {
	case s.guide != nil && len(s.guide.flags) > 0:
		more, err = byFlag.again(s, first.high(), o.limit)
		return nil, more, byFlag.seen, "", err
	case s.guide != nil:
		more, err = o.edge.onsetsAgain(s, first, o.limit, relative)
		return nil, more, nil, "", err
	}
	if rungs, note, err = o.edge.ladder(s, first.high(), o.limit); err != nil {
		return nil, nil, nil, note, err
	}
	if flag.Flag == "" {
		more, err = o.edge.onsets(s, first, rungs, relative)
		return rungs, more, nil, note, err
	}
	more, err = byFlag.find(s, first.high(), rungs)
	return rungs, more, byFlag.seen, note, err
}

// overDetect is the current a delay is timed at, of the stage's own.
const overDetect = 1.2

// well is a current well inside stage i: 1.2 × its own, or half way to the
// next stage or the limit.
func (o overcurrent) well(all []ending, i int) float64 {
	next := o.limit
	if i+1 < len(all) {
		next = all[i+1].low()
	}
	x := overDetect * all[i].value()
	if x >= next {
		x = math.Sqrt(all[i].high() * math.Max(next, all[i].high()))
	}
	return x
}

// report adds a stage's figures. The first stage's current is there already.
func (o overcurrent) report(s *stand, l *logbook, name string, e ending, c cut, add bool) error {
	was := l.base.Stage
	l.base.Stage = name
	defer func() { l.base.Stage = was }()
	if add {
		l.ending(protection.Current, e)
	}
	at, err := o.atTrip(s, l, e)
	if err != nil {
		return err
	}
	if e.found() {
		r := l.reading(protection.SensedVoltage, at.sensed)
		r.Conditions = append(r.Conditions, Condition{"current", e.high(), "A"})
		r.OpenMeans = ""
	}
	o.delay(l, c, "")
	if name != "1" || !c.opened() || s.guide != nil {
		return nil
	}
	double, err := o.edge.strike(s, math.Min(2*e.value(), o.limit))
	if err != nil {
		return err
	}
	if double.opened() {
		o.delay(l, double, "2×")
	}
	return nil
}

// delay adds the delay of an edge.
func (o overcurrent) delay(l *logbook, c cut, step string) {
	if !c.opened() {
		l.none(protection.Delay, protection.NotCut, fmt.Sprintf("%.4g A was not cut within %.3g s", c.asked, o.edge.dwell)).Step = step
		return
	}
	lo, hi := around(c.record, c.first)
	r := l.value(protection.Delay, c.first, lo, hi)
	r.Step = step
	r.Conditions = append(r.Conditions, Condition{"current", c.asked, "A"})
}

// sayUnreached says how far was looked for a short stage that was not seen.
func (o overcurrent) sayUnreached(l *logbook, last string, to float64) {
	if last == "short" {
		return
	}
	r := l.none(protection.Current, protection.NotReached, "no stage faster than 1 ms up to there; more current than that was not delivered")
	r.Stage, r.SearchedTo, r.SearchedUnit = "short", to, "A"
}

// after finds out how the first stage lets go, half full only.
func (o overcurrent) after(s *stand, l *logbook, first ending, c cut) error {
	if o.level != levelMiddle || !c.opened() || !s.asks(protection.ReleaseDelay, protection.ResidualLoad) {
		return nil
	}
	tripped := func() error {
		return s.from("tripped load", func() error {
			_, err := o.edge.strike(s, c.asked)
			return err
		})
	}
	return s.letGo(l, dischargePort, tripped, fmt.Sprintf("tripped at %.4g A", c.asked))
}
