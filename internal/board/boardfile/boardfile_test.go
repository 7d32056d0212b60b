package boardfile

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/evidence"
	"cupel/internal/finding"
	"cupel/internal/finding/shape/shapetest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/rogpeppe/go-internal/txtar"
	yaml "go.yaml.in/yaml/v4"
)

var update = flag.Bool("update", false, "rewrite the wanted findings of testdata")

// fakeSheets knows a few part types, so that these tests do not hang on what
// the catalogue holds.
type fakeSheets struct{}

var sheetPins = map[string]catalog.Sheet{
	"nfet-30v-4m":         {Kind: catalog.NFET, Pins: []string{"g", "d", "s"}},
	"cell-protector-4v25": {Kind: catalog.CellProtector, Pins: []string{"vdd", "vss", "cs", "do", "co"}},
	"ntc-10k-b3435":       {Kind: catalog.Thermistor, Pins: []string{"1", "2"}},
	"resistor-0603":       {Kind: catalog.Resistor, Pins: []string{"1", "2"}},
}

func (fakeSheets) Sheet(name string) (*catalog.Sheet, bool) {
	s, ok := sheetPins[name]
	s.Name = name
	return &s, ok
}

func (fakeSheets) Names() []string {
	return []string{"cell-protector-4v25", "nfet-30v-4m", "ntc-10k-b3435", "resistor-0603"}
}

// listing prints findings as the case files want them.
func listing(list finding.List) string {
	var b strings.Builder
	list.Sort()
	for _, f := range list {
		fmt.Fprintf(&b, "%d:%d %s %s: %s\n", f.Place.Line, f.Place.Column, f.Level, f.Code, f.Text)
		if f.Suggestion != "" {
			fmt.Fprintf(&b, "\tdid you mean %s?\n", f.Suggestion)
		}
	}
	return b.String()
}

// Each case file holds texts with mistakes, each followed by its findings.
func TestMistakes(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatalf("no cases: %v", err)
	}
	for _, name := range files {
		a, err := txtar.ParseFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i+1 < len(a.Files); i += 2 {
			text, want := a.Files[i], &a.Files[i+1]
			var list finding.List
			Read(text.Name, text.Data, fakeSheets{}, &list)
			got := listing(list)
			if *update {
				want.Data = []byte(got)
			} else if string(want.Data) != got {
				t.Errorf("%s, %s: findings differ (-want +got):\n%s", name, text.Name, cmp.Diff(string(want.Data), got))
			}
			for _, f := range list {
				if f.Source == "" || f.Do == "" {
					t.Errorf("%s: %s has no source line or nothing to do", name, f)
				}
			}
		}
		if *update {
			if err := os.WriteFile(name, txtar.Format(a), 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
}

const good = `cupel: 1
board: pump-1s
title: "Board of a pump: spare"
cells: 1
pads: {B−: bminus, B+: tap1, P+: tap1, P-: pminus, H1: ntc}
counted: {R: 3, C: 1, Q: 2}
parts:
  R1: {value: 330 Ω ±5 % 0.25 W 100 ppm/K, size: 0603, pins: [tap1, supply]}
  C1: {value: "1 µF ±10 % 16 V X7R", pins: [supply, bminus]}
  U1: {sheet: cell-protector-4v25, pins: {vss: bminus, vdd: supply, cs: sense, do: gate, co: none}}
  Q1: {sheet: nfet-30v-4m, count: 2, pins: {g: gate, s: bminus, d: pminus}}
  R2: {value: 2k2, pins: [pminus, sense]}
  FB1: {value: 10 µH, kind: inductor, pins: [pminus, bminus]}
  TH1: {sheet: ntc-10k-b3435, pins: [ntc, bminus]}
  R3: {sheet: resistor-0603, value: 10 kΩ ±1 %, pins: [ntc, tap1]}
nets:
  gate: {grade: proven, note: "readings 12, 13"}
`

func TestReadsWhatIsThere(t *testing.T) {
	var list finding.List
	b := Read("board.yaml", []byte(good), fakeSheets{}, &list)
	if len(list) != 0 {
		t.Fatalf("findings: %v", list)
	}
	if b.Name != "pump-1s" || b.Title != "Board of a pump: spare" || b.Cells != 1 || len(b.Parts) != 8 || len(b.Pads) != 5 {
		t.Errorf("%+v", b)
	}
	if _, ok := b.Pad("B-"); !ok {
		t.Error("a true minus sign in a pad's name is not read as a hyphen")
	}
	if len(b.Counted) != 3 || b.Counted[2].Letters != "Q" || b.Counted[2].Count != 2 {
		t.Errorf("counted: %+v", b.Counted)
	}
	r1, _ := b.Part("R1")
	if r1.Kind != board.Resistor || r1.Value.Typ != 330 || r1.Rated != (board.Rated{Power: 0.25, Tempco: 100e-6}) || r1.Size != "0603" || r1.Count != 1 {
		t.Errorf("R1 = %+v", *r1)
	}
	c1, _ := b.Part("C1")
	if c1.Kind != board.Capacitor || c1.Value.Max != 1.1e-6 || c1.Rated != (board.Rated{Voltage: 16, Dielectric: "X7R"}) {
		t.Errorf("C1 = %+v", *c1)
	}
	u1, _ := b.Part("U1")
	if u1.Pins[0].Name != "vdd" || u1.Pins[1].Name != "vss" || u1.Pin("co") != board.NoNet || u1.Kind != "" {
		t.Errorf("U1 = %+v", *u1)
	}
	q1, _ := b.Part("Q1")
	if q1.Count != 2 || b.Nets[q1.Pin("g")].Name != "gate" {
		t.Errorf("Q1 = %+v", *q1)
	}
	if fb, _ := b.Part("FB1"); fb.Kind != board.Inductor || fb.Value.Typ != 10e-6 {
		t.Errorf("FB1 = %+v", *fb)
	}
	if r3, _ := b.Part("R3"); r3.Kind != "" || r3.Sheet == "" || r3.Value.Typ != 10e3 {
		t.Errorf("R3 = %+v", *r3)
	}
	gate := b.Nets[b.Net("gate")]
	if gate.Grade != evidence.Proven || gate.Note != "readings 12, 13" || b.Nets[b.Net("sense")].Grade != evidence.Assumed {
		t.Errorf("grades: %+v", b.Nets)
	}
	checkRefs(t, b)
}

// checkRefs holds nets against pins and pads: each is where the other says.
func checkRefs(t *testing.T, b *board.Board) {
	t.Helper()
	pins, pads := 0, 0
	for i, n := range b.Nets {
		for _, r := range n.Pins {
			if b.Parts[r.Part].Pins[r.Pin].Net != board.NetID(i) {
				t.Errorf("net %s lists a pin that is elsewhere", n.Name)
			}
		}
		for _, p := range n.Pads {
			if b.Pads[p].Net != board.NetID(i) {
				t.Errorf("net %s lists a pad that is elsewhere", n.Name)
			}
		}
		pins, pads = pins+len(n.Pins), pads+len(n.Pads)
	}
	for _, p := range b.Parts {
		for _, pin := range p.Pins {
			if pin.Net != board.NoNet {
				pins--
			}
		}
	}
	for _, p := range b.Pads {
		if p.Net != board.NoNet {
			pads--
		}
	}
	if pins != 0 || pads != 0 {
		t.Errorf("nets lack %d pins and %d pads", -pins, -pads)
	}
}

// same compares boards but for places, and values but for how they are
// written.
var same = cmp.Options{
	cmpopts.IgnoreTypes(finding.Place{}), cmpopts.EquateNaNs(), cmpopts.EquateEmpty(),
	cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".Text" }, cmp.Ignore()),
}

func TestPrintReadsBack(t *testing.T) {
	var list finding.List
	b := Read("board.yaml", []byte(good), fakeSheets{}, &list)
	text := Print(b)
	again := Read("board.yaml", text, fakeSheets{}, &list)
	if len(list) != 0 {
		t.Fatalf("%v\n%s", list, text)
	}
	if d := cmp.Diff(b, again, same); d != "" {
		t.Errorf("%s\n%s", d, text)
	}
	if string(Print(again)) != string(text) {
		t.Error("printing twice gives two texts")
	}
}

func TestScalar(t *testing.T) {
	for in, want := range map[string]string{
		"tap1": "tap1", "B-": "B-", "330 Ω ±5 %": "330 Ω ±5 %", "": "''", "null": "'null'", "a: b": "'a: b'",
		"-x": "'-x'", "it's": "'it''s'", "a, b": "'a, b'", "x#": "'x#'", "a\nb": `"a\nb"`, "end ": "'end '",
	} {
		if got := scalar(in); got != want {
			t.Errorf("scalar(%q) = %s, want %s", in, got, want)
		}
	}
}

// The schema asks for the keys that the reader asks for, and knows no other.
func TestSchemaIsTheReaders(t *testing.T) {
	var v any
	if err := yaml.Unmarshal([]byte(good), &v); err != nil {
		t.Fatal(err)
	}
	if bad := shapetest.Check(Schema(), v); len(bad) != 0 {
		t.Errorf("%q", bad)
	}
	for _, key := range boardFields.Needed() {
		var list finding.List
		Read("board.yaml", []byte(without(good, key)), fakeSheets{}, &list)
		if !strings.Contains(listing(list), fmt.Sprintf("needs the key %q", key)) {
			t.Errorf("the reader does not ask for %s: %s", key, listing(list))
		}
	}
}

// without drops a top-level key with what is indented under it.
func without(text, key string) string {
	var out []string
	drop := false
	for _, l := range strings.SplitAfter(text, "\n") {
		if !strings.HasPrefix(l, " ") {
			drop = strings.HasPrefix(l, key+":")
		}
		if !drop {
			out = append(out, l)
		}
	}
	return strings.Join(out, "")
}

func TestCodesAreListed(t *testing.T) {
	seen := map[string]bool{}
	for i, c := range Codes() {
		if seen[c.Code] || c.Meaning == "" || c.Code != fmt.Sprintf("B%d", 101+i) {
			t.Errorf("code %+v", c)
		}
		seen[c.Code] = true
	}
}

// Whatever is read without an error prints to a text that reads back the same;
// nothing crashes the reader, and every finding has its place.
func FuzzRead(f *testing.F) {
	f.Add([]byte(good))
	f.Add([]byte(coppered))
	for _, name := range []string{"testdata/names.txtar", "testdata/parts.txtar", "testdata/copper.txtar"} {
		a, err := txtar.ParseFile(name)
		if err != nil {
			f.Fatal(err)
		}
		for i := 0; i < len(a.Files); i += 2 {
			f.Add(a.Files[i].Data)
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		var list finding.List
		b := Read("board.yaml", src, fakeSheets{}, &list)
		checkRefs(t, b)
		for _, x := range list {
			if x.Place.File == "" || x.Code == "" {
				t.Errorf("%+v", x)
			}
		}
		if list.Has(finding.Error) {
			return
		}
		var none finding.List
		again := Read("board.yaml", Print(b), fakeSheets{}, &none)
		if none.Has(finding.Error) {
			t.Fatalf("%v\n%s", none, Print(b))
		}
		if d := cmp.Diff(b, again, same); d != "" {
			t.Errorf("%s\n%s", d, Print(b))
		}
	})
}
