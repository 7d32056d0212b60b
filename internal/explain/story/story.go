// Package story tells how a protection acts: which part did what, when and at
// what voltage, from the stimulus to the bank that is off.
//
// The chain is found from a simulation of the trip. The flags of the ICs say who
// decided. The nets that changed, and when they passed half of their change, say
// what followed; nets that stay where they are, as taps and supplies, carry no
// signal. The chain is the shortest way, along parts and through nets that
// changed, from an output of the part that decided to the gates of the bank. Then
// each part of it is taken out and the trip tried again: a link without which the
// board still cuts was not needed.
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
	// cannot be told: taken out, it leaves no current to cut.
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
	parts := s.follow(b, e, nets)
	return s, b.check(ctx, &s, scene, parts)
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

// follow adds what followed, and returns the part behind each step, −1 for none.
func (s *Story) follow(b Bench, e trial.Entered, nets []board.NetID) []int {
	parts := []int{-1}
	add := func(part int, step Step) {
		s.Steps, parts = append(s.Steps, step), append(parts, part)
	}
	by, ok := decided(b.Board, e)
	if !ok {
		s.Broken = "no IC set a flag before the cut: what cut is not known"
		return parts
	}
	tr := newTrace(b, e, nets, by.time)
	add(by.part, Step{Time: by.time, At: b.Board.Parts[by.part].Ref, What: by.what, Value: math.NaN()})
	g := pattern.NewGraph(b.Board, b.Sheets)
	_, labels := pattern.Recognise(g, pattern.Library())
	way := tr.way(g, by, tr.gates(g, labels, e.Port))
	if way == nil {
		s.Broken = "no way along nets that changed leads from " + b.Board.Parts[by.part].Ref + " to the gates of a bank"
	}
	for _, h := range way {
		add(h.part, tr.step(b, g, h))
	}
	add(-1, Step{Time: e.Cut, At: e.Port + " bank", What: "off", Value: math.NaN(), Needed: yes()})
	return parts
}

func yes() *bool {
	b := true
	return &b
}

// check takes the part behind each step out and tries the trip again.
func (b Bench) check(ctx context.Context, s *Story, scene trial.Scene, parts []int) error {
	known := map[int]*bool{}
	for i, part := range parts {
		if part < 0 {
			continue
		}
		if _, ok := known[part]; !ok {
			needed, err := b.needed(ctx, scene, part)
			if err != nil {
				return err
			}
			known[part] = needed
		}
		s.Steps[i].Needed = known[part]
	}
	return nil
}

// needed reports whether the board without a part no longer cuts; nil where
// that board lets no current through, or finds no rest.
func (b Bench) needed(ctx context.Context, scene trial.Scene, part int) (*bool, error) {
	r, err := b.Rig(fault.Apply(b.Board, fault.Fault{Kind: fault.Open, Part: part}))
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
