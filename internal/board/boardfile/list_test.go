package boardfile

import (
	"strings"
	"testing"

	"cupel/internal/catalog"
	"cupel/internal/catalog/generic"
	"cupel/internal/finding"
)

func isGeneric(name string) bool { _, ok := generic.Sheet(name); return ok }

const emptyBoard = "# kept\ncupel: 1\nboard: pump-1s\ncells: 1\npads: {B-: bminus, B+: tap1, P+: tap1, P-: pminus}\nparts: {} # none yet\n"

func TestList(t *testing.T) {
	for _, c := range []struct{ name, src, want string }{
		{"plain rows", "R1, 330 Ω ±5 %, 0603\nQ1, nfet-30v-4m, , 2\n", "  R1: {value: 330 Ω ±5 %, size: 0603}\n  Q1: {sheet: nfet-30v-4m, count: 2}"},
		{"named columns, semicolons, decimal comma", "Value;Designator\n4,7 kΩ;R1 R2\n", "  R1: {value: \"4,7 kΩ\"}\n  R2: {value: \"4,7 kΩ\"}"},
		{"tabs and quotes", "\"C1, C2\"\t100 nF\n", "  C1: {value: 100 nF}\n  C2: {value: 100 nF}"},
	} {
		parts, list := ReadList(c.src, isGeneric)
		if len(list) > 0 {
			t.Errorf("%s: %v", c.name, list)
			continue
		}
		got, err := AddParts([]byte(emptyBoard), parts)
		if err != nil || !strings.Contains(string(got), c.want) || !strings.HasPrefix(string(got), "# kept\n") {
			t.Errorf("%s: %v\n%s\nwant\n%s", c.name, err, got, c.want)
			continue
		}
		var found finding.List
		if b := Read(Name, got, sheets{}, &found); found.Has(finding.Error) || len(b.Parts) != strings.Count(c.want, ": {") {
			t.Errorf("%s: read back: %v", c.name, found)
		}
	}
}

type sheets struct{}

func (sheets) Sheet(name string) (*catalog.Sheet, bool) { return generic.Sheet(name) }
func (sheets) Names() []string                          { return generic.Names() }

// All mistakes come in one pass, each with its line.
func TestListMistakes(t *testing.T) {
	_, list := ReadList("R1, 330 Ω\nR1, 1 kΩ\n, 100 nF\nC1\nQ1, nfet-30v-4m, , many\n1R, 2 Ω\n", isGeneric)
	var got []string
	for _, f := range list {
		got = append(got, f.String())
	}
	text := strings.Join(got, "\n")
	for _, want := range []string{
		`parts list:2: error: "R1" cannot be`, "parts list:3: error: a row without", "parts list:4: error: nothing is said of what C1 is",
		`parts list:5: error: "many" is no number`, `parts list:6: error: "1R" cannot be`,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in\n%s", want, text)
		}
	}
	if _, err := AddParts([]byte(emptyBoard), []ListedParts{{Refs: []string{"R1"}, Value: "1 Ω"}, {Refs: []string{"R1"}, Value: "2 Ω"}}); err == nil {
		t.Error("a part that is there already was added")
	}
}
