package trial

import (
	"context"
	"fmt"
	"math"
	"slices"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Starting points of the common definitions; common practice, no source.
const (
	wakeVolts   = 1.0  // V of the wake step above the pack
	wakeAmps    = 0.05 // A of the wake step
	wakeSeconds = 1.0  // s of the wake step
	edgeSettle  = 3e-3 // s before a direction is read where the rig says nothing
	steadyTime  = 1e-3 // s a current must stay on its side of half to count

	fallbackOvercharge    = 5.0 // s, longest delay where no sheet names one
	fallbackOverdischarge = 1.0
	fallbackOvercurrent   = 0.5
	fallbackRelease       = 1.0
	fallbackBalance       = 1.0
	fallbackTemperature   = 5.0
)

// stand is a rig with a board in it and the trial's memory of what it set.
type stand struct {
	ctx  context.Context
	r    rig.Rig
	a    rig.Abilities
	rw   rig.Rewinder // nil where the rig cannot go back
	set  setting
	kept map[string]kept
	woke bool           // a wake step was needed
	cuts map[strike]cut // edges seen on a rig that repeats itself exactly

	only []protection.Quantity // quantities asked for; nil: all

	learning *guide // not nil: searches leave here what they teach
	guide    *guide // not nil: searches look where it says, and only what they lead to is asked
	origin   *kept  // not nil: every rest is prepared from there, whatever came before
}

// setting is what a rig can forget when it is rewound and a trial must not.
type setting struct {
	cells   []float64 // V, cell 1 first
	load    rig.Load
	charger rig.Charger
	seen    map[port]direction // at the last rest
}

type kept struct {
	mark rig.Mark
	set  setting
}

func (s setting) clone() setting {
	s.cells = slices.Clone(s.cells)
	return s
}

func newStand(ctx context.Context, r rig.Rig) *stand {
	s := &stand{ctx: ctx, r: r, a: r.Can(), kept: map[string]kept{}, cuts: map[strike]cut{}}
	s.rw, _ = r.(rig.Rewinder)
	s.set.cells = make([]float64, s.a.Cells)
	return s
}

// rewinds reports whether a step costs nothing but computing.
func (s *stand) rewinds() bool { return s.rw != nil }

// from puts the board where prepare puts it: by going back there when the rig
// can and has been there, by doing it again otherwise.
func (s *stand) from(name string, prepare func() error) error {
	if s.rw == nil {
		return prepare()
	}
	if k, ok := s.kept[name]; ok {
		s.back(k)
		return nil
	}
	if err := prepare(); err != nil {
		return err
	}
	s.kept[name] = kept{s.rw.Mark(), s.set.clone()}
	return nil
}

// back goes back to what was kept.
func (s *stand) back(k kept) {
	s.rw.Rewind(k.mark)
	s.set = k.set.clone()
}

// cell sets cell k.
func (s *stand) cell(k int, volts float64) error {
	s.set.cells[k-1] = volts
	return s.r.SetCell(k, volts)
}

// load sets the load.
func (s *stand) load(l rig.Load) error {
	s.set.load = l
	return s.r.SetLoad(l)
}

// charger sets the charger.
func (s *stand) charger(c rig.Charger) error {
	s.set.charger = c
	return s.r.SetCharger(c)
}

// empty takes load and charger off the ports there are.
func (s *stand) empty() error {
	if s.a.Discharge {
		if err := s.load(rig.Load{}); err != nil {
			return err
		}
	}
	if s.a.Charge {
		return s.charger(rig.Charger{})
	}
	return nil
}

func (s *stand) dwell(seconds float64) error { return s.r.Dwell(s.ctx, seconds) }

// read reads one point's value; NaN where the node floats.
func (s *stand) read(p rig.Point) (float64, error) {
	v, err := s.r.Read(p)
	if err != nil {
		return 0, fmt.Errorf("reading %s: %w", p, err)
	}
	if v.Floating {
		return math.NaN(), nil
	}
	return v.Value, nil
}

// pack is the sum of the cells as set.
func (s *stand) pack() float64 {
	sum := 0.0
	for _, v := range s.set.cells {
		sum += v
	}
	return sum
}

// packOhms is the resistance of all cells in series.
func (s *stand) packOhms() float64 { return float64(s.a.Cells) * s.a.CellOhms }

// search searches on this stand: begun at the far end and without asking twice
// where a step can be undone and repeats itself exactly.
func (s *stand) search(sr search) (ending, error) {
	sr.farFirst, sr.exact = s.rewinds(), s.rewinds()
	switch {
	case sr.name == "" || !s.rewinds():
	case s.learning != nil:
		return s.learnSearch(sr)
	case s.guide != nil:
		if l, ok := s.guide.searches[sr.name]; ok {
			return s.guidedSearch(sr, l)
		}
	}
	return s.unguided(sr)
}

// unguided searches without a guide: around the time that this board foretells,
// where it does, and otherwise by the plain rules.
func (s *stand) unguided(sr search) (ending, error) {
	if !sr.exact || sr.foretell == nil {
		return sr.run()
	}
	t, err := sr.foretell(sr.to)
	if err != nil {
		return ending{}, err
	}
	g := &guided{search: sr, solved: math.NaN()}
	if e, done, err := g.find(s, t); err != nil || done {
		return e, err
	}
	return sr.run()
}

// asks reports whether any of these quantities is asked for.
func (s *stand) asks(qs ...protection.Quantity) bool {
	return s.only == nil || slices.ContainsFunc(qs, func(q protection.Quantity) bool { return slices.Contains(s.only, q) })
}

func (s *stand) settle() float64 { return orElse(s.a.Settle, edgeSettle) }

// wait is the dwell of a search for something that takes at most longest
// seconds: 1.5 of it, and five time constants of the filter before the pin.
func (s *stand) wait(longest, fallback float64) float64 {
	return 1.5*orElse(longest, fallback) + 5*s.a.Times.Filter
}

// waitOvercurrent is the dwell of a search for a load's overcurrent. It ends
// before cells that sag under the load can cut for themselves, unless the
// overcurrent is the slower of the two.
func (s *stand) waitOvercurrent() float64 {
	longest := orElse(s.a.Times.Overcurrent, fallbackOvercurrent)
	w := s.wait(longest, longest)
	if uv := beforeOverdischarge * s.a.Times.Overdischarge; uv > 1.5*longest {
		w = math.Min(w, uv)
	}
	return w
}

// beforeOverdischarge is the part of the longest overdischarge delay that an
// overcurrent may be waited for. Common practice, no source.
const beforeOverdischarge = 0.6

// slowestGate is what a gate may need through its pull-up before a released
// direction is on, s: 1 MΩ into tens of nF. Waits for a release are never
// shorter, whatever the sheets say of the delays. Common practice, no source.
const slowestGate = 0.2

// waitRelease is the dwell of a search for a release.
func (s *stand) waitRelease() float64 {
	return math.Max(s.wait(s.a.Times.Release, fallbackRelease), slowestGate)
}

// orElse is v, or fallback where v was not given.
func orElse(v, fallback float64) float64 {
	if v == 0 {
		return fallback
	}
	return v
}
