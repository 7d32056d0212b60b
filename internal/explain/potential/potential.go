// Package potential is the voltage map of a board: what a meter reads on every
// net in every state, and how near each part comes to what it stands.
//
// A state is a scene of the trials: at rest, with current flowing, or just
// tripped with what tripped it still attached. The map is read once the scene has
// settled; stress is also taken from every instant on the way there, so that the
// peak of a cut counts.
package potential

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// Bench is a board and the rigs it is put on.
type Bench struct {
	Board  *board.Board
	Sheets func(string) (*catalog.Sheet, bool)
	Rig    func(*board.Board) (rig.Rig, error) // a fresh one each time
}

// Level is what a net's voltage over B− is in one state.
type Level struct {
	Net      board.NetID
	Volts    float64
	Low      float64 // over tolerances; NaN where they were not asked for
	High     float64
	Floating bool   // nothing holds the net: Volts means nothing
	Touch    string // where a probe reaches it: a pad, or a pin as "R405.2"
}

// Map is a state with the level of every net.
type Map struct {
	State    string
	Cell     int // the cell that tripped; 0: none
	Stimulus string
	Failed   string // why it could not be computed
	Levels   []Level

	acts     bool // the board cut
	switches bool // and comes back and cuts again: levels are averages
}

// Survey is the maps of all states and the stress of all parts.
type Survey struct {
	Maps   []Map
	Stress []Stress
}

// Survey looks at the board in every state there is.
func (b Bench) Survey(ctx context.Context) (Survey, error) {
	r, err := b.Rig(b.Board)
	if err != nil {
		return Survey{}, err
	}
	gauges := b.gauges()
	worst := newWorst(b.Board, gauges)
	var out Survey
	for _, scene := range trial.Scenes(r.Can()) {
		m := Map{State: scene.State, Cell: scene.Cell}
		if err := b.look(ctx, scene, &m, worst); err != nil {
			if ctx.Err() != nil {
				return out, err
			}
			m.Failed = err.Error()
		}
		out.Maps = append(out.Maps, m)
	}
	out.Stress = worst.list()
	return out, nil
}

// look enters a scene on a rig of its own and reads it.
func (b Bench) look(ctx context.Context, scene trial.Scene, m *Map, worst *worst) error {
	r, err := b.Rig(b.Board)
	if err != nil {
		return err
	}
	return b.lookAt(ctx, r, scene, m, worst)
}

// lookAt is look on a rig that is there.
func (b Bench) lookAt(ctx context.Context, r rig.Rig, scene trial.Scene, m *Map, worst *worst) error {
	nets, points := b.points()
	e, err := scene.Enter(ctx, r, points)
	if err != nil {
		return err
	}
	m.Stimulus, m.acts = e.Stimulus, !math.IsNaN(e.Cut)
	after, err := r.Capture(ctx, rig.Capture{Points: points, Seconds: watched})
	if err != nil {
		return err
	}
	if m.switches = switches(after); m.switches {
		m.Stimulus += "; the board keeps coming back and cutting again: averages, from and to what they swing between"
	}
	for i, p := range points {
		v, err := r.Read(p)
		if err != nil {
			return fmt.Errorf("reading %s: %w", p, err)
		}
		l := Level{Net: nets[i], Volts: v.Value, Low: math.NaN(), High: math.NaN(), Floating: v.Floating, Touch: b.touch(nets[i])}
		switch {
		case v.Floating:
			l.Volts = math.NaN()
		case m.switches:
			l.Volts, l.Low, l.High = mean(after.Times, after.Values[i]), slices.Min(after.Values[i]), slices.Max(after.Values[i])
		}
		m.Levels = append(m.Levels, l)
	}
	worst.lasting(scene, after, nets, len(b.Board.Nets))
	worst.record(scene, e.Record, nets, len(b.Board.Nets))
	return r.MakeSafe()
}

// watched is how long a scene is looked at once it has settled, s: longer than
// the delays of overcurrents, which are what a board repeats.
const watched = 0.2

// switches reports whether a protection kept acting.
func switches(rec rig.Record) bool {
	n := 0
	for _, e := range rec.Events {
		switch {
		case strings.HasPrefix(e.What, rig.Cycles):
			return true
		case strings.HasPrefix(e.What, rig.Sets):
			n++
		}
	}
	return n > 1
}

// mean is the average of a signal over the time it was recorded.
func mean(t, v []float64) float64 {
	last := len(t) - 1
	if last < 1 || t[last] == t[0] {
		return v[0]
	}
	sum := 0.0
	for j := range last {
		sum += (v[j] + v[j+1]) / 2 * (t[j+1] - t[j])
	}
	return sum / (t[last] - t[0])
}

// points are the nets that something hangs on, as points of a rig.
func (b Bench) points() ([]board.NetID, []rig.Point) {
	var nets []board.NetID
	var points []rig.Point
	for n := range b.Board.Nets {
		if len(b.Board.Nets[n].Pins) > 0 {
			nets = append(nets, board.NetID(n))
			points = append(points, rig.Point{Kind: rig.NetVolts, Part: b.Board.Nets[n].Name})
		}
	}
	return nets, points
}

// touch is where a probe reaches a net best: a pad, else an end of a part with
// two, else any pin.
func (b Bench) touch(n board.NetID) string {
	net := &b.Board.Nets[n]
	if len(net.Pads) > 0 {
		return b.Board.Pads[net.Pads[0]].Name
	}
	best := ""
	for _, r := range net.Pins {
		p := &b.Board.Parts[r.Part]
		name := p.Ref + "." + p.Pins[r.Pin].Name
		if len(p.Pins) == 2 {
			return name
		}
		if best == "" {
			best = name
		}
	}
	return best
}
