package demo

import (
	"testing"

	"cupel/internal/board/boardfile"
	"cupel/internal/claim"
	"cupel/internal/claim/claimfile"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/finding/shape/shapetest"

	yaml "go.yaml.in/yaml/v4"
)

func read(t *testing.T, name string) *dossier.Dossier {
	t.Helper()
	tree, ok := Tree(name)
	if !ok {
		t.Fatalf("no demo %s", name)
	}
	d, err := dossier.Read(tree)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// The demos are read without a finding of any level, and break no rule.
func TestDemosAreClean(t *testing.T) {
	for _, name := range Names() {
		d := read(t, name)
		for _, f := range append(d.Findings, d.Review()...) {
			t.Errorf("%s: %s", name, f)
		}
		if d.Board.Name != name {
			t.Errorf("%s is called %s", name, d.Board.Name)
		}
	}
}

// The demos are boards one would trace: chains, a stack protector, two of them
// on one another.
func TestDemosAreWhole(t *testing.T) {
	for _, c := range []struct {
		name                 string
		cells, parts, claims int
	}{{"sluice-5s", 5, 109, 22}, {"hive-3s", 3, 27, 20}, {"dome-8s", 8, 46, 21}, {"trolley-10s", 10, 198, 18}} {
		d := read(t, c.name)
		if d.Board.Cells != c.cells || len(d.Board.Parts) != c.parts || len(d.Claims.Claims) != c.claims {
			t.Errorf("%s: %d cells, %d parts, %d claims", c.name, d.Board.Cells, len(d.Board.Parts), len(d.Claims.Claims))
		}
		kinds := map[claim.Kind]int{}
		for _, k := range d.Claims.Claims {
			kinds[k.Kind]++
		}
		if kinds[claim.Requirement] == 0 && !planted[c.name] {
			t.Errorf("%s states no requirement", c.name)
		}
	}
}

// Editors that hold the texts against the printed schemas find nothing either.
func TestDemosFitTheSchemas(t *testing.T) {
	for _, name := range Names() {
		texts, _ := Texts(name)
		for file, schema := range map[string][]byte{boardfile.Name: boardfile.Schema(), claimfile.Name: claimfile.Schema()} {
			var v any
			if err := yaml.Unmarshal(texts[file], &v); err != nil {
				t.Fatal(err)
			}
			for _, bad := range shapetest.Check(schema, v) {
				t.Errorf("%s/%s: %s", name, file, bad)
			}
		}
	}
}

func TestList(t *testing.T) {
	list, err := List()
	if err != nil || len(list) != len(Names()) || list[0].Name != Default() || list[0].Cells != 5 || list[1].Cells != 3 || list[0].Title == "" {
		t.Errorf("%v %+v", err, list)
	}
	for _, i := range list {
		if i.Planted != (i.Name == "trolley-10s") {
			t.Errorf("%s: planted %v", i.Name, i.Planted)
		}
	}
	if _, ok := Tree("../demo"); ok {
		t.Error("a name that is no demo gave a tree")
	}
	if list := read(t, "hive-3s").Findings; list.Has(finding.Note) {
		t.Errorf("%v", list)
	}
}
