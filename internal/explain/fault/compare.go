package fault

import (
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial"
)

// Effect is one thing that a fault takes away or changes.
type Effect struct {
	Trial protection.Trial
	Cell  int    // 0: of no one cell
	Port  string // of a direction
	State string // of the board: "idle", "full", "hot"; empty for a trip
	What  string // "cut", "delay", "release", "direction", "bleed", …
	Word  string // what it is now: "not cut", "open", "early"
}

// Result is what a fault does.
type Result struct {
	Lost    []Effect
	Changed []Effect
	Shows   bool     // a check of normal use shows it
	Unseen  bool     // a check of normal use could not be computed: it may show it
	Floats  []string // nets that nothing holds and that control something
	Shorted bool     // a cell is shorted: nothing was simulated
	Failed  string   // why something could not be computed
}

// Silent reports whether the fault has an effect, and everyday use was tried
// through and does not show it.
func (r Result) Silent() bool { return !r.Shows && !r.Unseen && len(r.Lost)+len(r.Changed) > 0 }

// Safe reports whether every protection is still there, or the current it would
// cut can no longer flow.
func (r Result) Safe() bool {
	return len(r.Lost) == 0 && len(r.Floats) == 0 && !r.Shorted && r.Failed == ""
}

// None reports whether nothing was found to differ.
func (r Result) None() bool {
	return len(r.Lost)+len(r.Changed)+len(r.Floats) == 0 && !r.Shorted && r.Failed == ""
}

// How far figures may differ and count as the same; our own choice, twice and
// more what the tolerances of the generic sheets make.
const (
	sameDelay = 1.5
	sameShort = 2.0 // of a short's time to off
	sameDrop  = 1.15
	sameDrain = 1.3
	sameBleed = 1.2
	leastAmps = 0.5e-6 // A of drain that count
)

// Compare says what the checks of a faulted board lack against the whole one.
func Compare(whole, faulted []trial.Check) Result {
	now := map[string]trial.Check{}
	for _, c := range faulted {
		now[c.Key()] = c
	}
	r := Result{}
	for _, w := range whole {
		f, ok := now[w.Key()]
		if !ok {
			if w.What != trial.LooksRelease && w.What != trial.LooksDrop {
				r.Failed = "not every check could be computed"
				r.Unseen = r.Unseen || w.Normal
			}
			continue
		}
		r.compare(w, f)
	}
	return r
}

// compare adds what one check shows.
func (r *Result) compare(w, f trial.Check) {
	e := Effect{Trial: w.Trial, Cell: w.Cell, Port: w.Port, State: w.State, What: w.What, Word: f.Word}
	lost, changed := false, f.Word != w.Word
	switch w.What {
	case trial.LooksCut:
		lost, changed = cut(w, f, &e)
	case trial.LooksDirection:
		lost = w.Trial == protection.Temperature && w.Word == "open" && (f.Word == "on" || f.Word == "diode")
	case trial.LooksBleed:
		lost = w.Word == trial.Bleeds && f.Word == trial.Quiet
		if w.Word == f.Word && w.Word == trial.Bleeds {
			changed = further(w.Value, f.Value, sameBleed, 0)
		}
	case trial.LooksDrop:
		changed = further(w.Value, f.Value, sameDrop, 0)
	case trial.LooksDrain:
		changed = further(w.Value, f.Value, sameDrain, leastAmps)
	}
	if e.Word == "" || w.Word == f.Word && w.What == trial.LooksBleed {
		e.Word = more(w.Value, f.Value, "higher", "lower")
	}
	switch {
	case lost:
		r.Lost = append(r.Lost, e)
	case changed:
		r.Changed = append(r.Changed, e)
	}
	r.Shows = r.Shows || w.Normal && f.Word != w.Word
}

// cut compares how a direction answered a stimulus. One that was open before is
// no loss: no current flows that would have to be cut. It shows as a changed
// direction elsewhere.
func cut(w, f trial.Check, e *Effect) (lost, changed bool) {
	if f.Word == trial.CutNotReady || w.Word == trial.CutNotReady {
		return false, false
	}
	if w.Word != f.Word {
		return f.Word == trial.CutNot, f.Word != trial.CutNot
	}
	same := sameDelay
	if w.Trial == protection.LoadShort {
		same = sameShort
	}
	e.What, e.Word = "delay", more(w.Value, f.Value, "longer", "shorter")
	return false, further(w.Value, f.Value, same, 0)
}

func more(was, is float64, up, down string) string {
	if is < was {
		return down
	}
	return up
}

// further reports whether a figure differs by more than a factor, or more than
// least.
func further(a, b, factor, least float64) bool {
	if math.IsNaN(a) || math.IsNaN(b) || math.Abs(a-b) <= least {
		return false
	}
	return math.Abs(b) > factor*math.Abs(a) || math.Abs(b)*factor < math.Abs(a)
}
