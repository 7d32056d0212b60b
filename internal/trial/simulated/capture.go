package simulated

import (
	"context"
	"fmt"
	"slices"

	"cupel/internal/circuit"
	"cupel/internal/circuit/protector"
	"cupel/internal/circuit/transient"
	"cupel/internal/trial/rig"
)

// Read reads one quantity now.
func (r *Rig) Read(p rig.Point) (rig.Reading, error) {
	g, err := r.gauge(p)
	if err != nil {
		return rig.Reading{}, err
	}
	if err := r.settle(); err != nil {
		return rig.Reading{}, err
	}
	x := r.run.X()
	if m := r.run.Mean(); m != nil && slow(p.Kind) {
		x = m
	}
	return rig.Reading{Value: g.value(x), Floating: g.node != 0 && r.floats(g.node)}, nil
}

// slow reports what a meter shows the average of when the board goes on in turns
// and that is passed over: currents, and what is lost on their way.
func slow(k rig.PointKind) bool {
	switch k {
	case rig.CellAmps, rig.TapAmps, rig.LoadAmps, rig.ChargeAmps, rig.BleedAmps, rig.MinusDrop, rig.ChargeDrop:
		return true
	}
	return false
}

// floatingOhms is the resistance against everything else above which a node is
// held by gmin and leakage of the model alone.
const floatingOhms = 2e10

// floats reports whether nothing but gmin holds a node: a picoampere into it
// moves it by more than 20 mV.
func (r *Rig) floats(n int) bool {
	s := r.run.Solver()
	if slices.Contains(s.Tied, circuit.Node(n)) {
		return true
	}
	b, x := make([]float64, s.Layout.Unknowns), make([]float64, s.Layout.Unknowns)
	b[n] = 1e-12
	s.Correct(b, x)
	return x[n] > floatingOhms*1e-12
}

// Capture lets time pass, recording points from the change that its cause
// makes on.
func (r *Rig) Capture(ctx context.Context, c rig.Capture) (rig.Record, error) {
	gauges, err := r.gauges(c.Points)
	if err != nil {
		return rig.Record{}, err
	}
	if err := r.settle(); err != nil {
		return rig.Record{}, err
	}
	r.record.begin(gauges, c)
	defer r.record.end()
	if err := r.cause(c.Cause); err != nil {
		return rig.Record{}, err
	}
	if err := r.settle(); err != nil {
		return rig.Record{}, err
	}
	if r.record.sample(0, r.run.X()) {
		return r.record.out, nil
	}
	err = r.advance(ctx, c.Seconds, r.record.segment)
	return r.record.out, err
}

// cause makes the change a capture starts with.
func (r *Rig) cause(c rig.Cause) error {
	if c.Load != nil {
		if err := r.SetLoad(*c.Load); err != nil {
			return err
		}
	}
	if c.Charger != nil {
		if err := r.SetCharger(*c.Charger); err != nil {
			return err
		}
	}
	if c.Cell != 0 {
		return r.SetCell(c.Cell, c.Volts)
	}
	return nil
}

// recorder turns accepted steps into a record and changes of flags into events.
type recorder struct {
	run   *transient.Run
	flags [][protector.MaxFlags / 64]uint64 // of each unit, as last seen

	open   bool
	start  float64
	gauges []gauge
	until  func(float64, []float64) bool
	out    rig.Record
	joules []float64 // of the gauges that add up power
	x, now []float64
	f0     []float64 // power at the start of the present step, by gauge
}

// follow makes the recorder listen to a run.
func (k *recorder) follow(run *transient.Run) {
	*k = recorder{run: run, flags: make([][protector.MaxFlags / 64]uint64, len(run.Units))}
	run.Log = func(t float64, u *transient.Unit) {
		if k.open {
			k.event(t, u)
		}
	}
	run.Parted = func(t float64, f transient.Fuse) {
		if k.open {
			k.out.Events = append(k.out.Events, rig.Event{Time: t - k.start, Part: f.Name(), What: rig.Parts})
		}
	}
}

func (k *recorder) begin(gauges []gauge, c rig.Capture) {
	k.open, k.start, k.gauges, k.until = true, k.run.Time, gauges, c.Until
	k.out = rig.Record{Points: c.Points, Values: make([][]float64, len(gauges))}
	k.joules, k.f0, k.now = make([]float64, len(gauges)), make([]float64, len(gauges)), make([]float64, len(gauges))
	k.x = make([]float64, k.run.Solver().Layout.Unknowns)
	for i, u := range k.run.Units {
		k.flags[i] = u.State.Flags
	}
}

func (k *recorder) end() {
	k.open = false
	for _, c := range k.run.Chatter {
		k.out.Events = append(k.out.Events, rig.Event{
			Time: k.run.Time - k.start, Part: c.Part, What: fmt.Sprintf("%s%g Hz", rig.Cycles, c.Rate),
		})
	}
}

// sample records the gauges at time t and reports whether the record is done.
func (k *recorder) sample(t float64, x []float64) bool {
	for i, g := range k.gauges {
		if k.now[i] = k.joules[i]; g.power == nil {
			k.now[i] = g.value(x)
		}
		k.out.Values[i] = append(k.out.Values[i], k.now[i])
	}
	k.out.Times = append(k.out.Times, t)
	return k.until != nil && k.until(t, k.now)
}

// segment records a step: its inner point and its end.
func (k *recorder) segment(s *transient.Segment) bool {
	k.addPower(s)
	t := s.Start - k.start
	if k.sample(t+transient.Inner*s.Step, s.Xg) {
		return true
	}
	return k.sample(t+s.Step, s.X1)
}

// addPower adds up the energy of the step, by the parabola through its powers.
func (k *recorder) addPower(s *transient.Segment) {
	for i, g := range k.gauges {
		if g.power != nil {
			k.joules[i] += s.Integral(g.power(s.X0), g.power(s.Xg), g.power(s.X1))
		}
	}
}

// event notes which flags of a unit changed.
func (k *recorder) event(t float64, u *transient.Unit) {
	for i, v := range k.run.Units {
		if v != u {
			continue
		}
		was, names := protector.State{Flags: k.flags[i]}, u.Machine.Flags()
		k.flags[i] = u.State.Flags
		for f, name := range names {
			switch on := u.State.Has(f); {
			case on && !was.Has(f):
				k.out.Events = append(k.out.Events, rig.Event{Time: t - k.start, Part: u.Part, What: rig.Sets + name})
			case !on && was.Has(f):
				k.out.Events = append(k.out.Events, rig.Event{Time: t - k.start, Part: u.Part, What: rig.Clears + name})
			}
		}
	}
}
