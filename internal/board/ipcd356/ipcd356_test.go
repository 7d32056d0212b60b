package ipcd356

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

const tail = "\n999\n"

// one reads a file of one record.
func one(t *testing.T, record string) Pad {
	t.Helper()
	f, list := Read("x.356", []byte("P  JOB   x\nP  UNITS CUST 0\n"+record+tail))
	if len(list) > 0 || len(f.Pads) != 1 {
		t.Fatalf("%q: %v %v", record, f.Pads, list)
	}
	return f.Pads[0]
}

// TestRecords reads records whose columns 1 to 71 are those of public samples
// of IPC-D-356A.
func TestRecords(t *testing.T) {
	mil := 25.4e-6
	for _, c := range []struct {
		record string
		want   Pad
	}{
		{
			"327TAP2             C4    -2          A01X+008200Y+011350X0320Y0350R090",
			Pad{
				Op: Surface, Net: "TAP2", Ref: "C4", Pin: "2", Access: 1, At: &Point{820 * mil, 1135 * mil},
				Width: 32 * mil, Height: 35 * mil, Rotation: math.Pi / 2,
			},
		},
		{
			"317B-               J1    -1    D0472PA00X+002500Y-001000X0800Y0000R000",
			Pad{
				Op: ThroughHole, Net: "B-", Ref: "J1", Pin: "1", Hole: &Hole{47.2 * mil, true},
				At: &Point{250 * mil, -100 * mil}, Width: 80 * mil,
			},
		},
		{ // coordinates padded with spaces, before the sign and after it
			"327TAP2             C4    -2          A01X   8200Y- 11350X 320Y 350R 90",
			Pad{
				Op: Surface, Net: "TAP2", Ref: "C4", Pin: "2", Access: 1, At: &Point{820 * mil, -1135 * mil},
				Width: 32 * mil, Height: 35 * mil, Rotation: math.Pi / 2,
			},
		},
		{ // a via, an unplated hole, a mid-point
			"317GATE-DISCHARGE   VIA         D0118PA00X+000100Y+000000X0236Y0000R000",
			Pad{Op: ThroughHole, Net: "GATE-DISCHARGE", Ref: "VIA", Hole: &Hole{11.8 * mil, true}, At: &Point{10 * mil, 0}, Width: 23.6 * mil},
		},
		{
			"367N/C              H1    -1   MD1260UA00X+000100Y+000200X1260Y0000R000",
			Pad{Op: NoCopper, Ref: "H1", Pin: "1", MidPoint: true, Hole: &Hole{126 * mil, false}, At: &Point{10 * mil, 20 * mil}, Width: 126 * mil},
		},
		{ // cut short after the access: no place
			"327TAP2             C4    -2          A02",
			Pad{Op: Surface, Net: "TAP2", Ref: "C4", Pin: "2", Access: 2},
		},
	} {
		if d := cmp.Diff(c.want, one(t, c.record), cmpFloats); d != "" {
			t.Errorf("%s\n%s", c.record, d)
		}
	}
}

// cmpFloats allows for the rounding of a product of decimals.
var cmpFloats = cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-12*math.Max(1, math.Abs(a)) })

// TestUnits: CUST 1 and 2 are from memory.
func TestUnits(t *testing.T) {
	for units, want := range map[string]float64{"CUST 0": 25.4e-6, "CUST 1": 10e-6, "CUST 2": 25.4e-6} {
		f, list := Read("x", []byte("P  UNITS "+units+"\n327A                R1    -1          A01X+000010Y+000000X0000Y0000R001"+tail))
		if len(list) > 0 || math.Abs(f.Pads[0].At.X-want) > 1e-15 {
			t.Errorf("%s: %v %v", units, f.Pads[0].At, list)
		}
	}
}

// TestWriteBySlicing cuts what was written by column numbers, as any reader of
// the format does, without our own parser.
func TestWriteBySlicing(t *testing.T) {
	long := "the-discharge-gate-behind-its-resistor"
	f := &File{Job: "pump", Title: "a pump", Comments: []string{"by hand"}, Pads: []Pad{
		{Op: Surface, Net: "tap2", Ref: "C4", Pin: "2", Access: 1, At: &Point{20.828e-3, 28.829e-3}, Width: 0.8128e-3, Height: 0.889e-3, Rotation: math.Pi / 2},
		{Op: ThroughHole, Net: long, Ref: "B-", Hole: &Hole{1.2e-3, true}, At: &Point{-1e-3, 0}},
		{Op: Surface, Net: long, Ref: "Q1000.12", Pin: "1", Access: 2},
		{Op: Surface, Ref: "U1", Pin: "8", Access: 1},
	}}
	var b strings.Builder
	if err := Write(&b, f); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")
	for _, l := range lines {
		if len(l) != 80 {
			t.Errorf("%d columns: %q", len(l), l)
		}
	}
	for i, word := range []string{"JOB", "CODE", "UNITS", "TITLE", "NUM", "REV", "VER"} {
		if !strings.HasPrefix(lines[i], "P  "+word) {
			t.Errorf("line %d is %q, want %s", i+1, lines[i], word)
		}
	}
	n := len(lines)
	if lines[n-1][:3] != "999" {
		t.Errorf("the last line is %q", lines[n-1])
	}
	first, second, third, fourth := lines[n-5], lines[n-4], lines[n-3], lines[n-2]
	if want := "327tap2             C4    -2          A01X+008200Y+011350X0320Y0350R090"; first[:71] != want {
		t.Errorf("\n%s\n%s", first, want)
	}
	for _, c := range []struct{ got, want string }{
		{second[0:3], "317"},
		{second[3:17], "NNAME1        "},
		{second[20:26], "B-    "},
		{second[26:31], "     "},
		{second[32:37], "D0472"},
		{second[37:41], "PA00"},
		{second[41:57], "X-000394Y+000000"},
		{third[3:17], "NNAME1        "},
		{third[20:31], "~1    -1   "},
		{third[38:41], "A02"},
		{fourth[3:17], "N/C           "},
		{fourth[17:20], "   "},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	if !strings.Contains(b.String(), "P  NNAME1    "+long) || !strings.Contains(b.String(), "C  WHOLE NAME ~1 Q1000.12") {
		t.Errorf("long names are missing:\n%s", b.String())
	}
}

func TestMistakes(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"", []string{"1:1: error: the file has no end mark"}},
		{"327A                R1    -1          A01X+00z010Y+000000" + tail, []string{`1:43: error: "+00z010" in columns 43 to 49 is no whole number`}},
		{"327A               R1    -1          A01X+000010Y+000000X" + tail, []string{
			`1:18: error: "R" stands where the format is blank`, `1:27: error: "1" in column 27`, `1:39: error: "0" in column 39`,
			`1:42: error: "+" in column 42`,
		}},
		{"911" + tail, []string{"1:1: error: operation code 911 is not known"}},
		{"hello" + tail, []string{`1:1: error: "hel" is no operation code`}},
		{"327NNAME7           R1    -1          A01" + tail, []string{"1:4: error: NNAME7 stands for a long name that is not given"}},
		{"P  UNITS SI" + tail, []string{`1:10: error: units "SI" are not known`}},
		{"327A" + tail, []string{"1:21: error: the reference is missing"}},
		{"327tapµ              R1    -1          A01" + tail, []string{"1:1: error: a record has ASCII characters alone"}},
	} {
		_, list := Read("", []byte(c.text))
		for i, want := range c.want {
			if i >= len(list) {
				t.Errorf("%q: %v, want %s", c.text, list, want)
				break
			}
			if got := list[i].Place.String() + ": " + list[i].Level.String() + ": " + list[i].Text; !strings.HasPrefix(got, ":"+want) {
				t.Errorf("%q:\n%s\nwant %s", c.text, got, want)
			}
		}
	}
}

func TestWhatCannotBeWritten(t *testing.T) {
	for _, c := range []struct {
		pad  Pad
		want string
	}{
		{Pad{Op: 999, Ref: "R1"}, "no operation code"},
		{Pad{Op: Surface, Ref: "R1", Pin: "2", At: &Point{X: 30}}, "R1.2: x 1.1811024e+07 does not fit"},
		{Pad{Op: Surface, Ref: "R1", Net: strings.Repeat("x", 70)}, "at most 66 characters"},
		{Pad{Op: Surface, Ref: ""}, "cannot be written as a reference"},
		{Pad{Op: Surface, Ref: "R1", Width: math.NaN()}, "does not fit"},
	} {
		var b strings.Builder
		err := Write(&b, &File{Pads: []Pad{c.pad}})
		if err == nil || !strings.Contains(err.Error(), c.want) || b.Len() > 0 {
			t.Errorf("%+v: %v", c.pad, err)
		}
	}
}

// TestRoundTrip: what is written reads back the same, on the grid of the units.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFile(t)
		var b strings.Builder
		if err := Write(&b, f); err != nil {
			t.Fatal(err)
		}
		back, list := Read("x", []byte(b.String()))
		if len(list) > 0 {
			t.Fatalf("%v\n%s", list, b.String())
		}
		if d := cmp.Diff(f, back, cmpFloats); d != "" {
			t.Fatalf("%s\n%s", d, b.String())
		}
	})
}

func drawFile(t *rapid.T) *File {
	name := rapid.OneOf(
		rapid.StringMatching(`[a-z][a-z0-9+-]{0,30}`),
		rapid.StringMatching(`NNAME[0-9]`), rapid.Just("N/C"), rapid.Just("tap-µ"), rapid.Just(""), rapid.Just("two words"),
	)
	ref := rapid.OneOf(rapid.StringMatching(`[A-Z]{1,2}[0-9]{1,6}(\.[0-9]{1,3})?`), rapid.Just("B-"), rapid.Just("~1"), rapid.Just("Ω5"))
	f := &File{Job: "x", Title: rapid.StringMatching(`[a-z]{1,20}`).Draw(t, "title"), Units: Units(rapid.IntRange(0, 2).Draw(t, "units"))}
	placed := rapid.Bool().Draw(t, "placed")
	for range rapid.IntRange(0, 8).Draw(t, "pads") {
		p := Pad{
			Op:  rapid.SampledFrom([]Op{ThroughHole, Surface, NoCopper, Blind}).Draw(t, "op"),
			Net: name.Draw(t, "net"), Ref: ref.Draw(t, "ref"), Access: rapid.IntRange(0, 99).Draw(t, "access"),
			Pin: rapid.StringMatching(`([0-9]{1,6})?`).Draw(t, "pin"), MidPoint: rapid.Bool().Draw(t, "mid"),
		}
		length := func(label string, limit int) float64 {
			return float64(rapid.IntRange(0, limit).Draw(t, label)) * f.Units.step()
		}
		p.Width, p.Height = length("w", 9999), length("h", 9999)
		p.Rotation = float64(rapid.IntRange(0, 359).Draw(t, "turn")) * f.Units.turn()
		if rapid.Bool().Draw(t, "drilled") {
			p.Hole = &Hole{Diameter: length("hole", 9999), Plated: rapid.Bool().Draw(t, "plated")}
		}
		if placed || rapid.Bool().Draw(t, "has a place") {
			p.At = &Point{X: length("x", 999998) + f.Units.step(), Y: -length("y", 999999)}
		}
		f.Pads = append(f.Pads, p)
	}
	return f
}

// FuzzRead: whatever is read without a mistake is written and reads back.
func FuzzRead(f *testing.F) {
	f.Add("P  JOB   x\nP  UNITS CUST 1\nP  NNAME1 a long name of a net\n327NNAME1           R1    -1          A01X+000010Y+000000X0000Y0000R001" + tail)
	f.Add("C  " + unplaced + "\nC  WHOLE NAME ~1 R1234567\n327A                ~1    -1          A01X+000000Y+000000" + tail)
	f.Add("317B-               J1    -1    D0472PA00X+002500Y-001000X0800Y0000R000\n378A   X0\n999")
	f.Fuzz(func(t *testing.T, text string) {
		file, list := Read("x", []byte(text))
		if len(list) > 0 {
			for _, l := range list {
				if l.Place.Line < 1 || l.Place.Column < 1 {
					t.Fatalf("%q: %v", text, l)
				}
			}
			return
		}
		var b strings.Builder
		if err := Write(&b, file); err != nil {
			return // a name that is too long
		}
		back, list := Read("x", []byte(b.String()))
		if len(list) > 0 || len(back.Pads) != len(file.Pads) {
			t.Fatalf("%q\n%s\n%v", text, b.String(), list)
		}
		if a, b := fmt.Sprint(file.Nets()), fmt.Sprint(back.Nets()); a != b {
			t.Fatalf("%q: %s, then %s", text, a, b)
		}
	})
}
