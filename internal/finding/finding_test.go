package finding

import (
	"fmt"
	"strings"
	"testing"
)

func TestPlaceAndFindingAsText(t *testing.T) {
	for _, c := range []struct {
		f    Finding
		want string
	}{
		{Finding{Text: "x"}, "note: x"},
		{Finding{Level: Error, Place: Place{File: "f"}, Text: "x"}, "f: error: x"},
		{Finding{Level: Warning, Place: Place{"f", 3, 0}, Text: "x"}, "f:3: warning: x"},
		{Finding{Level: Error, Place: Place{"f", 3, 4}, Text: "x"}, "f:3:4: error: x"},
	} {
		if got := c.f.String(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestSortKeepsEqualPlacesInOrder(t *testing.T) {
	l := List{
		{Place: Place{"b", 1, 1}, Text: "4"},
		{Place: Place{"a", 2, 1}, Text: "3"},
		{Place: Place{"a", 1, 7}, Text: "1"},
		{Place: Place{"a", 1, 7}, Text: "2"},
		{Place: Place{"a", 1, 0}, Text: "0"},
	}
	l.Sort()
	for i, f := range l {
		if f.Text != fmt.Sprint(i) {
			t.Fatalf("%v", l)
		}
	}
}

func TestErrCapsItsText(t *testing.T) {
	var l List
	l.Add(Finding{Level: Warning, Text: "w"})
	if l.Err() != nil || l.Has(Error) || !l.Has(Warning) || !l.Has(Note) {
		t.Errorf("a warning counts as an error")
	}
	for i := range 13 {
		l.Add(Finding{Level: Error, Text: fmt.Sprintf("mistake %d", i)})
	}
	text := l.Err().Error()
	if !strings.HasSuffix(text, "mistake 9\nand 3 more") || strings.Contains(text, "warning") {
		t.Errorf("%s", text)
	}
}
