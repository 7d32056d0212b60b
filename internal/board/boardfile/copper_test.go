package boardfile

import (
	"math"
	"testing"

	"cupel/internal/board"
	"cupel/internal/finding"
	"cupel/internal/finding/shape/shapetest"

	"github.com/google/go-cmp/cmp"
	yaml "go.yaml.in/yaml/v4"
)

const coppered = good + `copper:
  area: 24.6 cm² ±10 %
  thickness: 35 µm
  layers: 2
  cover: 60 %
  path:
    - {name: 'pour, bottom', width: 12–15 mm, length: 40 mm}
    - {width: 9 mm, length: 1 cm, thickness: 70 µm, layer: inner, parallel: 2}
  wires:
    - {name: P-, awg: 0, length: 30 cm, limit: 105 °C}
    - {area: 2.5 mm², length: 20 cm, parallel: 2}
  strips:
    - {material: plated steel, width: 8 mm, thickness: 0.15 mm, length: 120 mm}
`

func TestReadsCopper(t *testing.T) {
	var list finding.List
	b := Read("board.yaml", []byte(coppered), fakeSheets{}, &list)
	if len(list) != 0 {
		t.Fatalf("findings: %v", list)
	}
	c := b.Copper
	if c.Area.Typ != 24.6e-4 || c.Thickness.Typ != 35e-6 || c.Layers != 2 || c.Cover.Typ != 0.6 {
		t.Errorf("%+v", c)
	}
	if p := c.Path; len(p) != 2 || p[0].Width.Max != 15e-3 || p[0].Inner || p[0].Parallel != 1 || !p[1].Inner || p[1].Parallel != 2 {
		t.Errorf("path %+v", p)
	}
	if w := c.Wires; len(w) != 2 || w[0].AWG != 0 || w[0].Area.Given() || math.Abs(w[0].Limit.Typ-378.15) > 1e-9 || w[1].Area.Typ != 2.5e-6 {
		t.Errorf("wires %+v", w)
	}
	if s := c.Strips; len(s) != 1 || s[0].Material != board.PlatedSteel || s[0].Length.Typ != 0.12 {
		t.Errorf("strips %+v", s)
	}
	again := Read("board.yaml", Print(b), fakeSheets{}, &list)
	if d := cmp.Diff(b, again, same); d != "" || len(list) != 0 {
		t.Errorf("%v %s\n%s", list, d, Print(b))
	}
	var v any
	if err := yaml.Unmarshal([]byte(coppered), &v); err != nil {
		t.Fatal(err)
	}
	if bad := shapetest.Check(Schema(), v); len(bad) != 0 {
		t.Errorf("%q", bad)
	}
}

// A board without the section, and one with an empty section, stay what they are.
func TestNoCopper(t *testing.T) {
	for text, want := range map[string]bool{good: false, good + "copper: {}\n": true} {
		var list finding.List
		b := Read("board.yaml", []byte(text), fakeSheets{}, &list)
		again := Read("board.yaml", Print(b), fakeSheets{}, &list)
		if (b.Copper != nil) != want || (again.Copper != nil) != want || len(list) != 0 {
			t.Errorf("%v %v\n%s", b.Copper, list, Print(b))
		}
	}
}
