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
