package claimfile

import (
	"cupel/internal/claim"
	"cupel/internal/finding/shape"
	"cupel/internal/protection"
)

// maxCells bounds the cell of a figure where the board is not known.
const maxCells = 32

// stages are the words for which of several, by protection.
var stages = map[protection.Trial][]string{
	protection.DischargeOvercurrent: {"1", "2", "short"},
	protection.ChargeOvercurrent:    {"1", "2", "short"},
	protection.LoadShort:            {"1", "2", "short"},
	protection.Temperature:          {"cold", "hot"},
}

var allStages = []string{"1", "2", "short", "cold", "hot"}

var ports = []string{"discharge", "charge"}

// states are the states of a board that a figure can speak of.
func states() []string {
	out := []string{"idle", "charging", "discharging"}
	for _, t := range protection.Trials {
		out = append(out, "after "+string(t))
	}
	return out
}

// allNumbers lists every quantity that some protection has as a number.
func allNumbers() []string {
	var out []string
	seen := map[protection.Quantity]bool{}
	for _, t := range protection.Claimable() {
		for _, q := range protection.Numbers(t) {
			if !seen[q] {
				seen[q] = true
				out = append(out, string(q))
			}
		}
	}
	return out
}

// The keys of the text. Reader and schema both take them from here.
var (
	fileFields = shape.Fields{
		{Name: "cupel", About: "version of this text", Needed: true, Is: shape.Whole(Version, Version)},
		{Name: "source", About: "where the figures stand", Is: sourceFields.Type()},
		{Name: "figures", About: "one entry a stated figure", Needed: true, Is: shape.List(figureFields.Type())},
		{Name: "about", About: "what else is stated, of the board as a thing and of its cells", Is: aboutFields.Type()},
	}

	sourceFields = shape.Fields{
		{Name: "kind", About: "what they stand on", Needed: true, Is: shape.OneOf(claim.SourceKinds...)},
		{Name: "where", About: "as in: white legend on the top side", Is: shape.Word()},
	}

	figureFields = shape.Fields{
		{Name: "protection", About: "what it is a figure of", Needed: true, Is: shape.OneOf(words(protection.Claimable())...)},
		{Name: "quantity", About: "which figure of it; the protection's first where absent", Is: shape.OneOf(allNumbers()...)},
		{Name: "stated", About: "with unit and limits: 4.20/4.25/4.30 V, max 10 mΩ, 60 A ±10 A; none where the board does not do it", Needed: true, Is: shape.Word()},
		{Name: "stage", About: "which of several: 1, 2, short of an overcurrent, cold or hot of a temperature", Is: shape.Either(shape.OneOf(allStages...), shape.Whole(1, 2))},
		{Name: "cell", About: "the one cell it speaks of, counted from the bottom; every cell where absent", Is: shape.Whole(1, maxCells)},
		{Name: "state", About: "the state of the board it speaks of", Is: shape.OneOf(states()...)},
		{Name: "port", About: "discharge or charge; both where absent", Is: shape.OneOf(ports...)},
		{Name: "at", About: "temperature; 25 °C where absent", Is: shape.Word()},
		{Name: "kind", About: "claim: others say so; requirement: you need it so", Is: shape.OneOf(claim.Kinds...)},
		{Name: "note", About: "anything worth keeping beside it", Is: shape.Word()},
	}
)

func words[W ~string](list []W) []string {
	out := make([]string, len(list))
	for i, w := range list {
		out[i] = string(w)
	}
	return out
}

// Schema is the JSON Schema of the text.
func Schema() []byte { return shape.Schema("Cupel claims", fileFields.Type(), nil) }
