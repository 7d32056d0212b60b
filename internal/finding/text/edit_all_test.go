package text

import (
	"testing"

	"pgregory.net/rapid"
)

// SetAll does what as many calls of Set do.
func TestSetAll(t *testing.T) {
	src := []byte("# top\na: 1 # one\nb: {c: 'x', d: [p, q,  r]}\n\ne: \"y\"\nf:\n")
	paths := [][]string{{"a"}, {"b", "c"}, {"b", "d", "0"}, {"b", "d", "2"}, {"e"}, {"f"}}
	rapid.Check(t, func(t *rapid.T) {
		var edits []Edit
		want := src
		for _, p := range paths {
			if !rapid.Bool().Draw(t, "edit") {
				continue
			}
			v := rapid.SampledFrom([]string{"net", "no", "tap 1", "a, b", "it's", "12", "#x", "ä"}).Draw(t, "value")
			edits = append(edits, Edit{p, v})
			var err error
			if want, err = Set(want, p, v); err != nil {
				t.Fatal(err)
			}
		}
		got, err := SetAll(src, edits)
		if err != nil {
			t.Fatal(err)
		}
		says := reading(t, got)
		if string(got) != string(want) && reading(t, want) != says {
			t.Fatalf("%s\nwant\n%s", got, want)
		}
	})
}

// reading is what a text says, whatever its quotes.
func reading(t *rapid.T, src []byte) string {
	root, ok := sound(src)
	if !ok {
		t.Fatalf("not sound: %s", src)
	}
	var all string
	for _, n := range root.Content {
		all += n.Value + "|"
		for _, m := range n.Content {
			all += m.Value + "|"
			for _, l := range m.Content {
				all += l.Value + "|"
			}
		}
	}
	return all
}

func TestSetAllRefuses(t *testing.T) {
	for _, e := range []Edit{{[]string{"x"}, "1"}, {[]string{"b"}, "1"}, {[]string{"a"}, "\xff"}} {
		if out, err := SetAll([]byte("a: 1\nb: {c: 2}\n"), []Edit{{[]string{"a"}, "3"}, e}); err == nil {
			t.Errorf("%v gave %s", e, out)
		}
	}
}

// InsertAll does what as many calls of Insert do.
func TestInsertAll(t *testing.T) {
	src := []byte("a: {x: 1}   # one\nb:\n  y: 2\nc: {}\n# end\nd:\n  z: 3")
	edits := []Edit{{[]string{"a", "pins"}, "[p, q]"}, {[]string{"b", "pins"}, "{v: p, w: q}"}, {[]string{"c", "no"}, "7"}, {[]string{"d", "u"}, "'x'"}}
	want := src
	for _, e := range edits {
		var err error
		if want, err = Insert(want, e.Path, e.Value); err != nil {
			t.Fatal(err)
		}
	}
	got, err := InsertAll(src, edits)
	if err != nil || string(got) != string(want) {
		t.Errorf("%v\n%s\nwant\n%s", err, got, want)
	}
	for _, e := range []Edit{{[]string{"a", "x"}, "1"}, {[]string{"a", "n"}, "1\n2"}, {[]string{"a", "n"}, "{"}, {[]string{"q", "n"}, "1"}, {nil, "1"}} {
		if out, err := InsertAll(src, []Edit{edits[0], e}); err == nil {
			t.Errorf("%v gave %s", e, out)
		}
	}
}
