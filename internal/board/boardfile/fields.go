package boardfile

import (
	"cupel/internal/board"
	"cupel/internal/evidence"
	"cupel/internal/finding/shape"
)

// The keys of the text. Reader and schema both take them from here.
var (
	boardFields = shape.Fields{
		{Name: "cupel", About: "version of this text", Needed: true, Is: shape.Whole(Version, Version)},
		{Name: "board", About: "short name, as in sluice-5s", Needed: true, Is: shape.Word()},
		{Name: "title", About: "what the board is, in a few words", Is: shape.Word()},
		{Name: "cells", About: "cells in series", Needed: true, Is: shape.Whole(1, MaxCells)},
		{Name: "pads", About: "pad to net: B-, B+, P-, P+, C-, taps T1, T2 … counted from the bottom, H1 …", Needed: true, Is: shape.Keyed(shape.Word())},
		{Name: "counted", About: "parts counted on the board before it was stripped, by the letters of their references: {R: 55, Q: 24}", Is: shape.Keyed(shape.Whole(0, maxCounted))},
		{Name: "parts", About: "reference to part", Needed: true, Is: shape.Keyed(partFields.Type())},
		{Name: "nets", About: "how far a net is known, where that is not 'assumed'", Is: shape.Keyed(netFields.Type())},
		{Name: "copper", About: "what carries the current besides the parts, for heat: board area, tracks, wires, strips", Is: copperFields.Type()},
	}

	partFields = shape.Fields{
		{Name: "sheet", About: "name of the part sheet", Is: shape.Word()},
		{Name: "value", About: "of a resistor, capacitor or inductor, with tolerance and ratings: 1 µF ±10 % 16 V X7R", Is: shape.Word()},
		{Name: "kind", About: "of a part with a value, where its reference does not begin with R, C or L", Is: shape.OneOf(board.Resistor, board.Capacitor, board.Inductor)},
		{Name: "size", About: "case size, as 0603", Is: shape.Word()},
		{Name: "count", About: "equal parts in parallel; 1 when absent", Is: shape.Whole(1, MaxCount)},
		{
			Name: "pins", About: "net of each pin: {g: gate, s: bminus} or in the sheet's order [a, b]; none where a pin is connected to nothing; absent before the part is rung out",
			Is: shape.Either(shape.Keyed(shape.Word()), shape.List(shape.Word())),
		},
	}

	netFields = shape.Fields{
		{Name: "grade", About: "how well it is supported", Needed: true, Is: shape.OneOf(evidence.Grades...)},
		{Name: "note", About: "why", Is: shape.Word()},
	}
)

// MaxCount is the most parts in parallel that one line may stand for.
const MaxCount = 100

// maxCounted is the most parts of one kind that a board is taken to have.
const maxCounted = 10_000

// handWritten is the grade of a net of which nothing else is said.
const handWritten = evidence.Assumed

// Schema is the JSON Schema of the text.
func Schema() []byte { return shape.Schema("Cupel board", boardFields.Type(), nil) }
