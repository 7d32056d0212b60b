package sheetfile

import (
	"cupel/internal/catalog"
	"cupel/internal/finding/shape"
)

// Schema is the JSON Schema of the text of a part sheet. It knows every key of
// every kind; which of them a kind has is for the reader to say.
func Schema() []byte {
	return shape.Schema("Cupel part sheet", sheetFields().Type(), shape.Defs{
		"figure": figureType(),
		"pads":   shape.Either(shape.Whole(1, mostPads), shape.List(shape.Whole(1, mostPads))),
	})
}

func sheetFields() shape.Fields {
	var kinds []string
	rules := map[string][]string{}
	var limits, figures, pins, ruleFields shape.Fields
	for _, t := range catalog.Kinds() {
		kinds = append(kinds, string(t.Kind))
		limits = merge(limits, fieldsOf(t.Limits, shape.Word())...)
		figures = merge(figures, fieldsOf(t.Figures, shape.Named("figure"))...)
		for _, p := range t.Pins {
			pins = merge(pins, shape.Field{Name: p.Name, About: p.Means, Is: shape.Named("pads")})
		}
		for _, r := range t.Rules {
			rules[r.Name] = union(rules[r.Name], r.Words)
			ruleFields = merge(ruleFields, shape.Field{Name: r.Name, About: r.Means})
		}
	}
	for i := range ruleFields {
		ruleFields[i].Is = shape.OneOf(rules[ruleFields[i].Name]...)
	}
	return shape.Fields{
		{Name: "cupel", About: "version of this text", Needed: true, Is: shape.Whole(Version, Version)},
		{Name: "sheet", About: "name of the sheet, and of its file", Needed: true, Is: shape.Word()},
		{Name: "kind", About: "kind of part", Needed: true, Is: shape.OneOf(kinds...)},
		{Name: "title", About: "what the part is, in a few words", Is: shape.Word()},
		{Name: "package", About: "housing", Is: shape.Fields{
			{Name: "name", About: "as SO-8", Needed: true, Is: shape.Word()},
			{Name: "pins", About: "pads of each pin", Needed: true, Is: pins.Type()},
		}.Type()},
		{Name: "limits", About: "absolute limits", Is: limits.Type()},
		{Name: "source", About: "source of every figure without one of its own", Is: shape.Word()},
		{Name: "figures", About: "figures, each with min/typ/max", Needed: true, Is: figures.Type()},
		{Name: "rules", About: "choices between named behaviours", Is: ruleFields.Type()},
		{Name: "curve", About: "a thermistor's resistance against temperature", Is: shape.Fields{
			{Name: "source", Needed: true, Is: shape.Word()},
			{Name: "points", Needed: true, Is: shape.Keyed(shape.Word())},
		}.Type()},
		{Name: "spread", About: "how a tolerance splits; the shares add to 1", Is: shape.Fields{
			{Name: "common to a lot", Needed: true, Is: shape.Number(0, 1)},
			{Name: "part to part", Needed: true, Is: shape.Number(0, 1)},
		}.Type()},
	}
}

func figureType() shape.Type {
	var at shape.Fields
	for _, c := range catalog.Conditions() {
		at = append(at, shape.Field{Name: c, Is: shape.Word()})
	}
	return shape.Either(shape.Word(), shape.Fields{
		{Name: "value", Needed: true, Is: shape.Word()},
		{Name: "at", About: "test condition", Is: at.Type()},
		{Name: "source", Is: shape.Word()},
	}.Type())
}

func fieldsOf(terms []catalog.Term, is shape.Type) []shape.Field {
	var out []shape.Field
	for _, t := range terms {
		out = append(out, shape.Field{Name: t.Name, About: t.Means, Is: is})
	}
	return out
}

// merge appends those fields whose names are not there yet.
func merge(have shape.Fields, add ...shape.Field) shape.Fields {
	names := have.Names()
	for _, f := range add {
		if !contains(names, f.Name) {
			have = append(have, f)
			names = append(names, f.Name)
		}
	}
	return have
}

// union appends those words that are not there yet.
func union(have, add []string) []string {
	for _, w := range add {
		if !contains(have, w) {
			have = append(have, w)
		}
	}
	return have
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
