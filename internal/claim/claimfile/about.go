package claimfile

import (
	"strings"

	"cupel/internal/claim"
	"cupel/internal/finding/shape"
	"cupel/internal/finding/text"
	"cupel/internal/protection"
	"cupel/internal/quantity"
)

// most bounds what is counted: FETs in parallel, boards a table was made from.
const most = 10000

// about reads what is stated beside the figures.
func (r *reader) about(v text.Value) claim.About {
	if !v.Given() {
		return claim.About{}
	}
	m := v.Map().Fields(aboutFields.Names()...)
	return claim.About{
		Cells:         count(m.Get("cells"), maxCells),
		Chemistry:     word(m.Get("chemistry"), claim.Chemistries),
		Size:          size(m.Get("size")),
		Sensed:        fact(m.Get("sensed"), quantity.Resistance),
		FETs:          count(m.Get("fets"), most),
		Fuse:          fact(m.Get("fuse"), quantity.Current),
		BleedResistor: fact(m.Get("bleed_resistor"), quantity.Resistance),
		BleedRating:   fact(m.Get("bleed_rating"), quantity.Power),
		Storage:       fact(m.Get("storage"), quantity.Time),
		Reserve:       fact(m.Get("reserve"), quantity.Charge),
		ChargeDrop:    fact(m.Get("charge_drop"), quantity.Voltage),
		Samples:       count(m.Get("samples"), most),
		Cell:          cellLimits(m.Get("cell")),
		Release:       releases(m.Get("release")),
	}
}

func cellLimits(v text.Value) claim.CellLimits {
	if !v.Given() {
		return claim.CellLimits{}
	}
	m := v.Map().Fields(cellFields.Names()...)
	return claim.CellLimits{
		Highest:   fact(m.Get("highest"), quantity.Voltage),
		Lowest:    fact(m.Get("lowest"), quantity.Voltage),
		Discharge: fact(m.Get("discharge"), quantity.Current),
		Charge:    fact(m.Get("charge"), quantity.Current),
	}
}

// releases reads how each protection comes back.
func releases(v text.Value) map[protection.Trial]claim.Word {
	if !v.Given() {
		return nil
	}
	out := map[protection.Trial]claim.Word{}
	m := v.Map().Fields(releaseFields.Names()...)
	for _, t := range claim.Released {
		if w := word(m.Get(string(t)), claim.Releases); w.Text != "" {
			out[t] = w
		}
	}
	return out
}

// fact reads a quantity as it is stated, its limits in order or not.
func fact(v text.Value, d quantity.Dimension) claim.Fact {
	if !v.Given() {
		return claim.Fact{}
	}
	return claim.Fact{Value: v.Stated(d), Place: v.Place()}
}

func count(v text.Value, most int) claim.Count {
	if !v.Given() {
		return claim.Count{}
	}
	return claim.Count{N: v.IntIn(1, most), Place: v.Place()}
}

func word(v text.Value, valid []string) claim.Word {
	if !v.Given() {
		return claim.Word{}
	}
	return claim.Word{Text: v.OneOf(valid...), Place: v.Place()}
}

// size reads "60 × 41 mm": two lengths, the unit at least behind the second.
func size(v text.Value) claim.Size {
	written := v.Text()
	if written == "" {
		return claim.Size{}
	}
	sides := strings.FieldsFunc(written, func(r rune) bool { return strings.ContainsRune("×xX*", r) })
	if len(sides) != 2 {
		v.Fail(NotTwoSides, "write length and width, as in: 60 × 41 mm", "size: %q is not two lengths", written)
		return claim.Size{}
	}
	width, err := quantity.Parse(sides[1], quantity.Length)
	if err != nil {
		v.Fail(NotTwoSides, "write length and width, as in: 60 × 41 mm", "size: %q: %v", written, err)
		return claim.Size{}
	}
	length, err := quantity.Parse(sides[0], quantity.Length)
	if err != nil { // the unit stands behind the second side only
		length, err = quantity.Parse(sides[0]+unit(sides[1]), quantity.Length)
	}
	if err != nil || !(length.Nominal() > 0 && width.Nominal() > 0) {
		v.Fail(NotTwoSides, "write length and width, as in: 60 × 41 mm", "size: %q is not two lengths", written)
		return claim.Size{}
	}
	return claim.Size{Length: length.Nominal(), Width: width.Nominal(), Text: written, Place: v.Place()}
}

// unit is what stands behind the digits of one side.
func unit(side string) string {
	return " " + strings.TrimLeft(side, "0123456789., ")
}

// The keys of the section about the board and its cells.
var (
	aboutFields = shape.Fields{
		{Name: "cells", About: "cells in series", Is: shape.Whole(1, maxCells)},
		{Name: "chemistry", About: "of the cells it is sold for", Is: shape.OneOf(claim.Chemistries...)},
		{Name: "size", About: "length and width of the board: 60 × 41 mm", Is: shape.Word()},
		{Name: "sensed", About: "resistance between B− and the sense input: the shunt, or what cs sees of the path", Is: shape.Word()},
		{Name: "fets", About: "FETs in parallel in each bank", Is: shape.Whole(1, most)},
		{Name: "fuse", About: "current of the fuse", Is: shape.Word()},
		{Name: "bleed_resistor", About: "what the balance resistors are marked with: 43 Ω", Is: shape.Word()},
		{Name: "bleed_rating", About: "what one of them may burn: 1 W", Is: shape.Word()},
		{Name: "storage", About: "how long the pack is said to keep: 6 months, 180 d", Is: shape.Word()},
		{Name: "reserve", About: "what the cells may lose in that time: 100 mA·h", Is: shape.Word()},
		{Name: "charge_drop", About: "voltage lost between charger and cells, as in a diode: 0.6 V", Is: shape.Word()},
		{Name: "samples", About: "how many boards the figures were taken from", Is: shape.Whole(1, most)},
		{Name: "cell", About: "limits set by the maker of the cells", Is: cellFields.Type()},
		{Name: "release", About: "how each protection comes back", Is: releaseFields.Type()},
	}

	cellFields = shape.Fields{
		{Name: "highest", About: "voltage no cell may pass", Is: shape.Word()},
		{Name: "lowest", About: "voltage no cell may fall below", Is: shape.Word()},
		{Name: "discharge", About: "largest discharge current of all cells in parallel", Is: shape.Word()},
		{Name: "charge", About: "largest charge current of all cells in parallel", Is: shape.Word()},
	}

	releaseFields = releasedFields()
)

func releasedFields() shape.Fields {
	var out shape.Fields
	for _, t := range claim.Released {
		out = append(out, shape.Field{Name: string(t), Is: shape.OneOf(claim.Releases...)})
	}
	return out
}
