package planner

import (
	"slices"
	"testing"

	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

// A game plays the ring-out of a board that is known, with a meter that errs
// only where it is told to.
type game struct {
	t      testing.TB
	sample *ringout.Sample
	truth  strip.Truth
	opt    Options
	// errs says of each reading whether the meter is wrong; nil never is.
	errs func() bool
	// before is called with every question before it is answered.
	before func(*ringout.Copper, Ask)

	copper *ringout.Copper
	wrong  int // readings
	log    []ringout.Entry
	found  int // touches until all joins were found, -1 if they never were
	// untried is how many pairs of nets no reading held apart when all joins were
	// found: the closing sweep by pairs.
	untried int
}

// demoBoard reads a demo board.
func demoBoard(t testing.TB, name string) (*board.Board, strip.Lookup) {
	t.Helper()
	tree, ok := demo.Tree(name)
	if !ok {
		t.Fatalf("no demo board %s", name)
	}
	d, findings := dossier.Read(tree)
	if d == nil {
		t.Fatal(findings)
	}
	return d.Board, d.Sheets.Sheet
}

// nets counts the nets of a truth; a pin that is left open is one alone.
func nets(truth strip.Truth) int {
	seen, open := map[board.NetID]bool{}, 0
	for _, n := range truth {
		if n == board.NoNet {
			open++
		} else {
			seen[n] = true
		}
	}
	return len(seen) + open
}

// play asks until all joins are found, or with toEnd until nothing is left to
// ask.
func (g *game) play(toEnd bool) {
	g.copper = ringout.NewCopper(g.sample, ringout.Rules{})
	p, want := New(g.sample, g.opt), nets(g.truth)
	g.found = -1
	for len(g.log) < 50*len(g.sample.Pads) {
		if g.found < 0 && len(g.copper.Roots()) == want {
			g.found, g.untried = ringout.Touches(g.log), g.copper.Coverage().Untried+len(g.copper.Assumptions())
		}
		if g.found >= 0 && !toEnd {
			return
		}
		a, ok := p.Next(g.copper)
		if !ok {
			return
		}
		if g.before != nil {
			g.before(g.copper, a)
		}
		g.answer(a)
	}
	g.t.Errorf("not finished after %d questions", len(g.log))
}

// answer measures what is asked. Of a sweep that beeps, what was open comes as a
// sweep of its own.
func (g *game) answer(a Ask) {
	var open []int
	beeps := false
	lies := g.errs != nil && g.errs()
	if lies {
		g.wrong++
	}
	for _, b := range a.B {
		same := g.truth[a.A] == g.truth[b] && g.truth[a.A] != board.NoNet
		beeps = beeps || same
		switch {
		case a.Kind != ringout.Sweep:
		case same:
			g.add(ringout.Pair, a.A, []int{b}, true)
		default:
			open = append(open, b)
		}
	}
	switch {
	case a.Kind != ringout.Sweep:
		g.add(a.Kind, a.A, a.B, beeps != lies)
	case len(open) > 0:
		g.add(ringout.Sweep, a.A, open, false)
	}
}

func (g *game) add(kind ringout.EntryKind, a int, b []int, beeps bool) {
	g.t.Helper()
	e := ringout.Entry{Number: len(g.log) + 1, Kind: kind, A: g.sample.Pads[a].Name, Result: ringout.Open}
	if beeps {
		e.Result = ringout.Connected
	}
	for _, x := range b {
		e.B = append(e.B, g.sample.Pads[x].Name)
	}
	g.log = append(g.log, e)
	if err := g.copper.Add(e); err != nil {
		g.t.Fatal(err)
	}
}

// right reports whether what is joined is what is joined in truth.
func (g *game) right() bool {
	net := map[int]board.NetID{}
	for i, n := range g.truth {
		r := g.copper.Net(i)
		if first, ok := net[r]; ok && (first != n || n == board.NoNet) {
			return false
		}
		net[r] = n
	}
	return len(net) == nets(g.truth)
}

// asked lists the questions in order, as the log has them but for the answers.
func (g *game) asked() [][]string {
	var out [][]string
	for _, e := range g.log {
		out = append(out, slices.Concat([]string{string(e.Kind), e.A}, e.B))
	}
	return out
}
