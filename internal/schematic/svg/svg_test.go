package svg_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/board/boardfile"
	"cupel/internal/catalog/generic"
	"cupel/internal/evidence"
	"cupel/internal/finding"
	"cupel/internal/schematic"
	"cupel/internal/schematic/layout"
	"cupel/internal/schematic/svg"
	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the golden files; look at them as pictures")

func sheet(t *testing.T, change func(b *board.Board)) *schematic.Sheet {
	t.Helper()
	src, err := os.ReadFile(filepath.Join("..", "layout", "testdata", "single-1s.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	var list finding.List
	b := boardfile.Read("board.yaml", src, generic.Sheets{}, &list)
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(b)
	}
	s, _ := layout.Lay(b, generic.Sheet)
	return s
}

func written(t *testing.T, s *schematic.Sheet, o schematic.Overlay, opt svg.Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := svg.Write(&b, s, o, opt); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The overlay used in these tests shows everything at once.
var everything = schematic.Overlay{
	Heading:  "overdischarge, cell 1",
	Grades:   true,
	Roles:    map[string]string{"R1": "supply filter", "C1": "supply filter", "Q1": "discharge bank"},
	Voltages: map[string]string{"supply": "3.70 V", "mid": "0.00 V", "do": "3.70 V"},
	Stress:   map[string]schematic.Stress{"Q1": {Text: "16.8 of 20 V", Share: 0.84}, "R1": {Text: "1 of 100 mW", Share: 0.01}},
	Steps: []schematic.Step{
		{Part: "U1", Time: "0 ms", Text: "U1 finds cell 1 under 2.50 V", Needed: true},
		{Net: "do", Time: "100 ms", Text: "do falls", Needed: true},
		{Part: "Q1", Time: "100 ms", Text: "Q1 opens", Needed: false},
	},
}

func graded(b *board.Board) {
	for i := range b.Nets {
		b.Nets[i].Grade = evidence.Grades[i%len(evidence.Grades)]
	}
}

func TestGolden(t *testing.T) {
	for name, got := range map[string]string{
		"plain.svg":   written(t, sheet(t, nil), schematic.Overlay{}, svg.Options{}),
		"overlay.svg": written(t, sheet(t, graded), everything, svg.Options{}),
	} {
		path := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); diff != "" {
			t.Errorf("%s (rewrite with -update, then look at it):\n%s", name, diff)
		}
	}
}

// element is what a test looks at in a picture.
type element struct{ id, class, title string }

// parsed reads a picture as XML: it must be well formed.
func parsed(t *testing.T, text string) []element {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(text))
	var out []element
	var open []int
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatalf("not well formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			var e element
			for _, a := range tok.Attr {
				switch a.Name.Local {
				case "id":
					e.id = a.Value
				case "class":
					e.class = a.Value
				}
			}
			open = append(open, len(out))
			out = append(out, e)
			if tok.Name.Local == "title" {
				out[open[len(open)-2]].title = "?"
			}
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if n := len(open); n >= 2 && out[open[n-2]].title == "?" {
				out[open[n-2]].title = string(tok)
			}
		}
	}
}

func TestEveryPartAndNetHasAnIDAndATitle(t *testing.T) {
	s := sheet(t, nil)
	all := parsed(t, written(t, s, schematic.Overlay{}, svg.Options{}))
	byID := map[string]element{}
	for _, e := range all {
		if e.id == "" {
			continue
		}
		if _, twice := byID[e.id]; twice {
			t.Errorf("id %s stands twice", e.id)
		}
		byID[e.id] = e
	}
	for _, x := range s.Symbols {
		if x.Part == schematic.NoPart {
			continue
		}
		if e := byID["part-"+x.Ref]; !strings.HasPrefix(e.title, x.Ref) {
			t.Errorf("part %s: %+v", x.Ref, e)
		}
	}
	for _, n := range s.Nets {
		if e := byID["net-"+n.Name]; !strings.HasPrefix(e.title, "net "+n.Name) {
			t.Errorf("net %s: %+v", n.Name, e)
		}
	}
}

func TestStrangeNames(t *testing.T) {
	strange := `x<y>&"z" §`
	s := sheet(t, func(b *board.Board) {
		b.Nets[0].Name, b.Parts[0].Ref, b.Title = strange, strange, strange
	})
	text := written(t, s, everything, svg.Options{Prefix: "p1-"})
	id := regexp.MustCompile(`^[A-Za-z][A-Za-z0-9._-]*$`)
	for _, e := range parsed(t, text) {
		if e.id != "" && (!id.MatchString(e.id) || !strings.HasPrefix(e.id, "p1-")) {
			t.Errorf("id %q", e.id)
		}
	}
}

// Names that differ only in what an id may not hold stay apart.
func TestIDsStayApart(t *testing.T) {
	s := sheet(t, func(b *board.Board) { b.Nets[0].Name, b.Nets[1].Name, b.Nets[2].Name = "a b", "a.b", "a/b" })
	seen := map[string]bool{}
	for _, e := range parsed(t, written(t, s, schematic.Overlay{}, svg.Options{})) {
		if e.id != "" && seen[e.id] {
			t.Errorf("id %s stands twice", e.id)
		}
		seen[e.id] = true
	}
}

func TestOverlayMovesNothing(t *testing.T) {
	s := sheet(t, graded)
	places := regexp.MustCompile(`translate\([^)]*\)[^"]*|<path class="wire[^"]*" d="[^"]*"`)
	plain := places.FindAllString(written(t, s, schematic.Overlay{}, svg.Options{}), -1)
	over := places.FindAllString(written(t, s, everything, svg.Options{}), -1)
	if diff := cmp.Diff(plain, over); diff != "" {
		t.Error(diff)
	}
}

func TestOverlaySaysEverything(t *testing.T) {
	text := written(t, sheet(t, graded), everything, svg.Options{})
	for _, want := range []string{
		"overdischarge, cell 1", "supply filter", "discharge bank", "3.70 V", "84 %", "16.8 of 20 V",
		"U1 finds cell 1 under 2.50 V", "do falls", "not needed for the trip", "proven solid",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is nowhere", want)
		}
	}
}

// A sheet is one file: no font, script or picture from elsewhere.
func TestNothingFromOutside(t *testing.T) {
	text := written(t, sheet(t, nil), everything, svg.Options{})
	text = strings.ReplaceAll(text, `xmlns="http://www.w3.org/2000/svg"`, "")
	for _, no := range []string{"http:", "https:", "url(", "<script", "<image", "href", "@import", "@font-face"} {
		if strings.Contains(text, no) {
			t.Errorf("the picture holds %q", no)
		}
	}
}

func TestInlineLeavesTheColoursToThePage(t *testing.T) {
	if text := written(t, sheet(t, nil), schematic.Overlay{}, svg.Options{Inline: true}); strings.Contains(text, "#FFFFFF") {
		t.Error("an inline sheet sets colours")
	}
}
