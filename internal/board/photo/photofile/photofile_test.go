package photofile

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"cupel/internal/board/photo"
	"cupel/internal/finding"
	"cupel/internal/finding/shape/shapetest"
	"cupel/internal/quantity"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/rogpeppe/go-internal/txtar"
	yaml "go.yaml.in/yaml/v4"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "rewrite the wanted findings of testdata")

// listing prints findings as the case files want them.
func listing(list finding.List) string {
	var b strings.Builder
	list.Sort()
	for _, f := range list {
		fmt.Fprintf(&b, "%d:%d %s %s: %s\n", f.Place.Line, f.Place.Column, f.Level, f.Code, f.Text)
	}
	return b.String()
}

// The case file holds texts with mistakes, each followed by its findings.
func TestMistakes(t *testing.T) {
	const name = "testdata/mistakes.txtar"
	a, err := txtar.ParseFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i+1 < len(a.Files); i += 2 {
		var list finding.List
		Read(a.Files[i].Name, a.Files[i].Data, &list)
		got := listing(list)
		if *update {
			a.Files[i+1].Data = []byte(got)
		} else if want := string(a.Files[i+1].Data); want != got {
			t.Errorf("case %d: findings differ (-want +got):\n%s", i/2, cmp.Diff(want, got))
		}
		for _, f := range list {
			if f.Source == "" || f.Do == "" {
				t.Errorf("%s has no source line or nothing to do", f)
			}
		}
	}
	if *update {
		if err := os.WriteFile(name, txtar.Format(a), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

const good = `cupel: 1
photos:
  front: {file: front.jpg, width: 4000, height: 3000}
  back: {file: back.png, width: 3000, height: 2000}
scale:
  pins 1 and 4 of U3: {front: [[400, 300], [590.5, 300]], length: 3.81 mm}
holes:
  near T1: {front: [210, 190], back: [2770, 201.5]}
  near P−: {front: [3900, 190]}
parts:
  U3: {front: [1204, 880], turn: 90}
  Q1: {back: [100, 200], package: SO-8}
pads:
  B-: {front: [30, 40], back: [2900, 44]}
  via7: {back: [7, 8]}
`

func TestReadsWhatIsThere(t *testing.T) {
	var list finding.List
	got := Read(Name, []byte(good), &list)
	if len(list) != 0 {
		t.Fatal(listing(list))
	}
	px := func(x, y float64) *photo.Pixel { return &photo.Pixel{X: x, Y: y} }
	want := &photo.Photos{
		Of: map[photo.Side]photo.Picture{
			photo.Front: {File: "front.jpg", Width: 4000, Height: 3000},
			photo.Back:  {File: "back.png", Width: 3000, Height: 2000},
		},
		Scale: []photo.Distance{{
			Side: photo.Front, From: *px(400, 300), To: *px(590.5, 300), Because: "pins 1 and 4 of U3",
			Length: quantity.Quantity{Dim: quantity.Length, Typ: 3.81e-3},
		}},
		Holes: []photo.Hole{{Name: "near T1", Front: px(210, 190), Back: px(2770, 201.5)}, {Name: "near P−", Front: px(3900, 190)}},
		Parts: []photo.Part{{Ref: "U3", Side: photo.Front, At: *px(1204, 880), Turn: 90}, {Ref: "Q1", Side: photo.Back, At: *px(100, 200), Package: "SO-8"}},
		Pads:  []photo.Pad{{Name: "B-", Front: px(30, 40), Back: px(2900, 44)}, {Name: "via7", Back: px(7, 8)}},
	}
	typ := cmp.Comparer(func(a, b quantity.Quantity) bool { return a.Dim == b.Dim && a.Nominal()-b.Nominal() < 1e-12 })
	if d := cmp.Diff(want, got, typ, cmpopts.IgnoreTypes(finding.Place{})); d != "" {
		t.Error(d)
	}
}

func TestSchemaAndCodes(t *testing.T) {
	var tree any
	if err := yaml.Unmarshal([]byte(good), &tree); err != nil {
		t.Fatal(err)
	}
	for _, m := range shapetest.Check(Schema(), tree) {
		t.Error(m)
	}
	for i, c := range Codes() {
		if c.Meaning == "" || c.Code != fmt.Sprintf("B%d", 201+i) {
			t.Errorf("code %+v", c)
		}
	}
}

func TestIsFile(t *testing.T) {
	for name, want := range map[string]bool{
		"a.jpg": true, "Front-2_x.png": true, "a.jpeg": true,
		".a.jpg": false, "../a.jpg": false, "/a.jpg": false, "photos/a.jpg": false, "a.gif": false, `b\a.jpg`: false,
		"a b.jpg": false, "a.jpg\x00": false, "a.jpg\n": false, "": false, strings.Repeat("a", 100) + ".jpg": false,
	} {
		if IsFile(name) != want {
			t.Errorf("%q: %v", name, !want)
		}
	}
}

// Edits leave everything else as it was, byte for byte, and undoing one by hand
// gives the text before it.
func TestEdits(t *testing.T) {
	src := []byte(strings.Replace(good, "  U3:", "  # its pin 1 has the dot\n  U3:", 1))
	p := photo.Pixel{X: 12.25, Y: 3}
	out, err := Put(src, Pads, "R1.1", PlaceValue(&p, nil))
	if err != nil {
		t.Fatal(err)
	}
	if want := string(src) + "  R1.1: {front: [12.2, 3]}\n"; string(out) != want {
		t.Errorf("%s", cmp.Diff(want, string(out)))
	}
	back, err := Remove(out, Pads, "R1.1")
	if err != nil || !bytes.Equal(back, src) {
		t.Errorf("%v\n%s", err, cmp.Diff(string(src), string(back)))
	}
	again, err := Put(src, Scale, "pins 1 and 4 of U3", "{front: [[1, 2], [3, 4]], length: 1 mm}")
	if err != nil || !strings.HasSuffix(string(again), "\nscale:\n  pins 1 and 4 of U3: {front: [[1, 2], [3, 4]], length: 1 mm}\n") {
		t.Errorf("the only entry of a section, put anew: %v\n%s", err, again)
	}
	if _, err := Remove(src, Pads, "R9.1"); err == nil {
		t.Error("what is not there was removed")
	}
}

// Any order of edits from nothing gives a text that reads without a finding and
// holds what was put last.
func TestEditsFromNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var list finding.List
		src, err := Put(nil, Pictures, "front", PictureValue(photo.Picture{File: "front.jpg", Width: 4000, Height: 3000}))
		if err != nil {
			t.Fatal(err)
		}
		want := map[string]photo.Pixel{}
		for range rapid.IntRange(1, 12).Draw(t, "edits") {
			name := rapid.SampledFrom([]string{"B-", "T1", "U3.1", "no", "1", "x: y", "#"}).Draw(t, "pad")
			at := photo.Pixel{X: float64(rapid.IntRange(0, 4000).Draw(t, "x")), Y: float64(rapid.IntRange(0, 3000).Draw(t, "y"))}
			if _, there := want[name]; there && rapid.Bool().Draw(t, "remove") {
				src, err = Remove(src, Pads, name)
				delete(want, name)
			} else {
				src, err = Put(src, Pads, name, PlaceValue(&at, nil))
				want[name] = at
			}
			if err != nil {
				t.Fatalf("%v\n%s", err, src)
			}
		}
		got := Read(Name, src, &list)
		if len(list) != 0 || len(got.Pads) != len(want) {
			t.Fatalf("%s%s", listing(list), src)
		}
		for _, p := range got.Pads {
			if *p.Front != want[p.Name] {
				t.Errorf("%s: %v, want %v", p.Name, *p.Front, want[p.Name])
			}
		}
	})
}

// Whatever the text, reading ends, and what it hands back has every place on its
// photo.
func FuzzRead(f *testing.F) {
	f.Add([]byte(good))
	f.Add(Empty())
	f.Add([]byte("cupel: 1\nphotos: {front: {file: a.jpg, width: 1, height: 1}}\nparts: {a: {front: [.inf, 1]}}\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		var list finding.List
		p := Read(Name, src, &list)
		for _, x := range p.Parts {
			pic, ok := p.Of[x.Side]
			if !ok || !(x.At.X >= 0 && x.At.X <= float64(pic.Width) && x.At.Y >= 0 && x.At.Y <= float64(pic.Height)) {
				t.Errorf("%+v lies on no photo", x)
			}
		}
		for _, pic := range p.Of {
			if !IsFile(pic.File) {
				t.Errorf("%q", pic.File)
			}
		}
		p.Ground()
	})
}

// The page's example reads without a finding, and its photos join.
func TestPageExample(t *testing.T) {
	page, err := os.ReadFile("../../../../docs/dossier-format.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(page), "## photos.yaml\n\n```\n")
	example, _, ok := strings.Cut(rest, "```")
	var list finding.List
	g := Read(Name, []byte(example), &list).Ground()
	if !ok || len(list) != 0 || g.NotAligned != nil || math.Abs(g.PixelsPerMM-50) > 1e-9 {
		t.Errorf("%v %s %+v", ok, listing(list), g)
	}
}
