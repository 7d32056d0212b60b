package trial

import (
	"context"
	"fmt"
	"math"
	"slices"

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
	woke bool // a wake step was needed
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
	s := &stand{ctx: ctx, r: r, a: r.Can(), kept: map[string]kept{}}
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
		s.rw.Rewind(k.mark)
		s.set = k.set.clone()
		return nil
	}
	if err := prepare(); err != nil {
		return err
	}
	s.kept[name] = kept{s.rw.Mark(), s.set.clone()}
	return nil
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
	return sr.run()
}

func (s *stand) settle() float64 { return orElse(s.a.Settle, edgeSettle) }

// wait is the dwell of a search for something that takes at most longest
// seconds: 1.5 of it, and five time constants of the filter before the pin.
func (s *stand) wait(longest, fallback float64) float64 {
	return 1.5*orElse(longest, fallback) + 5*s.a.Times.Filter
}

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

// rest is the reset: every cell at volts, ports empty, twice the longest
// release delay, and the wake step if a direction is not on. What it saw of
// the directions is in set.seen.
func (s *stand) rest(volts float64) error {
	return s.from(fmt.Sprintf("rest %.6f", volts), func() error {
		for k := range s.set.cells {
			if err := s.cell(k+1, volts); err != nil {
				return err
			}
		}
		if err := s.quiet(); err != nil {
			return err
		}
		ok, err := s.look()
		if err != nil || ok {
			return err
		}
		return s.wake()
	})
}

// quiet empties the ports and waits for releases.
func (s *stand) quiet() error {
	if err := s.empty(); err != nil {
		return err
	}
	return s.dwell(math.Max(2*orElse(s.a.Times.Release, fallbackRelease), slowestGate))
}

// look probes every direction there is, and leaves the ports empty.
func (s *stand) look() (bool, error) {
	all := true
	s.set.seen = map[port]direction{}
	for _, p := range s.ports() {
		d, err := s.probe(p)
		if err != nil {
			return false, err
		}
		s.set.seen[p] = d
		all = all && d.on()
	}
	if err := s.empty(); err != nil {
		return false, err
	}
	return all, s.dwell(s.settle())
}

// wake applies the wake step and looks again.
func (s *stand) wake() error {
	if !s.a.Charge {
		return nil
	}
	if err := s.charger(rig.Charger{Volts: s.pack() + wakeVolts, Amps: wakeAmps}); err != nil {
		return err
	}
	if err := s.dwell(wakeSeconds); err != nil {
		return err
	}
	if err := s.quiet(); err != nil {
		return err
	}
	s.woke = true
	_, err := s.look()
	return err
}

// ready rests the board and insists that a direction is on: a search that
// finds the path open before its stimulus means nothing.
func (s *stand) ready(volts float64, p port) error {
	if err := s.rest(volts); err != nil {
		return err
	}
	if d := s.set.seen[p]; !d.on() {
		return &notReadyError{fmt.Sprintf("the %s direction is %s at rest with every cell at %.3f V, before any stimulus", p, d, volts)}
	}
	return nil
}

// notReadyError says that the board was not in the state a trial starts from.
type notReadyError struct{ text string }

func (e *notReadyError) Error() string { return e.text }

// ports lists the directions the board has a place for.
func (s *stand) ports() []port {
	var ps []port
	if s.a.Discharge {
		ps = append(ps, dischargePort)
	}
	if s.a.Charge {
		ps = append(ps, chargePort)
	}
	return ps
}

// low is a cell voltage a little above overdischarge at which the board still
// rests with p on: V_uv + 0.1 V where the sheets expect V_uv, and upwards from
// there until it holds.
func (s *stand) low(p port) (float64, error) {
	guess := s.a.Hints.Overdischarge
	if guess == 0 {
		guess = 0.75 * s.a.CellMiddle // 2.8 V of 3.7, 2.5 V of 3.3; common practice, no source
	}
	for v := guess + 0.1; v < s.a.CellMiddle; v += 0.1 {
		if err := s.rest(v); err != nil {
			return 0, err
		}
		if err := s.dwell(s.wait(s.a.Times.Overdischarge, fallbackOverdischarge)); err != nil {
			return 0, err
		}
		d, err := s.probe(p)
		if err != nil {
			return 0, err
		}
		if d.on() {
			return v, s.rest(v)
		}
	}
	return s.a.CellMiddle, s.rest(s.a.CellMiddle)
}
