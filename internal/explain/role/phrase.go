package role

import (
	"fmt"
	"slices"
	"strings"

	"cupel/internal/explain/fault"
	"cupel/internal/protection"
	"cupel/internal/trial"
)

// Phrase says what a fault does. Two results that differ have two phrases.
func Phrase(r fault.Result) string {
	var parts []string
	switch {
	case r.Shorted:
		return "a cell is shorted"
	case r.Failed != "":
		parts = append(parts, "not everything could be computed ("+r.Failed+")")
	case r.None():
		return "nothing is missed in any trial at 25 °C"
	}
	for _, g := range group(r.Lost) {
		parts = append(parts, lost(g))
	}
	for _, g := range group(r.Changed) {
		parts = append(parts, changed(g))
	}
	if len(r.Floats) > 0 {
		parts = append(parts, fmt.Sprintf("%s floats and may go either way", strings.Join(r.Floats, ", ")))
	}
	s := strings.Join(parts, ", ")
	switch {
	case r.Silent():
		return s + ", and nothing shows it in normal use"
	case r.Unseen && !r.Shows:
		return s + ", and whether normal use shows it could not be computed"
	case r.Shows:
		return s + ", which normal use shows"
	}
	return s
}

// groups are effects that differ in cell or in the state of the board alone.
type effects struct {
	fault.Effect
	cells  []int
	states []string
}

func group(es []fault.Effect) []*effects {
	var out []*effects
	for _, e := range es {
		key := e
		key.Cell, key.State = 0, ""
		i := slices.IndexFunc(out, func(g *effects) bool {
			k := g.Effect
			k.Cell, k.State = 0, ""
			return k == key && (g.Effect.Cell == 0) == (e.Cell == 0)
		})
		if i < 0 {
			out = append(out, &effects{Effect: e})
			i = len(out) - 1
		}
		if e.Cell > 0 && !slices.Contains(out[i].cells, e.Cell) {
			out[i].cells = append(out[i].cells, e.Cell)
		}
		if e.State != "" && !slices.Contains(out[i].states, e.State) {
			out[i].states = append(out[i].states, e.State)
		}
	}
	return out
}

// who is the cells of a group: "cell 4", "cells 1, 2 and 5", "cells 1 to 5".
func (g *effects) who() string {
	n := len(g.cells)
	switch {
	case n == 0:
		return "the board"
	case n == 1:
		return fmt.Sprintf("cell %d", g.cells[0])
	case n > 2 && g.cells[n-1]-g.cells[0] == n-1:
		return fmt.Sprintf("cells %d to %d", g.cells[0], g.cells[n-1])
	}
	words := make([]string, n)
	for i, k := range g.cells {
		words[i] = fmt.Sprint(k)
	}
	return "cells " + strings.Join(words[:n-1], ", ") + " and " + words[n-1]
}

// lost says what a lost protection means.
func lost(g *effects) string {
	switch g.Trial {
	case protection.Overdischarge:
		return g.who() + " can be emptied with no cut-off"
	case protection.Overcharge:
		return g.who() + " can be overcharged with no cut-off"
	case protection.DischargeOvercurrent:
		return "an overcurrent is not cut"
	case protection.ChargeOvercurrent:
		return "too much charge current is not cut"
	case protection.LoadShort:
		return "a short is not cut"
	case protection.Balance:
		return g.who() + is(g) + "no longer bled"
	case protection.Temperature:
		return fmt.Sprintf("the %s direction stays %s when %s", g.Port, g.Word, strings.Join(g.states, " or "))
	}
	return fmt.Sprintf("%s of %s is lost", g.Trial.Label(), g.who())
}

func is(g *effects) string {
	if len(g.cells) > 1 {
		return " are "
	}
	return " is "
}

// changed says what else is different.
func changed(g *effects) string {
	at := ""
	if len(g.states) > 0 {
		at = " (" + strings.Join(g.states, ", ") + ")"
	}
	switch g.What {
	case trial.LooksDirection:
		return fmt.Sprintf("the %s direction is %s%s", g.Port, g.Word, at)
	case trial.LooksCut:
		return fmt.Sprintf("%s of %s: %s", g.Trial.Label(), g.who(), g.Word)
	case "delay":
		return fmt.Sprintf("%s of %s is cut after a %s time", g.Trial.Label(), g.who(), g.Word)
	case trial.LooksRelease:
		return fmt.Sprintf("after %s of %s the %s direction %s", g.Trial.Label(), g.who(), g.Port,
			map[string]string{trial.Stays: "does not come back", trial.Released: "comes back"}[g.Word])
	case trial.LooksBleed:
		return fmt.Sprintf("the bleed of %s is %s%s", g.who(), g.Word, at)
	case trial.LooksDrop:
		return fmt.Sprintf("the path's resistance is %s", g.Word)
	case trial.LooksDrain:
		return fmt.Sprintf("the drain of %s at rest is %s", g.who(), g.Word)
	case trial.LooksWake:
		return map[string]string{"yes": "a charger must wake the board", "no": "no charger need wake the board"}[g.Word]
	}
	return fmt.Sprintf("%s of %s: %s %s%s", g.Trial.Label(), g.who(), g.What, g.Word, at)
}
