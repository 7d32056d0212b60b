package circuittest

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/circuit"
	"cupel/internal/circuit/deck"
	"cupel/internal/circuit/device"
	"cupel/internal/circuit/newton"
	"cupel/internal/circuit/transient"
)

// Run is a circuit through time from its state of rest, switched and driven by
// scripts alone, and the figures that are taken from it.
type Run struct {
	Name     string
	About    string
	Kelvin   float64
	Nodes    []string
	Elements []circuit.Element
	Switches map[*device.Switch]deck.Script
	Sources  map[*device.Voltage]deck.Script
	Seconds  float64
	Step     float64 // the largest the reference simulator may take
	Figures  []Figure
	Within   Limits
}

// Figure is one figure of a run.
type Figure struct {
	Column string // with its unit: "t_half_s", "v_peak_V"
	Of     Watch
	Kind   FigureKind
	Level  float64 // of a crossing, V or A
	At     float64 // s, of a value
}

// FigureKind is what a figure is of its waveform.
type FigureKind int

// The kinds.
const (
	Value   FigureKind = iota // at a time
	Rising                    // when it first rises through a level
	Falling                   // when it first falls through a level
	Highest
)

// edgeSeconds is how long a scripted switch takes in the deck.
const edgeSeconds = 1e-9

// Solve computes the figures with Cupel.
func (r *Run) Solve() (Table, error) {
	solver := newton.New(r.Nodes, r.Elements)
	solver.Sys.Kelvin = r.Kelvin
	run := transient.New(solver, nil, transient.Options{})
	r.set(0)
	if err := run.Operate(); err != nil {
		return Table{}, err
	}
	taken := r.observe(run)
	for _, t := range r.instants() {
		run.Break(t)
		if err := run.Advance(context.Background(), t); err != nil {
			return Table{}, fmt.Errorf("%s: %w", r.Name, err)
		}
		r.set(t)
		solver.Touch()
		if err := run.Disturb(); err != nil {
			return Table{}, fmt.Errorf("%s: %w", r.Name, err)
		}
	}
	if err := run.Advance(context.Background(), r.Seconds); err != nil {
		return Table{}, fmt.Errorf("%s: %w", r.Name, err)
	}
	return r.table(taken), nil
}

// set puts the switches where their scripts have them at time t.
func (r *Run) set(t float64) {
	for w, script := range r.Switches {
		w.Set(polyline(script)(t+edgeSeconds) > 0.5)
	}
}

// instants are the times at which a script bends, in order.
func (r *Run) instants() []float64 {
	var at []float64
	for _, script := range r.Switches {
		for _, p := range script[1:] {
			at = append(at, p.Seconds)
		}
	}
	for _, script := range r.Sources {
		for _, p := range script[1:] {
			at = append(at, p.Seconds)
		}
	}
	slices.Sort(at)
	return slices.Compact(at)
}

// driver is a source that follows a script.
func driver(name string, a, b circuit.Node, s deck.Script) *device.Voltage {
	return device.NewVoltage(name, a, b, device.VoltageParams{Wave: polyline(s)})
}

// polyline is a script as a function of time.
func polyline(s deck.Script) device.Waveform {
	return func(t float64) float64 {
		for i := len(s) - 1; i >= 0; i-- {
			if t < s[i].Seconds {
				continue
			}
			if i == len(s)-1 {
				return s[i].Value
			}
			share := (t - s[i].Seconds) / (s[i+1].Seconds - s[i].Seconds)
			return s[i].Value + share*(s[i+1].Value-s[i].Value)
		}
		return s[0].Value
	}
}

// observe follows the figures over every accepted step.
func (r *Run) observe(run *transient.Run) []float64 {
	taken := make([]float64, len(r.Figures))
	for i := range taken {
		taken[i] = math.NaN()
	}
	x := make([]float64, len(run.X()))
	run.Watch = func(g *transient.Segment) bool {
		for i := range r.Figures {
			r.Figures[i].follow(r.Nodes, g, x, &taken[i])
		}
		return false
	}
	return taken
}

// follow looks for the figure in one step.
func (f *Figure) follow(nodes []string, g *transient.Segment, x []float64, taken *float64) {
	at := func(theta float64) float64 {
		g.At(theta, x)
		return f.Of.value(nodes, x)
	}
	switch f.Kind {
	case Value:
		if theta := (f.At - g.Start) / g.Step; theta > 0 && theta <= 1 {
			*taken = at(theta)
		}
	case Highest:
		for _, v := range []float64{f.Of.value(nodes, g.Xg), f.Of.value(nodes, g.X1)} {
			*taken = fmax(*taken, v)
		}
	case Rising, Falling:
		lo, hi := f.over(at(0)), f.over(at(1))
		if math.IsNaN(*taken) && !lo && hi {
			*taken = g.Start + g.Step*bisect(func(theta float64) bool { return f.over(at(theta)) })
		}
	}
}

// over reports whether v is beyond the level, in the direction looked for.
func (f *Figure) over(v float64) bool {
	if f.Kind == Falling {
		return v < f.Level
	}
	return v > f.Level
}

func bisect(beyond func(float64) bool) float64 {
	lo, hi := 0.0, 1.0
	for range 50 {
		if mid := (lo + hi) / 2; beyond(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// fmax is the larger, or the one that is a number.
func fmax(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

func (r *Run) table(values []float64) Table {
	t := Table{Columns: []string{"run_s"}, Rows: [][]float64{append([]float64{r.Seconds}, values...)}}
	for _, f := range r.Figures {
		t.Columns = append(t.Columns, f.Column)
	}
	return t
}

// Deck prints the run for the reference simulator.
func (r *Run) Deck() (string, error) {
	d := deck.Deck{
		Title: r.Name, Comments: []string{r.About}, Nodes: r.Nodes, Elements: r.Elements, Kelvin: r.Kelvin,
		Scripts: map[string]deck.Script{}, Analysis: deck.Transient{Seconds: r.Seconds, Step: r.Step},
	}
	for w, script := range r.Switches {
		d.Scripts[w.Name()] = steep(script)
	}
	for v, script := range r.Sources {
		d.Scripts[v.Name()] = script
	}
	for _, f := range r.Figures {
		d.Measures = append(d.Measures, deck.Measure{Name: f.Column, What: f.what(r.Nodes)})
	}
	var b strings.Builder
	err := deck.Write(&b, d)
	return b.String(), err
}

// steep turns the positions of a switch into edges.
func steep(s deck.Script) deck.Script {
	out := deck.Script{s[0]}
	for i, p := range s[1:] {
		out = append(out, deck.Point{Seconds: p.Seconds, Value: s[i].Value}, deck.Point{Seconds: p.Seconds + edgeSeconds, Value: p.Value})
	}
	return out
}

// what is the figure in the reference simulator's words.
func (f *Figure) what(nodes []string) string {
	of := f.Of.vector(nodes)
	switch f.Kind {
	case Rising:
		return fmt.Sprintf("when %s=%g rise=1", of, f.Level)
	case Falling:
		return fmt.Sprintf("when %s=%g fall=1", of, f.Level)
	case Highest:
		return "max " + of
	}
	return fmt.Sprintf("find %s at=%g", of, f.At)
}

// FromMeasured makes the table from the measurements of the reference simulator.
func (r *Run) FromMeasured(measured map[string]float64) (Table, error) {
	var values []float64
	for _, f := range r.Figures {
		v, ok := measured[strings.ToLower(f.Column)]
		if !ok {
			return Table{}, fmt.Errorf("%s: no measurement %s", r.Name, f.Column)
		}
		values = append(values, v)
	}
	return r.table(values), nil
}
