package transient

import (
	"context"
	"math"
	"testing"

	"cupel/internal/circuit"
	"cupel/internal/circuit/newton"
	"cupel/internal/circuit/protector"
)

// The elements these tests need, as plain as can be; package device has the
// real ones.

type two struct {
	name string
	a, b circuit.Node
	p    circuit.Pair
}

func (e *two) Name() string              { return e.name }
func (e *two) Terminals() []circuit.Node { return []circuit.Node{e.a, e.b} }
func (e *two) inject(s *circuit.System, amps float64) {
	s.B[e.a] -= amps
	s.B[e.b] += amps
	s.B[0] = 0
}

type resistor struct {
	two
	ohms float64
	open bool
}

func (e *resistor) Bind(b *circuit.Binder) { e.p = b.Pair(e.a, e.b) }
func (e *resistor) LoadMatrix(s *circuit.System) {
	if !e.open {
		e.p.Add(s, 1/e.ohms)
	}
}
func (e *resistor) LoadSource(*circuit.System) {}
func (e *resistor) Store(*circuit.System)      {}
func (e *resistor) Set(on bool) bool {
	changed := e.open == on
	e.open = !on
	return changed
}

type capacitor struct {
	two
	farad float64
	q     int
}

func (e *capacitor) Bind(b *circuit.Binder)       { e.p = b.Pair(e.a, e.b); e.q = b.State(1) }
func (e *capacitor) LoadMatrix(s *circuit.System) { e.p.Add(s, s.Alpha*e.farad) }
func (e *capacitor) LoadSource(s *circuit.System) { e.inject(s, s.Hist[e.q]) }
func (e *capacitor) Store(s *circuit.System) {
	s.Q[e.q] = e.farad * (s.X[e.a] - s.X[e.b])
	s.F[e.q] = s.Alpha*s.Q[e.q] + s.Hist[e.q]
}

type coil struct {
	two
	henry      float64
	i          circuit.Node
	q          int
	ai, bi     int32
	ia, ib, ii int32
}

func (e *coil) Bind(b *circuit.Binder) {
	e.i, e.q = b.Branch(), b.State(1)
	e.ai, e.bi = b.Entry(e.a, e.i), b.Entry(e.b, e.i)
	e.ia, e.ib, e.ii = b.Entry(e.i, e.a), b.Entry(e.i, e.b), b.Entry(e.i, e.i)
}

func (e *coil) LoadMatrix(s *circuit.System) {
	s.A[e.ai]++
	s.A[e.bi]--
	s.A[e.ia]++
	s.A[e.ib]--
	s.A[e.ii] -= s.Alpha * e.henry
}
func (e *coil) LoadSource(s *circuit.System) { s.B[e.i] += s.Hist[e.q] }
func (e *coil) Store(s *circuit.System) {
	s.Q[e.q] = e.henry * s.X[e.i]
	s.F[e.q] = s.Alpha*s.Q[e.q] + s.Hist[e.q]
}

type source struct {
	two
	volts          func(t float64) float64
	i              circuit.Node
	ai, bi, ia, ib int32
}

func (e *source) Bind(b *circuit.Binder) {
	e.i = b.Branch()
	e.ai, e.bi, e.ia, e.ib = b.Entry(e.a, e.i), b.Entry(e.b, e.i), b.Entry(e.i, e.a), b.Entry(e.i, e.b)
}

func (e *source) LoadMatrix(s *circuit.System) {
	s.A[e.ai]++
	s.A[e.bi]--
	s.A[e.ia]++
	s.A[e.ib]--
}
func (e *source) LoadSource(s *circuit.System) { s.B[e.i] += s.Scale * e.volts(s.Time) }
func (e *source) Store(*circuit.System)        {}

func r(a, b circuit.Node, ohms float64) *resistor {
	return &resistor{two: two{name: "R", a: a, b: b}, ohms: ohms}
}

func c(a, b circuit.Node, farad float64) *capacitor {
	return &capacitor{two: two{name: "C", a: a, b: b}, farad: farad}
}

func l(a, b circuit.Node, henry float64) *coil {
	return &coil{two: two{name: "L", a: a, b: b}, henry: henry}
}

func v(a, b circuit.Node, volts func(float64) float64) *source {
	return &source{two: two{name: "V", a: a, b: b}, volts: volts}
}
func steady(volts float64) func(float64) float64 { return func(float64) float64 { return volts } }

func start(t testing.TB, names []string, opt Options, units []*Unit, elements ...circuit.Element) *Run {
	t.Helper()
	run := New(newton.New(names, elements), units, opt)
	if err := run.Operate(); err != nil {
		t.Fatal(err)
	}
	return run
}

// A method of second order halves its step and quarters its error: the slope
// of log(error) over log(h) on an RC discharge with fixed steps is 2.
func TestMethodIsOfSecondOrder(t *testing.T) {
	global := func(h float64) float64 {
		volts := 1.0
		src := v(1, 0, func(float64) float64 { return volts })
		run := start(t, []string{"0", "in", "out"}, Options{}, nil, src, r(1, 2, 1e6), c(2, 0, 1e-6))
		volts = 0
		if err := run.Disturb(); err != nil {
			t.Fatal(err)
		}
		for run.Time < 1-h/2 {
			if _, err := run.try(h); err != nil {
				t.Fatal(err)
			}
			run.accept(h, run.Time+h, 0, false)
		}
		return math.Abs(run.X()[2] - math.Exp(-1))
	}
	for _, h := range []float64{0.1, 0.05, 0.025} {
		slope := math.Log2(global(h) / global(h/2))
		if slope < 1.95 || slope > 2.05 {
			t.Errorf("h = %g: order %.3f, want 2", h, slope)
		}
	}
}

// The coefficients are consistent: constants and straight lines are integrated
// exactly, and both stages have one matrix.
func TestMethodCoefficients(t *testing.T) {
	near := func(name string, got, want float64) {
		if math.Abs(got-want) > 1e-14 {
			t.Errorf("%s = %.17g, want %.17g", name, got, want)
		}
	}
	near("a1 − a2", a1-a2, 1)
	near("stage 2 on a straight line", (1-a1*gamma)/d, 1)
	near("d against (1−γ)/(2−γ)", d, (1-gamma)/(2-gamma))
	near("error of a constant rate", errN+errG+err1, 0)
	near("error of a linear rate", errG*gamma+err1, 0)
}

// Capacitor step, v = 1 − e^(−t/τ): 0.63212056 at τ and 0.99326205 at 5τ.
func TestCapacitorCharges(t *testing.T) {
	volts := 0.0
	src := v(1, 0, func(float64) float64 { return volts })
	run := start(t, []string{"0", "in", "out"}, Options{Volts: 1e-6}, nil, src, r(1, 2, 1e3), c(2, 0, 1e-6))
	volts = 1
	if err := run.Disturb(); err != nil {
		t.Fatal(err)
	}
	for _, at := range []struct{ t, want float64 }{{1e-3, 0.63212056}, {5e-3, 0.99326205}} {
		if err := run.Advance(context.Background(), at.t); err != nil {
			t.Fatal(err)
		}
		// The local error is 1 µV a step; some tens of steps add up.
		if got := run.X()[2]; math.Abs(got-at.want) > 3e-5 {
			t.Errorf("v(%g s) = %.8f, want %.8f", at.t, got, at.want)
		}
	}
}

// Hot plug of 16.8 V through 1 µH and 50 mΩ into 10 µF: the peak is 29.89505 V
// at 9.965780 µs (closed form of the damped series circuit).
func TestHotPlugRings(t *testing.T) {
	volts := 0.0
	src := v(1, 0, func(float64) float64 { return volts })
	run := start(t, []string{"0", "in", "mid", "out"}, Options{}, nil, src, r(1, 2, 50e-3), l(2, 3, 1e-6), c(3, 0, 10e-6))
	volts = 16.8
	if err := run.Disturb(); err != nil {
		t.Fatal(err)
	}
	peak, at := 0.0, 0.0
	x := make([]float64, run.Solver().Layout.Unknowns)
	run.Watch = func(g *Segment) bool {
		for th := 0.1; th <= 1; th += 0.1 {
			if g.At(th, x); x[3] > peak {
				peak, at = x[3], g.Start+th*g.Step
			}
		}
		return false
	}
	if err := run.Advance(context.Background(), 20e-6); err != nil {
		t.Fatal(err)
	}
	if math.Abs(peak-29.89505) > 0.01 || math.Abs(at-9.965780e-6) > 0.2e-6 {
		t.Errorf("peak %.5f V at %.4g s, want 29.89505 V at 9.96578e-6 s", peak, at)
	}
}

// alarm is a machine of one comparator and one delay that opens one link.
type alarm struct{ level, back, delay float64 }

func (a alarm) Pins() []string { return []string{"in", "ref", "out"} }
func (a alarm) Comparators() []protector.Comparator {
	return []protector.Comparator{
		{Name: "high", Plus: 0, Minus: 1, Level: a.level},
		{Name: "still", Plus: 0, Minus: 1, Level: a.back},
	}
}

func (a alarm) Links() []protector.Link {
	return []protector.Link{{Name: "out", From: 2, To: 1, Ohms: 1}}
}
func (a alarm) Sinks() []protector.Sink   { return nil }
func (a alarm) Clamps() []protector.Clamp { return nil }
func (a alarm) Flags() []string           { return []string{"tripped"} }
func (a alarm) Timers() int               { return 1 }
func (a alarm) Start(s *protector.State, _ float64, truth protector.Truth) {
	s.Due[0] = math.Inf(1)
	if truth[0] || !truth[1] {
		s.Put(0, truth[0])
	}
}

func (a alarm) Advance(s *protector.State, t float64, truth protector.Truth) {
	switch {
	case !truth[1]:
		s.Put(0, false)
		s.Due[0] = math.Inf(1)
	case s.Has(0):
	case !truth[0]:
		s.Due[0] = math.Inf(1)
	case math.IsInf(s.Due[0], 1):
		s.Due[0] = t + a.delay
	}
	if s.Due[0] <= t {
		s.Put(0, true)
		s.Due[0] = math.Inf(1)
	}
}
func (a alarm) Outputs(s *protector.State, links []bool, _ []float64) { links[0] = s.Has(0) }

// An RC ramp crosses 1.2 V of 3.3 V after 45.198512 ms (1 MΩ, 0.1 µF); the
// machine then waits 10 ms and pulls a node low.
func TestCrossingPlusDelay(t *testing.T) {
	volts := 0.0
	src := v(1, 0, func(float64) float64 { return volts })
	pull := r(3, 0, 1)
	u := &Unit{Part: "U1", Machine: alarm{1.2, 1.1, 10e-3}, Nodes: []circuit.Node{2, 0, 3}, Links: []Switcher{pull}}
	run := start(t, []string{"0", "in", "ramp", "out"}, Options{Volts: 1e-6}, []*Unit{u},
		src, r(1, 2, 1e6), c(2, 0, 1e-7), r(1, 3, 1e3), pull)
	volts = 3.3
	if err := run.Disturb(); err != nil {
		t.Fatal(err)
	}
	var at []float64
	run.Log = func(t float64, _ *Unit) { at = append(at, t) }
	if err := run.Advance(context.Background(), 0.2); err != nil {
		t.Fatal(err)
	}
	if len(at) != 1 || math.Abs(at[0]-55.198512e-3) > 2e-6 {
		t.Fatalf("output changed at %v, want once at 55.1985 ms", at)
	}
	if out := run.X()[3]; out > 0.01 {
		t.Errorf("out = %g V, want it pulled low", out)
	}
}

// A pulse shorter than the delay begins and lapses inside one large step and
// must not trip; one longer must.
func TestPulseAgainstDelay(t *testing.T) {
	for _, tc := range []struct {
		width float64
		trips bool
	}{{0.5e-3, false}, {2e-3, true}} {
		begin := 0.1
		pulse := func(t float64) float64 { // half a sine, smooth enough for large steps
			if t < begin || t > begin+tc.width*1.5 {
				return 0
			}
			return 2 * math.Sin(math.Pi*(t-begin)/(tc.width*1.5))
		}
		pull := r(2, 0, 1)
		u := &Unit{Part: "U1", Machine: alarm{1, 0.9, 1e-3}, Nodes: []circuit.Node{1, 0, 2}, Links: []Switcher{pull}}
		run := start(t, []string{"0", "in", "out"}, Options{}, []*Unit{u}, v(1, 0, pulse), r(1, 2, 1e3), c(2, 0, 1e-9), pull)
		run.Break(begin)
		run.Break(begin + tc.width*1.5)
		tripped := false
		run.Log = func(float64, *Unit) { tripped = true }
		if err := run.Advance(context.Background(), 0.2); err != nil {
			t.Fatal(err)
		}
		if tripped != tc.trips {
			t.Errorf("pulse of %g s with a 1 ms delay: tripped %v, want %v", tc.width, tripped, tc.trips)
		}
	}
}

// A machine that discharges what it watches is a limit cycle: reported with
// its rate. RC of 1 ms charges to the threshold, 10 Ω takes it back.
func TestChatterIsReported(t *testing.T) {
	pull := r(2, 0, 10)
	u := &Unit{Part: "U1", Machine: alarm{1, 0.5, 1e-4}, Nodes: []circuit.Node{2, 0, 2}, Links: []Switcher{pull}}
	run := start(t, []string{"0", "in", "out"}, Options{}, []*Unit{u}, v(1, 0, steady(0)), r(1, 2, 1e3), c(2, 0, 1e-6), pull)
	src := run.solver.Elements()[0].(*source)
	src.volts = steady(2)
	if err := run.Disturb(); err != nil {
		t.Fatal(err)
	}
	if err := run.Advance(context.Background(), 10); err != nil {
		t.Fatal(err)
	}
	// From 0.5 V to 1 V on 2 V: τ·ln(1.5/1); 0.1 ms more, then back through
	// 10 Ω in about 10 µs.
	if len(run.Chatter) != 1 || math.Abs(1/run.Chatter[0].Rate-(1e-3*math.Log(1.5)+0.1e-3)) > 0.02e-3 {
		t.Fatalf("chatter %v, want one with a period of about 0.51 ms", run.Chatter)
	}
	if run.Time != 10 {
		t.Errorf("stands at %g s, want 10 s", run.Time)
	}
}

func TestRewindIsExact(t *testing.T) {
	volts := 0.0
	src := v(1, 0, func(float64) float64 { return volts })
	run := start(t, []string{"0", "in", "mid", "out"}, Options{}, nil, src, r(1, 2, 0.1), l(2, 3, 1e-6), c(3, 0, 1e-6))
	volts = 5
	if err := run.Disturb(); err != nil {
		t.Fatal(err)
	}
	if err := run.Advance(context.Background(), 3e-6); err != nil {
		t.Fatal(err)
	}
	mark := run.Snapshot()
	end := func() float64 {
		if err := run.Advance(context.Background(), 9e-6); err != nil {
			t.Fatal(err)
		}
		return run.X()[3]
	}
	first := end()
	run.Rewind(mark)
	if second := end(); first != second {
		t.Errorf("%.17g after rewinding, %.17g before", second, first)
	}
}

func TestAdvanceHonoursContext(t *testing.T) {
	run := start(t, []string{"0", "a"}, Options{}, nil, v(1, 0, steady(1)), r(1, 0, 1))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := run.Advance(ctx, 1); err == nil {
		t.Fatal("no error from an ended context")
	}
}

func TestStepsAllocateNothing(t *testing.T) {
	src := v(1, 0, func(t float64) float64 { return math.Sin(1e4 * t) })
	run := start(t, []string{"0", "in", "out"}, Options{}, nil, src, r(1, 2, 1e3), c(2, 0, 1e-7))
	ctx := context.Background()
	until := 0.0
	if n := testing.AllocsPerRun(50, func() {
		until += 1e-3
		_ = run.Advance(ctx, until)
	}); n != 0 {
		t.Errorf("%v allocations in an advance, want 0", n)
	}
}

// late is a machine whose only timer is due a rounding after a time at which the
// run stands anyway.
type late struct{ at float64 }

func (late) Pins() []string                                           { return []string{"a"} }
func (late) Comparators() []protector.Comparator                      { return nil }
func (late) Links() []protector.Link                                  { return nil }
func (late) Sinks() []protector.Sink                                  { return nil }
func (late) Clamps() []protector.Clamp                                { return nil }
func (late) Flags() []string                                          { return []string{"rung"} }
func (late) Timers() int                                              { return 1 }
func (m late) Start(s *protector.State, _ float64, _ protector.Truth) { s.Due[0] = m.at }
func (m late) Advance(s *protector.State, t float64, _ protector.Truth) {
	if s.Due[0] <= t {
		s.Put(0, true)
		s.Due[0] = math.Inf(1)
	}
}
func (late) Outputs(*protector.State, []bool, []float64) {}

// A deadline a rounding after the end of an interval is met, not waited for at
// one instant for ever.
func TestDeadlineARoundingAway(t *testing.T) {
	u := &Unit{Part: "U1", Machine: late{0.1 + 1e-13}, Nodes: []circuit.Node{1}}
	run := start(t, []string{"0", "a"}, Options{Events: 10}, []*Unit{u}, v(1, 0, steady(1)), r(1, 0, 1))
	for _, until := range []float64{0.1, 0.2} {
		if err := run.Advance(context.Background(), until); err != nil {
			t.Fatal(err)
		}
	}
	if !u.State.Has(0) {
		t.Error("the deadline was never met")
	}
}
