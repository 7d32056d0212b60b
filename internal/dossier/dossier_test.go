package dossier

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"cupel/internal/catalog"
	"cupel/internal/catalog/generic"
	"cupel/internal/finding"
)

const small = `cupel: 1
board: pump-1s
cells: 1
pads: {B-: bminus, B+: tap1, P+: tap1, P-: pminus}
parts:
  R1: {value: 330 Ω, pins: [tap1, supply]}
  C1: {value: 100 nF, pins: [supply, bminus]}
  U1: {sheet: cell-protector-4v25, pins: {vdd: supply, vss: bminus, cs: sense, do: gate-discharge, co: gate-charge}}
  R2: {value: 2 kΩ, pins: [pminus, sense]}
  Q1: {sheet: nfet-30v-4m, pins: {d: middle, g: gate-discharge, s: bminus}}
  Q2: {sheet: nfet-30v-4m, pins: {d: middle, g: gate-charge, s: pminus}}
  R3: {value: 1 MΩ, pins: [gate-discharge, bminus]}
  R4: {value: 1 MΩ, pins: [gate-charge, pminus]}
`

// tree makes a file tree of pairs of name and text.
func tree(pairs ...string) fstest.MapFS {
	m := fstest.MapFS{}
	for i := 0; i < len(pairs); i += 2 {
		m[pairs[i]] = &fstest.MapFile{Data: []byte(pairs[i+1])}
	}
	return m
}

// texts lists the findings, one a line.
func texts(list finding.List) string {
	var b strings.Builder
	for _, f := range list {
		fmt.Fprintf(&b, "%s %s\n", f.Code, f)
	}
	return b.String()
}

func ownSheet(t *testing.T, name string) string {
	t.Helper()
	src, ok := generic.Text(name)
	if !ok {
		t.Fatalf("no sheet %s", name)
	}
	return string(src)
}

func TestOwnSheetStandsBeforeTheGeneric(t *testing.T) {
	d, err := Read(tree("board.yaml", small, "parts/nfet-30v-4m.yaml", ownSheet(t, "nfet-30v-4m")))
	if err != nil || len(d.Findings) != 0 || len(d.Review()) != 0 {
		t.Fatalf("%v %s %s", err, texts(d.Findings), texts(d.Review()))
	}
	own, _ := d.Sheets.Sheet("nfet-30v-4m")
	other, _ := d.Sheets.Sheet("cell-protector-4v25")
	if own == nil || own.Generic || other == nil || !other.Generic {
		t.Errorf("own %+v, generic %+v", own, other)
	}
	if !slices.Equal(d.Sheets.Own(), []string{"nfet-30v-4m"}) || len(d.Sheets.Names()) != len(generic.Names()) {
		t.Errorf("own sheets %q, %d in all", d.Sheets.Own(), len(d.Sheets.Names()))
	}
	if own.Kind != catalog.NFET {
		t.Errorf("kind %s", own.Kind)
	}
}

func TestMistakesOfTheFolder(t *testing.T) {
	sheet := ownSheet(t, "nfet-30v-4m")
	for _, c := range []struct {
		name string
		tree fstest.MapFS
		want string // of all findings, each line's beginning
	}{
		{"nothing there", tree(), "D101 board.yaml: error: there is no board.yaml here\n"},
		{"a board alone", tree("board.yaml", small), ""},
		{"claims without a board", tree("claims.yaml", "cupel: 1\nfigures: []\n"), "D101 "},
		{"another ending", tree("board.yaml", small, "parts/a.yml", sheet), "D103 parts/a.yml: warning"},
		{"hidden and other files", tree("board.yaml", small, "parts/.a.yaml", "x", "parts/notes.txt", "x", "photo.jpg", "x"), ""},
		{
			"a sheet twice", tree("board.yaml", small, "parts/nfet-30v-4m.yaml", sheet, "parts/other.yaml", sheet),
			"D102 parts/other.yaml: error: part sheet nfet-30v-4m stands in parts/nfet-30v-4m.yaml too",
		},
	} {
		d, err := Read(c.tree)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		got := texts(d.Findings)
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%s: findings\n%swant\n%s", c.name, got, c.want)
		}
		if d.Board == nil || d.Claims == nil || d.Sheets == nil || len(d.Hash) != 64 {
			t.Errorf("%s: %+v", c.name, d)
		}
		if d.Findings.Has(finding.Error) && len(d.Review()) != 0 {
			t.Errorf("%s: half a board was reviewed", c.name)
		}
	}
}

// All mistakes of all texts come in one pass.
func TestMistakesOfAllTexts(t *testing.T) {
	d, err := Read(tree(
		"board.yaml", strings.Replace(small, "value: 330 Ω", "valeu: 330 Ω", 1),
		"claims.yaml", "cupel: 1\nfigures:\n  - {protection: overcharge, cell: 2, stated: 4.25 A}\n",
		"parts/x.yaml", "cupel: 1\nsheet: x\nkind: mosfet\n",
	))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"board.yaml:6:8", "claims.yaml:3:36", "claims.yaml:3:52", "parts/x.yaml:3:7"} {
		if !strings.Contains(texts(d.Findings), want) {
			t.Errorf("no finding at %s:\n%s", want, texts(d.Findings))
		}
	}
}

type brokenFS struct{ fs.FS }

func (b brokenFS) Open(name string) (fs.File, error) {
	if name == "claims.yaml" {
		return nil, errors.New("disk is gone")
	}
	return b.FS.Open(name)
}

func TestUnreadableTree(t *testing.T) {
	if _, err := Read(brokenFS{tree("board.yaml", small)}); err == nil || err.Error() != "disk is gone" {
		t.Errorf("%v", err)
	}
}

// The hash is that of the documented bytes, computed here by hand with
// sha256sum: printf 'a\0001\000xb\0000\000' | sha256sum.
func TestHash(t *testing.T) {
	const want = "67d356ddc4738efafeb23de943b29a7a9506589e3b0698523eb1cc88cbc7b7b5"
	got := Hash(map[string][]byte{"b": nil, "a": []byte("x")})
	if got != want {
		t.Errorf("hash %s, want %s", got, want)
	}
	// Neither a moved boundary nor a renamed text leaves it as it was.
	for _, other := range []map[string][]byte{
		{"a": []byte("xb"), "b": nil}, {"a": nil, "b": []byte("x")}, {"a": []byte("x")}, {"a": []byte("x"), "c": nil},
	} {
		if Hash(other) == want {
			t.Errorf("%q has the same hash", other)
		}
	}
}

// A new dossier reads without an error, with nothing but what is still missing.
func TestNew(t *testing.T) {
	for _, cells := range []int{1, 5, 24} {
		m := fstest.MapFS{}
		for name, text := range New("pump", cells) {
			m[name] = &fstest.MapFile{Data: text}
		}
		d, err := Read(m)
		if err != nil || d.Findings.Has(finding.Error) || d.Review().Has(finding.Warning) {
			t.Errorf("%d cells: %v\n%s%s", cells, err, texts(d.Findings), texts(d.Review()))
		}
		if d.Board.Name != "pump" || d.Board.Cells != cells || len(d.Board.Pads) != cells+3 {
			t.Errorf("%+v", d.Board)
		}
	}
}

func TestSchemas(t *testing.T) {
	for _, name := range Schemas() {
		text, ok := Schema(name)
		if !ok || !json.Valid(text) {
			t.Errorf("%s: %v %s", name, ok, text)
		}
	}
	if _, ok := Schema("pack"); ok {
		t.Error("a schema of what there is none of")
	}
}

func TestCodesAreListed(t *testing.T) {
	for i, c := range Codes() {
		if c.Meaning == "" || c.Code != fmt.Sprintf("D%d", 101+i) {
			t.Errorf("code %+v", c)
		}
	}
}
