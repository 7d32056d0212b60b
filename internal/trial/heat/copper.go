package heat

import (
	"fmt"
	"math"

	"cupel/internal/board"
	"cupel/internal/conductor"
	"cupel/internal/evidence"
	"cupel/internal/quantity"
)

// The path of a board that states none: four squares of ounce copper, some 2 mΩ.
// Common practice, no source.
var (
	pathLength = quantity.Quantity{Dim: quantity.Length, Min: 40e-3, Typ: 60e-3, Max: 80e-3}
	pathWidth  = guessed(quantity.Length, 15e-3, 1.5)
)

// conductors are the spots of copper, wires and strips.
func (m *maker) conductors() []spot {
	c := m.board.Copper
	if c == nil {
		c = &board.Copper{Thickness: quantity.Absent(quantity.Length)}
	}
	var out []spot
	for i, t := range c.Path {
		out = append(out, m.track(label(t.Name, "track", i), t, stated(c.Thickness, foil), evidence.Stated))
	}
	if len(c.Path) == 0 {
		out = append(out, m.track("copper path", board.Track{
			Width: pathWidth, Length: pathLength, Thickness: quantity.Absent(quantity.Length), Parallel: 1,
		}, stated(c.Thickness, foil), evidence.AssumedHere))
		m.assume("copper path %.0f mm long (%.0f to %.0f) and %.0f mm wide (%.0f to %.0f): the board states none",
			pathLength.Typ*1e3, pathLength.Min*1e3, pathLength.Max*1e3, pathWidth.Typ*1e3, pathWidth.Min*1e3, pathWidth.Max*1e3)
	}
	for i, w := range c.Wires {
		out = append(out, m.wire(label(w.Name, "wire", i), w))
	}
	for i, s := range c.Strips {
		out = append(out, m.strip(label(s.Name, "strip", i), s))
	}
	if len(c.Wires)+len(c.Strips) == 0 {
		m.assume("no wire or strip is stated: none is counted")
	}
	m.assume("copper is not in what the protector senses")
	return out
}

// label is the name of a conductor, or its kind and number.
func label(name, kind string, i int) string {
	if name != "" {
		return name
	}
	return fmt.Sprintf("%s %d", kind, i+1)
}

// track is foil: its own rise over the board is that of the fit to the chart of
// IPC-2221. The chart's tracks lay alone, so the rise of the board comes on top.
func (m *maker) track(name string, t board.Track, thickness quantity.Quantity, basis evidence.Basis) spot {
	if !t.Thickness.Given() && (m.board.Copper == nil || !m.board.Copper.Thickness.Given()) && basis == evidence.Stated {
		m.assume("foil of %.3g µm (%.3g to %.3g)", foil.Typ*1e6, foil.Min*1e6, foil.Max*1e6)
		basis = evidence.AssumedHere
	}
	if !m.cooling.stated {
		basis = evidence.AssumedHere
	}
	thick := m.view.better(stated(t.Thickness, thickness))
	piece := conductor.Track(m.view.better(t.Width), thick, m.view.worse(t.Length))
	layer := conductor.Outer
	if t.Inner {
		layer = conductor.Inner
	}
	share := 1 / float64(t.Parallel)
	return spot{
		name: name, kind: CopperIn, piece: piece, share: share, limit: laminateMost, most: math.Inf(1), basis: basis,
		rise:  func(amps float64) float64 { return layer.Rise(share*amps, piece.Area) },
		newer: func(amps float64) float64 { return conductor.NewerRise(share*amps, piece.Area) },
		width: piece.Area / thick,
	}
}

func (m *maker) wire(name string, w board.Wire) spot {
	area := conductor.Gauge(w.AWG).Area()
	if w.Area.Given() {
		area = m.view.better(w.Area)
	}
	s := m.beside(name, WireIn, conductor.Wire(area, m.view.worse(w.Length)), w.Parallel, insulationMost)
	if w.Limit.Given() {
		s.limit = w.Limit.Nominal()
	} else {
		m.assume("insulation of %s stands %.0f °C", name, insulationMost-zeroCelsius)
	}
	return s
}

// beside is a conductor that gives its heat to the air alone.
func (m *maker) beside(name, kind string, p conductor.Piece, parallel int, limit float64) spot {
	m.assume("wires and strips cooled with %.3g W/(m²·K) (%.3g to %.3g), lying free", bareFilm.Typ, bareFilm.Min, bareFilm.Max)
	n := float64(parallel)
	return spot{
		name: name, kind: kind, piece: p, share: 1 / n, own: p.KelvinPerWatt(m.view.better(bareFilm)) / n, off: true,
		limit: limit, most: math.Inf(1), basis: evidence.AssumedHere,
	}
}

// plating is the nickel on a face of plated steel; common practice, no source.
const plating = 3e-6 // m

func (m *maker) strip(name string, s board.Strip) spot {
	width, thick, length := m.view.better(s.Width), m.view.better(s.Thickness), m.view.worse(s.Length)
	var p conductor.Piece
	switch s.Material {
	case board.Nickel:
		p = conductor.Strip(conductor.Nickel, width, thick, length)
	case board.PlatedSteel:
		p = conductor.PlatedSteel(width, thick, math.Min(plating, thick/4), length)
	default:
		p = conductor.Strip(conductor.Copper, width, thick, length)
	}
	p.Material.Resistivity = m.view.worse(quantity.Quantity{
		Min: p.Material.Least, Typ: p.Material.Resistivity, Max: p.Material.Most,
	})
	m.assume("strips stand %.0f °C on a cell", stripMost-zeroCelsius)
	return m.beside(name, StripIn, p, s.Parallel, stripMost)
}

// watts is the loss of a conductor at a current and a temperature.
func (s *spot) watts(amps, kelvin float64) float64 {
	return s.share * amps * amps * s.piece.Ohms(kelvin)
}
