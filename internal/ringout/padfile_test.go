package ringout

import (
	"bytes"
	"strings"
	"testing"

	"cupel/internal/finding"

	"github.com/google/go-cmp/cmp"
)

func TestPadsReadBack(t *testing.T) {
	rows := []PadRow{
		{Name: "U3.2", Side: Top, At: &Point{12.5, 3}},
		{Name: "via7", Note: `under the "B−" print, hidden`},
		{Name: "T1", Side: Both},
	}
	var b bytes.Buffer
	if err := WritePads(&b, rows); err != nil {
		t.Fatal(err)
	}
	got, found := ReadPads(PadsName, b.Bytes())
	if d := cmp.Diff(rows, got); d != "" || len(found) > 0 {
		t.Error(d, found)
	}
}

// Spreadsheets write what they like: another order, a mark at the beginning,
// carriage returns, decimal commas.
func TestPadsOfASpreadsheet(t *testing.T) {
	got, found := ReadPads(PadsName, []byte("\ufeffx_mm,y_mm,pad\r\n\"1,5\",2,R1.1\r\n"))
	if d := cmp.Diff([]PadRow{{Name: "R1.1", At: &Point{1.5, 2}}}, got); d != "" || len(found) > 0 {
		t.Error(d, found)
	}
}

func TestBadPads(t *testing.T) {
	head := "pad,side,x_mm,y_mm,note\n"
	for _, c := range []struct {
		src, want    string
		line, column int
	}{
		{"pad,mm\n", `no column "mm"`, 1, 5},
		{"side\n", "pad is missing", 1, 1},
		{head + "a b,,,,\n", "no name of a pad", 2, 1},
		{head + "\"a\nb\",,,,\n", "no name of a pad", 2, 1},
		{head + "a,,,,\na,,,,\n", "stands twice", 3, 1},
		{head + "a,left,,,\n", `side "left"`, 2, 3},
		{head + "a,,x,1,\n", `x_mm "x" is no number`, 2, 4},
		{head + "a,,1,,\n", "needs x_mm and y_mm", 2, 1},
		{head + "a,,1,5,2,5,\n", "7 fields", 2, 1},
		{head + "a,\"x\"y,,,\n", "quote", 2, 5},
	} {
		_, found := ReadPads(PadsName, []byte(c.src))
		if len(found) != 1 || !strings.Contains(found[0].Text, c.want) || found[0].Do == "" {
			t.Errorf("%q: %v, want %q", c.src, found, c.want)
			continue
		}
		if p := found[0].Place; p.Line != c.line || p.Column != c.column {
			t.Errorf("%q: at %v, want %d:%d", c.src, p, c.line, c.column)
		}
	}
}

func TestPlaceAddsWhatNoPartBrings(t *testing.T) {
	s := &Sample{Cells: 1}
	s.AddPart(Part{Ref: "R1", Kind: "resistor"}, []Pin{{"1", []int{1}}, {"2", []int{2}}})
	s.Place([]PadRow{{Name: "R1.2", Side: Bottom, At: &Point{1, 2}}, {Name: "via1"}})
	if len(s.Pads) != 3 || s.Pads[1].Side != Bottom || *s.Pads[1].At != (Point{1, 2}) || s.Pads[2].Part != NoPart || s.Pads[2].Side != Both {
		t.Errorf("%+v", s.Pads)
	}
	if err := s.Check(); err != nil {
		t.Error(err)
	}
}

func FuzzReadPads(f *testing.F) {
	f.Add([]byte("pad,side,x_mm,y_mm,note\nU1.1,top,1,2,x\n"))
	f.Add([]byte("pad\n\"a\nb\"\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		rows, _ := ReadPads(PadsName, src)
		var b bytes.Buffer
		if err := WritePads(&b, rows); err != nil {
			t.Fatal(err)
		}
		again, found := ReadPads(PadsName, b.Bytes())
		if d := cmp.Diff(rows, again); d != "" || found.Has(finding.Error) {
			t.Fatal(d, found)
		}
	})
}
