package shape_test

import (
	"testing"

	"cupel/internal/finding/shape"
	"cupel/internal/finding/shape/shapetest"

	yaml "go.yaml.in/yaml/v4"
)

var menu = shape.Fields{
	{Name: "name", About: "what it is called", Needed: true, Is: shape.Word()},
	{Name: "count", Is: shape.Whole(1, 9)},
	{Name: "grade", Is: shape.OneOf("proven", "assumed")},
	{Name: "hot", Is: shape.Flag()},
	{Name: "size", Is: shape.Named("size")},
	{Name: "share", Is: shape.Number(0, 1)},
	{Name: "pins", Is: shape.Either(shape.List(shape.Word()), shape.Keyed(shape.Word()))},
}

func TestSchemaJudgesTexts(t *testing.T) {
	schema := shape.Schema("menu", menu.Type(), shape.Defs{"size": shape.Whole(1, 3)})
	for _, c := range []struct {
		text string
		bad  int
	}{
		{"{name: a}", 0},
		{"{name: 7, count: 9, grade: proven, hot: true, share: 0.5, pins: [a, 1]}", 0},
		{"{name: a, pins: {g: x}}", 0},
		{"{count: 1}", 1},                    // no name
		{"{name: a, cuont: 1}", 1},           // unknown key
		{"{name: a, count: 10}", 1},          // out of range
		{"{name: a, count: 1.5}", 1},         // not whole
		{"{name: a, grade: good}", 1},        // unknown word
		{"{name: a, size: 4}", 1},            // out of range by name
		{"{name: a, hot: 1}", 1},             // not a flag
		{"{name: a, pins: {g: [x]}}", 2},     // fits neither
		{"{name: [a], count: x, hot: 2}", 3}, // all are told
	} {
		var v any
		if err := yaml.Unmarshal([]byte(c.text), &v); err != nil {
			t.Fatal(err)
		}
		if bad := shapetest.Check(schema, v); len(bad) != c.bad {
			t.Errorf("%s: %q, want %d mistakes", c.text, bad, c.bad)
		}
	}
}

func TestNames(t *testing.T) {
	if n := menu.Names(); len(n) != 7 || n[0] != "name" || n[6] != "pins" {
		t.Errorf("names %q", n)
	}
	if n := menu.Needed(); len(n) != 1 || n[0] != "name" {
		t.Errorf("needed %q", n)
	}
}
