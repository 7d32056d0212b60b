package boardfile

import (
	"cupel/internal/board"
	"cupel/internal/finding/shape"
	"cupel/internal/finding/text"
	"cupel/internal/quantity"
)

var (
	copperFields = shape.Fields{
		{Name: "area", About: "of the board, one side, as 24.6 cm²", Is: shape.Word()},
		{Name: "thickness", About: "of the foil, as 35 µm", Is: shape.Word()},
		{Name: "layers", About: "of foil", Is: shape.Whole(1, MaxLayers)},
		{Name: "cover", About: "share of the board that each layer's foil covers, as 60 %", Is: shape.Word()},
		{Name: "path", About: "stretches of foil in the path of the current, in a row", Is: shape.List(trackFields.Type())},
		{Name: "wires", About: "copper wires in the path of the current, in a row", Is: shape.List(wireFields.Type())},
		{Name: "strips", About: "strips in the path of the current, in a row", Is: shape.List(stripFields.Type())},
	}

	trackFields = shape.Fields{
		{Name: "name", About: "what it is called", Is: shape.Word()},
		{Name: "width", About: "as 12 mm", Needed: true, Is: shape.Word()},
		{Name: "length", About: "as 40 mm", Needed: true, Is: shape.Word()},
		{Name: "thickness", About: "of its foil, where it is not the board's", Is: shape.Word()},
		{Name: "layer", About: "outer when absent", Is: shape.OneOf(outer, inner)},
		{Name: "parallel", About: "as many side by side, or on several layers; 1 when absent", Is: shape.Whole(1, MaxCount)},
	}

	wireFields = shape.Fields{
		{Name: "name", About: "what it is called", Is: shape.Word()},
		{Name: "awg", About: "American wire gauge, 0 for 1/0, -3 for 4/0", Is: shape.Whole(thickestAWG, thinnestAWG)},
		{Name: "area", About: "cross section of copper, as 2.5 mm², where no gauge is given", Is: shape.Word()},
		{Name: "length", About: "there and back, as 40 cm", Needed: true, Is: shape.Word()},
		{Name: "limit", About: "what its insulation stands, as 105 °C", Is: shape.Word()},
		{Name: "parallel", About: "as many side by side; 1 when absent", Is: shape.Whole(1, MaxCount)},
	}

	stripFields = shape.Fields{
		{Name: "name", About: "what it is called", Is: shape.Word()},
		{Name: "material", About: "a magnet does not tell nickel from plated steel", Needed: true, Is: shape.OneOf(board.Metals...)},
		{Name: "width", About: "as 8 mm", Needed: true, Is: shape.Word()},
		{Name: "thickness", About: "as 0.15 mm", Needed: true, Is: shape.Word()},
		{Name: "length", About: "of all in a row, as 120 mm", Needed: true, Is: shape.Word()},
		{Name: "parallel", About: "as many side by side; 1 when absent", Is: shape.Whole(1, MaxCount)},
	}
)

const (
	outer, inner             = "outer", "inner"
	thickestAWG, thinnestAWG = -3, 40 // the gauges of ASTM B258, from memory
)

// MaxLayers is the most layers of foil that a board can have.
const MaxLayers = 16

func (r *reader) readCopper(v text.Value) {
	if !v.IsMap() {
		v.Map() // says what is there instead
		return
	}
	m := v.Map().Fields(copperFields.Names()...)
	c := &board.Copper{
		Area: size(m.Get("area"), quantity.Area), Thickness: size(m.Get("thickness"), quantity.Length),
		Cover: size(m.Get("cover"), quantity.Ratio),
	}
	if c.Cover.Given() && c.Cover.High() > 1 {
		m.Get("cover").Fail(NotPositive, "write a share of the board of at most 100 %", "the foil covers more than the board")
		c.Cover = quantity.Absent(quantity.Ratio)
	}
	if v := m.Get("layers"); v.Given() {
		c.Layers = v.IntIn(1, MaxLayers)
	}
	for _, e := range entries(m.Get("path")) {
		c.Path = append(c.Path, track(e))
	}
	for _, e := range entries(m.Get("wires")) {
		c.Wires = append(c.Wires, wire(e))
	}
	for _, e := range entries(m.Get("strips")) {
		c.Strips = append(c.Strips, strip(e))
	}
	r.board.Copper = c
}

// entries are the maps of a list.
func entries(v text.Value) []text.Map {
	var out []text.Map
	for _, e := range v.List() {
		out = append(out, e.Map())
	}
	return out
}

// size reads a quantity that must be above zero.
func size(v text.Value, d quantity.Dimension) quantity.Quantity {
	if !v.Given() {
		return quantity.Absent(d)
	}
	q := v.Quantity(d)
	if q.Given() && !(q.Low() > 0) {
		v.Fail(NotPositive, "write how much it is, or delete the entry", "a size of zero or less")
		return quantity.Absent(d)
	}
	return q
}

func track(m text.Map) board.Track {
	m.Fields(trackFields.Names()...)
	return board.Track{
		Name: label(m), Width: size(m.Need("width"), quantity.Length), Length: size(m.Need("length"), quantity.Length),
		Thickness: size(m.Get("thickness"), quantity.Length), Parallel: parallel(m),
		Inner: m.Get("layer").Given() && m.Get("layer").OneOf(outer, inner) == inner,
	}
}

func wire(m text.Map) board.Wire {
	m.Fields(wireFields.Names()...)
	w := board.Wire{
		Name: label(m), Area: size(m.Get("area"), quantity.Area), Length: size(m.Need("length"), quantity.Length),
		Limit: quantity.Absent(quantity.Temperature), Parallel: parallel(m),
	}
	if v := m.Get("limit"); v.Given() {
		w.Limit = v.Quantity(quantity.Temperature)
	}
	gauge := m.Get("awg")
	if gauge.Given() {
		w.AWG = gauge.IntIn(thickestAWG, thinnestAWG)
	}
	if gauge.Given() == m.Has("area") && m.Len() > 0 {
		m.Value().Fail(NoSection, "write either awg: 14 or area: 2.5 mm²", "a wire needs its gauge or its cross section, and one of them")
	}
	return w
}

func strip(m text.Map) board.Strip {
	m.Fields(stripFields.Names()...)
	s := board.Strip{
		Name: label(m), Width: size(m.Need("width"), quantity.Length), Thickness: size(m.Need("thickness"), quantity.Length),
		Length: size(m.Need("length"), quantity.Length), Parallel: parallel(m),
	}
	var words []string
	for _, metal := range board.Metals {
		words = append(words, string(metal))
	}
	if v := m.Need("material"); v.Given() {
		s.Material = board.Metal(v.OneOf(words...))
	}
	return s
}

func label(m text.Map) string {
	if v := m.Get("name"); v.Given() {
		return v.Text()
	}
	return ""
}

func parallel(m text.Map) int {
	if v := m.Get("parallel"); v.Given() {
		return max(1, v.IntIn(1, MaxCount))
	}
	return 1
}
