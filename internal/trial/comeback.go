package trial

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// comeBack goes through the columns until one releases, and times that if asked.
func (th threshold) comeBack(s *stand, l *logbook, k int, detect float64) error {
	for _, c := range th.columns {
		if c.charges && !s.a.Charge || c.loads && !s.a.Discharge {
			continue
		}
		e, err := th.releases(s, k, detect, c)
		if err != nil {
			return err
		}
		r := l.ending(protection.ReleaseAt, e)
		r.State, r.Step = c.state, "column "+c.name
		r.Stimulus = fmt.Sprintf("cell %d taken back from its trip, %s, %.3g s a step", k, c.says, th.release)
		r.OpenMeans = "released: on again"
		if !e.found() && e.outcome != protection.Undefined {
			continue
		}
		if !s.asks(protection.ReleaseDelay) {
			return nil
		}
		return th.timeBack(s, l, k, detect, e, c)
	}
	return nil
}

// timeBack times the release, from a step well past its threshold: by the
// probe's own current if the board comes back with the probe attached, by
// probing again and again under the column that releases otherwise.
func (th threshold) timeBack(s *stand, l *logbook, k int, detect float64, at ending, c column) error {
	if !at.found() {
		l.none(protection.ReleaseDelay, protection.Undefined, at.note)
		return nil
	}
	v := at.value() - sign(th.beyond)*wellBack
	back := fmt.Sprintf("cell %d stepped back to %.3f V", k, v)
	if done, err := th.watchBack(s, l, k, detect, v, back); done || err != nil {
		return err
	}
	e, err := s.timeUntilOn("release time "+c.name, th.port, func() error {
		if err := th.tripped(s, k, detect); err != nil {
			return err
		}
		if err := s.cell(k, v); err != nil {
			return err
		}
		return c.do(s)
	})
	if err != nil {
		return err
	}
	r := l.ending(protection.ReleaseDelay, e)
	r.State, r.Step, r.Stimulus, r.OpenMeans = c.state, "column "+c.name, back+", "+c.says, "released: on again when probed after that time"
	return nil
}

// wellBack is how far past its threshold a release is timed, V.
const wellBack = 0.05

// watchBack times the release with the probe that saw the trip still attached,
// and reports whether the board came back.
func (th threshold) watchBack(s *stand, l *logbook, k int, detect, v float64, back string) (bool, error) {
	if err := th.tripped(s, k, detect); err != nil {
		return false, err
	}
	var since float64
	c := rig.Capture{Cause: s.cause(k, v, th.port), Points: []rig.Point{th.port.amps()}, Seconds: th.release}
	c.Until = func(t float64, amps []float64) bool {
		if math.Abs(amps[0]) < probeAmps/2 {
			since = t
		}
		return t-since > steadyTime && since > 0
	}
	s.remember(c.Cause)
	rec, err := s.r.Capture(s.ctx, c)
	if err != nil {
		return false, err
	}
	d, err := s.state(th.port)
	ts := rises(rec.Times, rec.Values[0], probeAmps)
	if err != nil || !d.on() || len(ts) != 1 {
		return false, err
	}
	lo, hi := around(rec, ts[0])
	r := l.value(protection.ReleaseDelay, ts[0], lo, hi)
	r.State, r.Stimulus, r.OpenMeans = th.port.state(), back+", its probe attached", "released: the probe's current above half again"
	return true, nil
}

// cleared is when the last of the flags that open a path was cleared; NaN if none
// was.
func cleared(rec rig.Record) float64 {
	t := math.NaN()
	for _, e := range rec.Events {
		if flag, ok := strings.CutPrefix(e.What, rig.Clears); ok && (slices.Contains(currentFlags, flag) || strings.HasPrefix(flag, "UV") || strings.HasPrefix(flag, "OV")) {
			t = e.Time
		}
	}
	return t
}

// The watch over a release, and how finely its time is wanted.
const (
	releaseWatch   = 10.0 // s
	firstLook      = 1e-4 // s
	timeResolution = 0.05 // of the time
	timeRatio      = 4.0
)

// timeUntilOn searches for the time after which p is on when probed. Probing
// disturbs, so each time is tried from a fresh start; start gives it.
func (s *stand) timeUntilOn(name string, p port, start func() error) (ending, error) {
	e, err := s.search(search{
		name: name,
		from: firstLook, to: releaseWatch, ratio: timeRatio, relative: timeResolution, resolution: s.settle() / 2,
		expect: s.a.Times.Release, fromFound: true,
		foretell: func(within float64) (float64, error) {
			if err := start(); err != nil {
				return 0, err
			}
			rec, err := s.r.Capture(s.ctx, rig.Capture{Seconds: within})
			return cleared(rec), err
		},
		try: func(t float64) (step, error) {
			if err := start(); err != nil {
				return step{}, err
			}
			if err := s.dwell(t); err != nil {
				return step{}, err
			}
			d, err := s.probe(p)
			if err != nil || !d.on() {
				return step{}, err
			}
			return step{answer: acted}, nil
		},
	})
	if e.outcome == protection.NoneFound {
		e.outcome = protection.NeverReleases
	}
	if e.found() {
		// The board may have come on while the probe settled.
		e.hi += s.settle()
	}
	return e, err
}
