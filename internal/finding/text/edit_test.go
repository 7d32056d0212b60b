package text

import (
	"bytes"
	"strings"
	"testing"

	"cupel/internal/finding"

	"pgregory.net/rapid"
)

func split(path string) []string {
	if path == "" {
		return nil
	}
	return strings.Split(path, " ")
}

func TestSet(t *testing.T) {
	for _, c := range []struct{ name, src, path, value, want string }{
		{"plain", "a: 1 # one\n\nb: 2\n", "a", "4k7", "a: 4k7 # one\n\nb: 2\n"},
		{"CR LF", "a: 1\r\nb: 2\r\n", "b", "3", "a: 1\r\nb: 3\r\n"},
		{"byte order mark", "\ufeffa: 1\n", "a", "2", "\ufeffa: 2\n"},
		{"no last line end", "a: 1", "a", "2", "a: 2"},
		{"between braces", "{a: 1, µ: {c: 100 nF ±10 %, d: 2}}\n", "µ c", "1 µF", "{a: 1, µ: {c: 1 µF, d: 2}}\n"},
		{"in a list", "a: [x, y]\n", "a 1", "z", "a: [x, z]\n"},
		{"in a block list", "a:\n  - x # first\n  - y\n", "a 0", "z", "a:\n  - z # first\n  - y\n"},
		{"single quotes stay", "a: 'it''s'  # q\n", "a", "it's ours", "a: 'it''s ours'  # q\n"},
		{"double quotes stay", `a: "q\u00b5"` + "\n", "a", `say "µ"`, `a: "say \"µ\""` + "\n"},
		{"quotes where needed", "a: 1\n", "a", "x: y # z", `a: "x: y # z"` + "\n"},
		{"a comma between braces", "a: {b: 1}\n", "a b", "4,7k", `a: {b: "4,7k"}` + "\n"},
		{"a comma elsewhere", "a: 1\n", "a", "4,7k", "a: 4,7k\n"},
		{"a word that means nothing", "a: 1\n", "a", "null", `a: "null"` + "\n"},
		{"an empty text", "a: 1\n", "a", "", `a: ""` + "\n"},
		{"line breaks", "a: 1\n", "a", "x\ny", `a: "x\ny"` + "\n"},
		{"a value over lines", "a: one\n  two # c\nb: 1\n", "a", "three", "a: three # c\nb: 1\n"},
		{"no value yet", "a: # none\nb:\n", "a", "1", "a: 1 # none\nb:\n"},
		{"no value between braces", "{a: , b}\n", "b", "1", "{a: , b: 1}\n"},
		{"no value in a list", "a:\n  -\n  - x\n", "a 0", "1", "a:\n  - 1\n  - x\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Set([]byte(c.src), split(c.path), c.value)
			if err != nil || string(got) != c.want {
				t.Errorf("got %q, %v, want %q", got, err, c.want)
			}
		})
	}
}

func TestInsert(t *testing.T) {
	for _, c := range []struct{ name, src, path, value, want string }{
		{"at the end", "a: 1\n", "b", "2", "a: 1\nb: 2\n"},
		{"before the comment below", "p:\n  a: 1 # one\n# next\nq: 2\n", "p b", "2", "p:\n  a: 1 # one\n  b: 2\n# next\nq: 2\n"},
		{"CR LF", "p:\r\n  a: {x: 1}\r\nq: 2\r\n", "p b", "{x: 2}", "p:\r\n  a: {x: 1}\r\n  b: {x: 2}\r\nq: 2\r\n"},
		{"no last line end", "a: 1", "b", "2", "a: 1\nb: 2"},
		{"between braces", "p: {a: 1} # c\n", "p b", "2", "p: {a: 1, b: 2} # c\n"},
		{"between empty braces", "p: {}\n", "p b", "2", "p: {b: 2}\n"},
		{"behind a last comma", "p: {a: 1,\n}\n", "p b", "2", "p: {a: 1, b: 2,\n}\n"},
		{"in an empty map", "p:\nq: 1\n", "p b", "2", "p:\n  b: 2\nq: 1\n"},
		{"behind a deep one", "p:\n  a:\n    - [x,\n       y]\nq: 1\n", "p b", "2", "p:\n  a:\n    - [x,\n       y]\n  b: 2\nq: 1\n"},
		{"in a list's map", "p:\n  - a: 1\n  - a: 2\n", "p 0 b", "2", "p:\n  - a: 1\n    b: 2\n  - a: 2\n"},
		{"a key to quote", "a: 1\n", "b: c", "2", "a: 1\n\"b: c\": 2\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := split(c.path)
			if c.name == "a key to quote" {
				path = []string{c.path}
			}
			got, err := Insert([]byte(c.src), path, c.value)
			if err != nil || string(got) != c.want {
				t.Errorf("got %q, %v, want %q", got, err, c.want)
			}
		})
	}
}

func TestDelete(t *testing.T) {
	for _, c := range []struct{ name, src, path, want string }{
		{"a line", "a: 1\nb: 2 # two\nc: 3\n", "b", "a: 1\nc: 3\n"},
		{"lines", "a: 1\nb:\n  x: [1,\n    2]\n# c\nc: 3\n", "b", "a: 1\n# c\nc: 3\n"},
		{"CR LF", "a: 1\r\nb: 2\r\n", "b", "a: 1\r\n"},
		{"the first between braces", "p: {a: 1, b: 2}\n", "p a", "p: {b: 2}\n"},
		{"the last between braces", "p: {a: 1, b: 2}\n", "p b", "p: {a: 1}\n"},
		{"the only one between braces", "p: {a: 1} # c\n", "p a", "p: {} # c\n"},
		{"the only one with a comma", "p: {a: 1, }\n", "p a", "p: { }\n"},
		{"the only line of a map", "p: # c\n  a: 1\nq: 2\n", "p a", "p: {} # c\nq: 2\n"},
		{"the first of a list's map", "- a: 1\n  b: 2\n- a: 3\n", "0 a", "- b: 2\n- a: 3\n"},
		{"behind a byte order mark", "\ufeffa: 1\nb: 2\n", "a", "\ufeffb: 2\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := Delete([]byte(c.src), split(c.path))
			if err != nil || string(got) != c.want {
				t.Errorf("got %q, %v, want %q", got, err, c.want)
			}
		})
	}
}

func TestEditsThatAreRefused(t *testing.T) {
	src := []byte("a: 1\nm: {x: 1}\nl: [1]\nt: |\n  long\n  text\n")
	for _, c := range []struct {
		name string
		edit func() ([]byte, error)
		want string
	}{
		{"no such place", func() ([]byte, error) { return Set(src, split("m y"), "1") }, "m.y is not in the text"},
		{"not in the list", func() ([]byte, error) { return Set(src, split("l 7"), "1") }, "l.7 is not in the text"},
		{"a map", func() ([]byte, error) { return Set(src, split("m"), "1") }, "m is a map or a list, not a single value"},
		{"the whole text", func() ([]byte, error) { return Set(src, nil, "1") }, "the text is a map or a list, not a single value"},
		{"block text", func() ([]byte, error) { return Set(src, split("t"), "1") }, "t is written in a form that only a person should edit"},
		{"not UTF-8", func() ([]byte, error) { return Set(src, split("a"), "\xff") }, "a cannot take a value that is not UTF-8"},
		{"a key twice", func() ([]byte, error) { return Insert(src, split("m x"), "2") }, `m has the key "x" already`},
		{"into a list", func() ([]byte, error) { return Insert(src, split("l x"), "2") }, "l is not a map"},
		{"two lines", func() ([]byte, error) { return Insert(src, split("m y"), "2\nz: 3") }, "a value on one line"},
		{"two entries", func() ([]byte, error) { return Insert(src, split("m y"), "2, z: 3") }, "m cannot take the entry"},
		{"out of the braces", func() ([]byte, error) { return Insert(src, split("m y"), "2}\nz: {") }, "a value on one line"},
		{"no YAML", func() ([]byte, error) { return Insert(src, split("m y"), "[2") }, "m cannot take the entry"},
		{"behind block text", func() ([]byte, error) { return Insert(src, split("y"), "2") }, "only a person should edit"},
		{"an entry of a list", func() ([]byte, error) { return Delete(src, split("l 0")) }, "l.0 is not an entry of a map"},
		{"everything", func() ([]byte, error) { return Delete([]byte("a: 1\n"), split("a")) }, "only a person should edit"},
		{"an unsound text", func() ([]byte, error) { return Set([]byte("a: &x 1\n"), split("a"), "2") }, "must be sound"},
		{"an empty text", func() ([]byte, error) { return Set(nil, split("a"), "2") }, "must be sound"},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err := c.edit()
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %q, %v, want an error with %q", out, err, c.want)
			}
		})
	}
}

func TestScalar(t *testing.T) {
	for _, c := range []struct{ s, want string }{
		{"4k7", "4k7"},
		{"100 nF ±10 %", "100 nF ±10 %"},
		{"−20 °C", "−20 °C"},
		{"4,7k", `"4,7k"`},
		{"a: b", `"a: b"`},
		{"", `""`},
		{"~", `"~"`},
		{"*x", `"*x"`},
		{" x", `" x"`},
		{"x}", `"x}"`},
		{"x, y: z", `"x, y: z"`},
		{"x\ny", `"x\ny"`},
	} {
		if got := Scalar(c.s); got != c.want {
			t.Errorf("Scalar(%q) = %s, want %s", c.s, got, c.want)
		}
	}
}

// page is a text made of pieces, so that a test knows where each value stands.
type page struct {
	before, value, after string
	path                 []string
}

// pages draws texts with comments, blank lines, quotes, line ends of both
// kinds, maps of both kinds, and one value marked.
func pages() *rapid.Generator[page] {
	return rapid.Custom(func(t *rapid.T) page {
		end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "end")
		value := rapid.SampledFrom([]string{"4k7", "100 nF ±10 %", "'it''s'", `"\u00b5 x"`, "~", "one" + end + "     two"})
		var rows []string
		var marks []page
		add := func(format string, path ...string) {
			v := value.Draw(t, "value")
			before, after, _ := strings.Cut(format, "@")
			marks = append(marks, page{strings.Join(rows, "") + before, v, after + end, path})
			rows = append(rows, before+v+after+end)
		}
		comment := rapid.SampledFrom([]string{"", " # a comment: {x", "   "})
		for i, n := 0, rapid.IntRange(1, 5).Draw(t, "rows"); i < n; i++ {
			key := string(rune('a' + i))
			switch rapid.IntRange(0, 4).Draw(t, "row") {
			case 0:
				add(key+": @"+comment.Draw(t, "c"), key)
			case 1:
				add(key+": {µ: 1, x: @, 'z': [1, 2]}"+comment.Draw(t, "c"), key, "x")
			case 2:
				rows = append(rows, "# between"+end, key+":"+end)
				add("  x: @"+comment.Draw(t, "c"), key, "x")
			case 3:
				rows = append(rows, end, key+":"+end, "  - 1"+end)
				add("  - @"+comment.Draw(t, "c"), key, "1")
			case 4:
				add(key+": [ @ , b ]"+comment.Draw(t, "c"), key, "0")
			}
		}
		i := rapid.IntRange(0, len(marks)-1).Draw(t, "which")
		p := marks[i]
		all := strings.Join(rows, "")
		p.after = all[len(p.before)+len(p.value):]
		return p
	})
}

// texts draws values to write.
func texts() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.SampledFrom([]string{"", "1", "null", "~", "a: b", "x # y", "- x", "{", "4,7k", "'", `"`, "\\", "\n", "\t", " x ", "µ", "\x00", "…", "=", "<<", "---"}),
		rapid.StringN(0, 12, -1),
	)
}

func TestSetKeepsEveryOtherByte(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := pages().Draw(t, "page")
		value := texts().Draw(t, "value")
		src := []byte(p.before + p.value + p.after)
		out, err := Set(src, p.path, value)
		if err != nil {
			t.Fatalf("%q at %v: %v", src, p.path, err)
		}
		if !bytes.HasPrefix(out, []byte(p.before)) || !bytes.HasSuffix(out, []byte(p.after)) || len(out) < len(p.before)+len(p.after) {
			t.Fatalf("more than the value changed:\n%q\n%q", src, out)
		}
		if got := at(t, out, p.path).Text(); got != value && strings.TrimSpace(value) != "" {
			t.Fatalf("%q was set, %q is read", value, got)
		}
	})
}

// at reads the value at path.
func at(t *rapid.T, src []byte, path []string) Value {
	var list finding.List
	e, err := open(src, path)
	if err != nil {
		t.Fatalf("%q: %v", src, err)
	}
	return Value{doc: Parse("", src, &list), node: e.node()}
}

// What Insert adds, Delete takes away again.
func TestDeleteUndoesInsert(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := pages().Draw(t, "page")
		src := []byte(p.before + p.value + p.after)
		path := []string{"new"}
		if len(p.path) > 1 && p.path[1] == "x" && rapid.Bool().Draw(t, "inner") {
			path = []string{p.path[0], "new"}
		}
		value := Scalar(texts().Draw(t, "value"))
		out, err := Insert(src, path, value)
		if err != nil {
			t.Fatalf("%q into %q: %v", value, src, err)
		}
		back, err := Delete(out, path)
		if err != nil || !bytes.Equal(back, src) {
			t.Fatalf("%v:\n%q\n%q\n%q", err, src, out, back)
		}
	})
}

// An edit of any text either fails or gives a text that holds the value.
func FuzzEdit(f *testing.F) {
	f.Add([]byte("a: 1\nb: {c: 'x', d: [1, 2]}\n"), "b c", "4k7")
	f.Add([]byte("- a: |\n   x\n- {b: , c}\r\n"), "1 c", "x: y")
	f.Add([]byte("? a\n: \"\\\n  b\"\n"), "a", "")
	f.Fuzz(func(t *testing.T, src []byte, path, value string) {
		if len(src) > 1<<12 {
			return
		}
		p := strings.Split(path, " ")
		if out, err := Set(src, p, value); err == nil {
			e, err := open(out, p)
			if err != nil || e.node().Value != value {
				t.Errorf("Set(%q, %q, %q) = %q: %v", src, path, value, out, err)
			}
		}
		if out, err := Insert(src, p, value); err == nil {
			if _, err := open(out, p); err != nil {
				t.Errorf("Insert(%q, %q, %q) = %q: %v", src, path, value, out, err)
			}
		}
		if out, err := Delete(src, p); err == nil {
			if _, err := open(out, p); err == nil {
				t.Errorf("Delete(%q, %q) = %q", src, path, out)
			}
		}
	})
}
