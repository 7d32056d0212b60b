package study

import (
	"context"
	"fmt"

	"cupel/internal/dossier"
	"cupel/internal/elaborate"
	"cupel/internal/explain/potential"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
	"cupel/internal/trial/tolerance"
)

// corners is how many random corners the range of a voltage goes over. A net
// that three tolerances decide has its worst combination among them but for one
// case in six hundred: (7/8)^48.
const corners = 48

// span widens a map over corners of all tolerances, and says over what.
func span(ctx context.Context, d *dossier.Dossier, b potential.Bench, m *potential.Map, n int) (string, error) {
	if n == 0 {
		return "", nil
	}
	r, err := b.Rig(d.Board)
	if err != nil {
		return "", err
	}
	a := r.Can()
	off := potential.CellSpread(a)
	list := []potential.Corner{corner(d, tolerance.Set{}, a, -off), corner(d, tolerance.Set{}, a, off)}
	for i := range n {
		list = append(list, corner(d, tolerance.RandomCorner{Number: uint64(i)}, a, off*float64(2*(i%2)-1)))
	}
	s, err := b.Span(ctx, m, list)
	if err != nil || s.Boards == 1 {
		return "", err
	}
	text := fmt.Sprintf("%d boards with every tolerance at a random limit, cells between %.3g and %.3g V unless the state says otherwise, 25 °C",
		s.Boards, a.CellMiddle-s.Cells, a.CellMiddle+s.Cells)
	if s.Other > 0 {
		text += fmt.Sprintf("; %d more did not act as the nominal board does and do not count", s.Other)
	}
	if s.Failed > 0 {
		text += fmt.Sprintf("; %d could not be computed", s.Failed)
	}
	return text, nil
}

// corner is the board at a point of its tolerances,
// with cells off the middle.
func corner(d *dossier.Dossier, p tolerance.Point, a rig.Abilities, cells float64) potential.Corner {
	made := func(kelvin float64) (*elaborate.Circuit, error) {
		return tolerated(d, tolerance.Choice{Point: p}, kelvin)
	}
	return potential.Corner{Cells: cells, Rig: func() (rig.Rig, error) {
		return simulated.New(d.Board, made, simulated.Options{RatedAmps: rated(d.Claims.Claims), CellMiddle: a.CellMiddle + cells})
	}}
}
