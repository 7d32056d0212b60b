// Package story tells how a protection acts: which part did what, when and at
// what voltage, from the stimulus to the bank that is off.
//
// The chain is found from a simulation of the trip. The flags of the ICs say who
// decided. The nets that changed, and when they passed half of their change, say
// what followed; nets that stay where they are, as taps and supplies, carry no
// signal. The chain is the shortest way, along parts and through nets that
// changed, from an output of the part that decided to the gates of the bank. Then
// each part of it is taken out and the trip tried again: a link without which the
// board still cuts was not needed. A line that says "fine" cannot be taken out, for
// nothing flows without it: it is held where it was before.
package story

import (
	"context"
	"fmt"
	"math"
	"slices"

	"cupel/internal/board"
	"cupel/internal/board/pattern"
	"cupel/internal/catalog"
	"cupel/internal/explain/fault"
	"cupel/internal/protection"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
)

// Bench is a board and the rigs that it, and what faults make of it, is put on.
type Bench struct {
	Board  *board.Board
	Sheets func(string) (*catalog.Sheet, bool)
	Rig    func(*board.Board) (rig.Rig, error)
}

// Step is one link of the chain.
type Step struct {
	Time  float64 // s from the stimulus on
	At    string  // a part, a cell, the load, a bank
	What  string
	Value float64 // NaN where there is none
	Unit  string
	Net   string // the net whose voltage it is; empty where it is none
	// Needed says whether the board does not cut without it; nil where that
	// cannot be told: taken out, it leaves no current to cut, and no tap could
	// hold it.
	Needed *bool
}

// Story is a trip, told.
type Story struct {
	Trial    protection.Trial
	Cell     int
	Stimulus string
	Steps    []Step
	// Broken says why the chain ends before the bank; empty if it does not.
	Broken string
}

// Tell trips the board by a trial, by cell k where the trial is of a cell.
func (b Bench) Tell(ctx context.Context, t protection.Trial, k int) (Story, error) {
	s := Story{Trial: t, Cell: k}
	r, err := b.Rig(b.Board)
	if err != nil {
		return s, err
	}
	scene, ok := b.scene(r, t, k)
	if !ok {
		return s, noTrip(r, t, k)
	}
	nets, points := b.points()
	e, err := scene.Enter(ctx, r, points)
	if err != nil {
		return s, err
	}
	s.Stimulus = e.Stimulus
	s.Steps = append(s.Steps, stimulus(scene, e))
	if math.IsNaN(e.Cut) {
		s.Broken = "the board does not cut"
		return s, nil
	}
	links := s.follow(b, e, nets)
	return s, b.check(ctx, &s, scene, links)
}

// link is what stands behind a step, and what its taking out is tried with.
type link struct {
	part int         // −1: none
	net  board.NetID // that it moved; NoNet: none
	rest board.NetID // a tap that stood about where that one was before; NoNet: none
}

// NoTrip is the error of a trial that trips nothing on a board.
type NoTrip struct {
	Trial protection.Trial
	Cell  int
	Have  []string // the trials that do
}

func (e *NoTrip) Error() string {
	return fmt.Sprintf("nothing on this board is tripped by %s%s", e.Trial.Label(), ofCell(e.Cell))
}

func noTrip(r rig.Rig, t protection.Trial, k int) error {
	e := &NoTrip{Trial: t, Cell: k}
	for _, c := range trial.Scenes(r.Can()) {
		if c.Trial != "" && !slices.Contains(e.Have, string(c.Trial)) {
			e.Have = append(e.Have, string(c.Trial))
		}
	}
	return e
}

func ofCell(k int) string {
	if k == 0 {
		return ""
	}
	return fmt.Sprintf(" of cell %d", k)
}

func (b Bench) scene(r rig.Rig, t protection.Trial, k int) (trial.Scene, bool) {
	for _, c := range trial.Scenes(r.Can()) {
		if c.Trial == t && c.Cell == k {
			return c, true
		}
	}
	return trial.Scene{}, false
}

// points are the nets that something hangs on.
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

// stimulus is the first step. It was needed if current flowed until then.
func stimulus(c trial.Scene, e trial.Entered) Step {
	s := Step{At: "load", What: "reaches", Value: e.Crossed, Unit: "A", Needed: &e.Flowed}
	switch {
	case c.Cell > 0:
		s.At, s.What, s.Unit = fmt.Sprintf("cell %d", c.Cell), "crosses", "V"
	case c.Trial == protection.LoadShort:
		s.What, s.Unit = "is shorted", ""
	case c.Trial == protection.ChargeOvercurrent:
		s.At = "charger"
	}
	return s
}

// follow adds what followed, and returns what stands behind each step.
func (s *Story) follow(b Bench, e trial.Entered, nets []board.NetID) []link {
	none := link{-1, board.NoNet, board.NoNet}
	links := []link{none}
	add := func(l link, step Step) {
		s.Steps, links = append(s.Steps, step), append(links, l)
	}
	by, ok := decided(b.Board, e)
	if !ok {
		s.Broken = "no IC set a flag before the cut: what cut is not known"
		return links
	}
	tr := newTrace(b, e, nets, by.time)
	decided := link{by.part, board.NoNet, board.NoNet}
	add(decided, Step{Time: by.time, At: b.Board.Parts[by.part].Ref, What: by.what, Value: math.NaN()})
	g := pattern.NewGraph(b.Board, b.Sheets)
	_, labels := pattern.Recognise(g, pattern.Library())
	way := tr.way(g, by, tr.gates(g, labels, e.Port))
	if way == nil {
		s.Broken = "no way along nets that changed leads from " + b.Board.Parts[by.part].Ref + " to the gates of a bank"
	}
	for i, h := range way {
		l := link{h.part, h.to, tr.tap(h.to)}
		if i == 0 { // who decided is held where it speaks
			links[len(links)-1] = l
		}
		add(l, tr.step(b, g, h))
	}
	add(none, Step{Time: e.Cut, At: e.Port + " bank", What: "off", Value: math.NaN(), Needed: yes()})
	return links
}

func yes() *bool {
	b := true
	return &b
}

// check takes the part behind each step out and tries the trip again. Where that
// leaves no current to cut, as a line that says "fine" does, the net is held where
// it was before instead.
func (b Bench) check(ctx context.Context, s *Story, scene trial.Scene, links []link) error {
	known := map[link]*bool{}
	for i, l := range links {
		if l.part < 0 {
			continue
		}
		if _, ok := known[l]; !ok {
			needed, err := b.needed(ctx, scene, fault.Apply(b.Board, fault.Fault{Kind: fault.Open, Part: l.part}))
			if needed == nil && err == nil && l.rest != board.NoNet {
				needed, err = b.needed(ctx, scene, fault.Held(b.Board, l.net, l.rest, heldOhms))
			}
			if err != nil {
				return err
			}
			known[l] = needed
		}
		s.Steps[i].Needed = known[l]
	}
	return nil
}

// heldOhms holds a net against what a protector's output or a gate's pull-down
// can do, kΩ, and burns nothing. Our own choice.
const heldOhms = 10

// needed reports whether an edited board no longer cuts; nil where it lets no
// current through, or finds no rest.
func (b Bench) needed(ctx context.Context, scene trial.Scene, edited *board.Board) (*bool, error) {
	r, err := b.Rig(edited)
	if err != nil {
		return nil, ctx.Err()
	}
	e, err := scene.Enter(ctx, r, nil)
	if err != nil || !e.Flowed {
		return nil, ctx.Err()
	}
	lasts := math.IsNaN(e.Cut)
	return &lasts, nil
}
