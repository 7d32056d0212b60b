package review

import (
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cupel/internal/board/boardfile"
	"cupel/internal/catalog"
	"cupel/internal/catalog/generic"
	"cupel/internal/finding"
)

// sound is a one-cell board that breaks no rule; the examples of the codes
// change it.
const sound = `cupel: 1
board: sound
cells: 1
pads: {B-: bminus, B+: tap1, P+: tap1, P-: pminus}
parts:
  R1: {value: 330 Ω, pins: [tap1, supply]}
  C1: {value: 100 nF, pins: [supply, bminus]}
  U1: {sheet: cell-protector-4v25, pins: {vdd: supply, vss: bminus, cs: sense, do: gate-discharge, co: gate-charge}}
  R2: {value: 2 kΩ, pins: [pminus, sense]}
  Q1: {sheet: nfet-30v-4m, count: 2, pins: {d: middle, g: gate-discharge, s: bminus}}
  Q2: {sheet: nfet-30v-4m, count: 2, pins: {d: middle, g: gate-charge, s: pminus}}
  R3: {value: 1 MΩ, pins: [gate-discharge, bminus]}
  R4: {value: 1 MΩ, pins: [gate-charge, pminus]}
`

type genericSheets struct{}

func (genericSheets) Sheet(name string) (*catalog.Sheet, bool) { return generic.Sheet(name) }
func (genericSheets) Names() []string                          { return generic.Names() }

// check reads the text and holds it against the rules.
func check(t *testing.T, text string) finding.List {
	t.Helper()
	var list finding.List
	b := boardfile.Read("board.yaml", []byte(text), genericSheets{}, &list)
	if err := list.Err(); err != nil {
		t.Fatalf("example does not read: %v\n%s", err, text)
	}
	return Check(b, generic.Sheet)
}

// changed is the sound board with the lines of an example.
func changed(example string) string {
	lines := strings.Split(strings.TrimRight(sound, "\n"), "\n")
	for _, l := range strings.Split(strings.TrimSpace(example), "\n") {
		l = strings.TrimSpace(l)
		ref, drop := strings.CutPrefix(l, "- ")
		key, _, _ := strings.Cut(ref, ":")
		at := -1
		for i, have := range lines {
			if k, _, _ := strings.Cut(strings.TrimSpace(have), ":"); k == key {
				at = i
			}
		}
		switch {
		case drop:
			lines = append(lines[:at], lines[at+1:]...)
		case key == "counted": // stands beside the parts, not among them
			lines = slices.Insert(lines, 3, l)
		case at < 0:
			lines = append(lines, "  "+l)
		default:
			indent := len(lines[at]) - len(strings.TrimLeft(lines[at], " "))
			lines[at] = strings.Repeat(" ", indent) + l
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

func TestSoundBoardIsSound(t *testing.T) {
	for _, f := range check(t, sound) {
		t.Error(f)
	}
}

// also names what an example breaks beside its own rule, and cannot help it.
var also = map[string][]string{
	"TapsJoined":      {"NoPath", "SupplyAway", "CellUnwatched"},
	"SupplyAway":      {"CellUnwatched"},
	"ControlFloating": {"BanksUnequal"},
}

// Every code's example gives its finding, and nothing that is not listed above.
func TestExamples(t *testing.T) {
	codes, byName := examples(t)
	for _, c := range codes {
		t.Run(c.name, func(t *testing.T) {
			if c.example == "" {
				if c.name != "NoParts" {
					t.Fatal("no example in the comment of the code")
				}
				return
			}
			allowed := map[string]bool{c.code: true}
			for _, n := range also[c.name] {
				allowed[byName[n]] = true
			}
			found := false
			for _, f := range check(t, changed(c.example)) {
				found = found || f.Code == c.code
				if !allowed[f.Code] {
					t.Errorf("also found %s: %s", f.Code, f)
				}
				if f.Do == "" || f.Text == "" || f.Place.Line == 0 {
					t.Errorf("%+v lacks a text, a place or what to do", f)
				}
			}
			if !found {
				t.Errorf("%s not found", c.code)
			}
		})
	}
}

type documented struct{ name, code, example string }

// examples reads the comments of the codes.
func examples(t *testing.T) (list []documented, byName map[string]string) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), "codes.go", nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	byName = map[string]string{}
	codes := map[string]bool{}
	ast.Inspect(file, func(n ast.Node) bool {
		s, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		code, _ := strconv.Unquote(s.Values[0].(*ast.BasicLit).Value)
		_, example, _ := strings.Cut(s.Doc.Text(), "Example:\n")
		if codes[code] {
			t.Errorf("code %s stands twice", code)
		}
		codes[code] = true
		byName[s.Names[0].Name] = code
		list = append(list, documented{s.Names[0].Name, code, example})
		return true
	})
	return list, byName
}

// What good boards have, and no rule may take for a mistake.
func TestGoodBoards(t *testing.T) {
	for name, example := range map[string]string{
		"gates with a resistor each": `
			Q1: {sheet: nfet-30v-4m, pins: {d: middle, g: gate-a, s: bminus}}
			Q3: {sheet: nfet-30v-4m, pins: {d: middle, g: gate-b, s: bminus}}
			R5: {value: 100 Ω, pins: [gate-a, gate-discharge]}
			R6: {value: 100 Ω, pins: [gate-b, gate-discharge]}`,
		"supply through a diode": `
			D1: {sheet: diode-75v-small, pins: {a: tap1, k: behind}}
			R1: {value: 330 Ω, pins: [behind, supply]}`,
		"P-channel switches in the positive line": `
			pads: {B-: bminus, B+: tap1, P+: pplus, P-: bminus}
			R2: {value: 2 kΩ, pins: [bminus, sense]}
			Q1: {sheet: pfet-30v-10m, pins: {s: tap1, d: middle, g: gate-discharge}}
			Q2: {sheet: pfet-30v-10m, pins: {s: pplus, d: middle, g: gate-charge}}
			R3: {value: 1 MΩ, pins: [gate-discharge, tap1]}
			R4: {value: 1 MΩ, pins: [gate-charge, pplus]}`,
		"shunt and fuse in the way": `
			R5: {value: 2 mΩ, pins: [bminus, shunt]}
			F1: {sheet: fuse-30a, pins: [tap1, fused]}
			pads: {B-: bminus, B+: tap1, P+: fused, P-: pminus}
			Q1: {sheet: nfet-30v-4m, count: 2, pins: {d: middle, g: gate-discharge, s: shunt}}
			R3: {value: 1 MΩ, pins: [gate-discharge, shunt]}`,
		"freewheel diode across the ports": `
			D1: {sheet: schottky-40v-3a, pins: {a: pminus, k: tap1}}`,
		"separate charge port": `
			pads: {B-: bminus, B+: tap1, P+: tap1, P-: middle, C-: pminus}
			Q2: {sheet: nfet-30v-4m, pins: {d: bminus, g: gate-charge, s: pminus}}
			R2: {value: 2 kΩ, pins: [middle, sense]}`,
	} {
		t.Run(name, func(t *testing.T) {
			for _, f := range check(t, changed(example)) {
				t.Error(f)
			}
		})
	}
}

// A cell shorted by a link alone or through two parts is said with their names.
func TestCellShortedByParts(t *testing.T) {
	for parts, want := range map[string]string{
		"R9: {sheet: link-copper, pins: [bminus, tap1]}":                                     "B- (net bminus) and B+ (net tap1) are joined by R9: cell 1",
		"R9: {value: 2 mΩ, pins: [bminus, x]}\n\t\t\tF9: {sheet: fuse-30a, pins: [tap1, x]}": "B- (net bminus) and B+ (net tap1) are joined by F9 and R9: cell 1",
		"R9: {value: 2 Ω, pins: [bminus, tap1]}":                                             "",
	} {
		var got string
		for _, f := range check(t, changed("\n\t\t\t"+parts)) {
			if f.Code == TapsJoined {
				got = f.Text
			}
		}
		if want == "" && got != "" || !strings.HasPrefix(got, want) {
			t.Errorf("%s: %q, want %q", parts, got, want)
		}
	}
}

func TestNoParts(t *testing.T) {
	list := check(t, "cupel: 1\nboard: empty\ncells: 2\npads: {B-: a, T1: b, B+: c}\nparts: {}\n")
	if len(list) != 1 || list[0].Code != NoParts || list.Has(finding.Warning) {
		t.Errorf("%v", list)
	}
}

// What was counted on the board is held against the parts of the text, those in
// parallel each; nothing is said where nobody counted.
func TestCounts(t *testing.T) {
	for counted, want := range map[string][]string{
		"{R: 4, C: 1, U: 1, Q: 4}": nil,
		"{R: 5, C: 1, U: 1, Q: 4}": {"5 R were counted on the board, the text has 4"},
		"{R: 4, C: 1, U: 1, Q: 2}": {"2 Q were counted on the board, the text has 4"},
		"{R: 4, Q: 4}":             {"the text has 1 C, 1 U, which were not counted on the board"},
		"{R: 4, C: 1, U: 1, Q: 4, D: 1}": {
			"1 D were counted on the board, the text has 0",
		},
	} {
		var got []string
		for _, f := range check(t, changed("\n\t\t\tcounted: "+counted)) {
			if f.Code != CountDiffers || f.Level != finding.Warning || f.Do == "" {
				t.Errorf("%s: %+v", counted, f)
			}
			got = append(got, f.Text)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", counted, got, want)
		}
	}
}
