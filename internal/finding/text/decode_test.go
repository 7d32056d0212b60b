package text

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"cupel/internal/finding"
	"cupel/internal/quantity"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"
)

var update = flag.Bool("update", false, "write what is found into the case files")

// decode reads a small board with everything that a decoder can ask for, and
// returns what is wrong with it, printed.
func decode(file string, src []byte) string {
	var list finding.List
	root := Parse(file, src, &list).Root()
	root.Fields("cupel", "board", "cells", "pads", "spare", "parts")
	root.Get("cupel").IntIn(1, 1)
	root.Need("board").Text()
	root.Need("cells").IntIn(1, 32)
	root.Get("pads").Map().Each(func(_, net Value) { net.Text() })
	root.Get("spare").Bool()
	root.Need("parts").Map().Each(decodePart)
	list.Sort()
	var b strings.Builder
	_ = finding.Print(&b, list)
	return b.String()
}

func decodePart(name, part Value) {
	m := part.Map().Fields("kind", "value", "hold", "stated", "factor", "size", "pins")
	m.Get("kind").OneOf("resistor", "capacitor", "zener")
	if _, rest := m.Get("value").QuantityPrefix(quantity.Resistance); rest.Given() {
		_, after, ok := rest.StartsWith(quantity.Power)
		if !ok {
			rest.Fail(LeftoverWords, "write a power, or nothing", "%q is no power", rest.Text())
			after = Value{}
		}
		for _, w := range after.Words() {
			w.OneOf("metal", "film")
		}
	}
	m.Get("hold").Quantity(quantity.Time)
	m.Get("stated").Stated(quantity.Voltage)
	m.Get("factor").Number()
	for _, p := range m.Need("pins").OneOrMore() {
		p.Text()
	}
	if strings.HasPrefix(name.Text(), "Z") {
		name.Warn("B001", "begin it with R, C or D", "a part called %s", name.Text())
	}
}

// Every case file holds a text and the findings it must give.
func TestFindings(t *testing.T) {
	files, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatalf("no case files: %v", err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) { checkCase(t, file) })
	}
}

func checkCase(t *testing.T, file string) {
	a, err := txtar.ParseFile(file)
	if err != nil || len(a.Files) != 2 {
		t.Fatalf("%d files in it: %v", len(a.Files), err)
	}
	got := decode(a.Files[0].Name, a.Files[0].Data)
	if *update {
		a.Files[1].Data = []byte(got)
		if err := os.WriteFile(file, txtar.Format(a), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(string(a.Files[1].Data), got); diff != "" {
		t.Errorf("findings (-want +got):\n%s", diff)
	}
}

// find1 returns the only finding of a text.
func find1(t *testing.T, src string, read func(Map)) finding.Finding {
	t.Helper()
	var list finding.List
	root := Parse("f", []byte(src), &list).Root()
	if read != nil {
		read(root)
	}
	if len(list) != 1 {
		t.Fatalf("%q gives %d findings: %v", src, len(list), list)
	}
	return list[0]
}

func TestPlaces(t *testing.T) {
	hold := func(m Map) { m.Get("v").Quantity(quantity.Time) }
	for _, c := range []struct {
		name, src, place, source string
	}{
		{"after Unicode", "{µΩ: 1, v: 5 A}\n", "f:1:14", "{µΩ: 1, v: 5 A}"},
		{"CR LF", "a: 1\r\nv: 5 A\r\n", "f:2:6", "v: 5 A"},
		{"CR alone", "a: 1\rv: 5 A\r", "f:2:6", "v: 5 A"},
		{"byte order mark", "\ufeffv: 5 A\n", "f:1:6", "v: 5 A"},
		{"no end of line", "v: 5 A", "f:1:6", "v: 5 A"},
		{"in single quotes", "v: '5  A'\n", "f:1:8", "v: '5  A'"},
		{"in double quotes", `v: "5 \u00b5A"` + "\n", "f:1:7", `v: "5 \u00b5A"`},
		{"after escapes", `v: "1.0\u2013\x32 A"` + "\n", "f:1:19", `v: "1.0\u2013\x32 A"`},
		{"folded over lines", "v: min\n  1 s\n  max 2 A\n", "f:3:9", "  max 2 A"},
		{"folded in quotes", "v: \"min 1 s \\\n  max 2 A\"\n", "f:2:9", "  max 2 A\""},
		{"block text", "v: |\n  5 A\n", "f:1:4", "v: |"},
		{"tab between", "v:\t5 A\n", "f:1:6", "v:\t5 A"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := find1(t, c.src, hold)
			if f.Place.String() != c.place || f.Source != c.source {
				t.Errorf("%v: %q", f, f.Source)
			}
		})
	}
}

func TestCharactersAreRefusedAtTheirPlace(t *testing.T) {
	for _, c := range []struct{ src, place, text string }{
		{"a: 1\nb: \xff\n", "f:2:4", "not UTF-8"},
		{"a: µ\x00\n", "f:1:5", "U+0000"},
		{"a: \u2028\n", "f:1:4", "U+2028"},
		{"a: \u0085\n", "f:1:4", "U+0085"},
		{"a: 1\n\ufeffb: 2\n", "f:2:1", "byte order mark"},
		{"\xff\xfea\x00", "f:1:1", "not UTF-8"},
	} {
		f := find1(t, c.src, nil)
		if f.Code != BadCharacter || f.Place.String() != c.place || !strings.Contains(f.Text, c.text) {
			t.Errorf("%q: %v", c.src, f)
		}
	}
}

func TestSizeIsBounded(t *testing.T) {
	var list finding.List
	d := ParseLimit("f", make([]byte, 101), 100, &list)
	if d.OK() || len(list) != 1 || list[0].Code != TooLarge || d.Root().Len() != 0 {
		t.Errorf("%v", list)
	}
	f := find1(t, "a: "+strings.Repeat("[", 1000)+strings.Repeat("]", 1000)+"\n", nil)
	if f.Code != TooDeep || f.Place.Column != 3+maxDepth {
		t.Errorf("%v", f)
	}
	if f := find1(t, strings.Repeat("[", 20000), nil); f.Code != NotYAML {
		t.Errorf("%v", f)
	}
}

// A value that is absent or was reported already gives zero values in silence.
func TestNothingIsReportedTwice(t *testing.T) {
	var list finding.List
	root := Parse("f", []byte("a: *x\nb: {c: d}\n"), &list).Root()
	n := len(list)
	v := root.Get("b").Map().Get("nothing")
	v.Text()
	v.Int()
	v.Bool()
	v.List()
	v.Map().Fields("x").Need("y").Quantity(quantity.Voltage)
	v.OneOf("x")
	v.Words()
	v.Fail("X", "", "at an absent value")
	if len(list) != n+1 {
		t.Errorf("%v", list)
	}
	var zero Value
	zero.Text()
	zero.Map().Each(func(_, _ Value) { t.Error("an entry of nothing") })
	if zero.Given() || zero.Map().Len() != 0 || zero.Path() != nil {
		t.Error("the zero value is something")
	}
}

func TestPath(t *testing.T) {
	var list finding.List
	root := Parse("f", []byte("parts: {R1: {pins: [a, b]}}\n"), &list).Root()
	v := root.Get("parts").Map().Get("R1").Map().Get("pins").List()[1]
	if got := strings.Join(v.Path(), " "); got != "parts R1 pins 1" {
		t.Errorf("path %q", got)
	}
}

func TestEveryCodeIsDocumented(t *testing.T) {
	src, err := os.ReadFile("codes.go")
	if err != nil {
		t.Fatal(err)
	}
	meaning := map[string]string{}
	for _, c := range Codes() {
		if c.Meaning == "" || meaning[c.Code] != "" {
			t.Errorf("%s: no meaning, or listed twice", c.Code)
		}
		meaning[c.Code] = c.Meaning
	}
	defined := 0
	for _, line := range strings.Split(string(src), "\n") {
		if _, code, ok := strings.Cut(line, ` = "T`); ok {
			defined++
			if code = "T" + strings.TrimSuffix(code, `"`); meaning[code] == "" {
				t.Errorf("%s has no meaning in Codes", code)
			}
		}
	}
	if defined != len(meaning) || defined == 0 {
		t.Errorf("%d codes are defined, %d have a meaning", defined, len(meaning))
	}
}

// Every code is given by one of the case files or by a test above.
func TestEveryCodeIsGiven(t *testing.T) {
	given := BadCharacter + TooLarge + TooDeep
	files, _ := filepath.Glob("testdata/*.txtar")
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		given += string(data)
	}
	for _, c := range Codes() {
		if !strings.Contains(given, c.Code) {
			t.Errorf("no case gives %s, %s", c.Code, c.Meaning)
		}
	}
}

func BenchmarkDecode(b *testing.B) {
	for _, parts := range []int{10, 100, 1000} {
		var src strings.Builder
		src.WriteString("board: a\ncells: 5\nparts:\n")
		for i := range parts {
			fmt.Fprintf(&src, "  R%d: {kind: resistor, value: 330 Ω ±5 %% 1 W, size: 0603, pins: [a, b]}\n", i)
		}
		b.Run(fmt.Sprint(parts), func(b *testing.B) {
			b.SetBytes(int64(src.Len()))
			for b.Loop() {
				if found := decode("f", []byte(src.String())); found != "" {
					b.Fatal(found)
				}
			}
		})
	}
}

func FuzzDecode(f *testing.F) {
	files, _ := filepath.Glob("testdata/*.txtar")
	for _, file := range files {
		if a, err := txtar.ParseFile(file); err == nil {
			f.Add(a.Files[0].Data)
		}
	}
	f.Add([]byte("\ufeffa: 'x\r\n  y'\r\nb: {c: \"\\u00b5\\\n d\"}\r"))
	f.Fuzz(func(t *testing.T, src []byte) {
		if len(src) > 1<<16 {
			return
		}
		decode("f", src)
		var list finding.List
		d := Parse("f", src, &list)
		for _, l := range list {
			checkPlace(t, d, l)
		}
	})
}

// checkPlace checks that a finding's place is in the text.
func checkPlace(t *testing.T, d *Doc, f finding.Finding) {
	t.Helper()
	if f.Place.Line < 0 || f.Place.Line > len(d.lines)+1 {
		t.Errorf("%v: there are %d lines", f, len(d.lines))
	}
	if n := len([]rune(d.Line(f.Place.Line))); f.Place.Column > n+2 {
		t.Errorf("%v: the line has %d characters", f, n)
	}
	if f.Code == "" || f.Text == "" {
		t.Errorf("a finding without code or text: %+v", f)
	}
}
