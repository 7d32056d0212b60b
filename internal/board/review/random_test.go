package review

import (
	"fmt"
	"strings"
	"testing"

	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/generic"
	"cupel/internal/finding"

	"pgregory.net/rapid"
)

// Whatever a board is made of, the rules end, and each finding can be shown.
func TestRandomBoards(t *testing.T) {
	sheets := generic.Names()
	rapid.Check(t, func(t *rapid.T) {
		net := rapid.SampledFrom([]string{"a", "b", "c", "d", "e", "f", "none"})
		var w strings.Builder
		cells := rapid.IntRange(1, 4).Draw(t, "cells")
		fmt.Fprintf(&w, "cupel: 1\nboard: random\ncells: %d\npads: {B-: a, B+: b", cells)
		for _, p := range []string{"T1", "T2", "T3", "P-", "P+", "C-"} {
			fmt.Fprintf(&w, ", %s: %s", p, net.Draw(t, p))
		}
		w.WriteString("}\nparts:\n")
		for i := range rapid.IntRange(1, 12).Draw(t, "parts") {
			name := rapid.SampledFrom(sheets).Draw(t, "sheet")
			s, _ := generic.Sheet(name)
			var pins []string
			for _, p := range s.Pins {
				pins = append(pins, p+": "+net.Draw(t, "net"))
			}
			fmt.Fprintf(&w, "  X%d: {sheet: %s, pins: {%s}}\n", i, name, strings.Join(pins, ", "))
			fmt.Fprintf(&w, "  R%d: {value: 1 kΩ, pins: [%s, %s]}\n", i, net.Draw(t, "net"), net.Draw(t, "net"))
		}
		var list finding.List
		b := boardfile.Read("board.yaml", []byte(w.String()), genericSheets{}, &list)
		for _, f := range Check(b, generic.Sheet) {
			if f.Code == "" || f.Text == "" || f.Do == "" || f.Place.Line == 0 {
				t.Fatalf("%+v", f)
			}
		}
	})
}
