package ringout

import (
	"bytes"
	"strings"
	"testing"

	"cupel/internal/finding"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var example = []Entry{
	{Number: 1, Kind: Pair, A: "U3.2", B: []string{"R11.1"}, Result: Connected, Meter: Meter{BeepOhms: 50, LeadOhms: 0.2}, By: "ana", When: "2026-03-01 10:12", Note: `she said "beep", twice`},
	{Number: 2, Kind: Sweep, A: "T1", B: []string{"U3.5", "Q7.1"}, Result: Open, By: "ana"},
	{Number: 3, Kind: Bridge, A: "T2", B: []string{"U3.5", "Q7.1", "R11.2"}, Result: Open},
	{Number: 4, Kind: Pair, A: "R9.1", B: []string{"R9.2"}, Result: Ohms, Value: 43.2, Reversed: true, InCircuit: true},
	{Number: 5, Kind: Undo, Undoes: 2},
	{Number: 6, Kind: Pair, A: "D1.1", B: []string{"D1.2"}, Result: Drop, Value: 0.61},
}

func write(t testing.TB, entries []Entry) []byte {
	t.Helper()
	b := bytes.NewBuffer(Header())
	for _, e := range entries {
		if err := AppendEntry(b, e); err != nil {
			t.Fatal(err)
		}
	}
	return b.Bytes()
}

func TestLogReadsBack(t *testing.T) {
	src := write(t, example)
	log, found := ReadLog(LogName, src)
	if len(found) != 0 {
		t.Fatalf("%v", found)
	}
	if d := cmp.Diff(example, log.Entries); d != "" {
		t.Error(d)
	}
	if log.Sound != len(src) || log.Next() != 7 {
		t.Errorf("sound %d of %d, next %d", log.Sound, len(src), log.Next())
	}
	if n := bytes.Count(src, []byte("\n")); n != len(example)+1 {
		t.Errorf("%d lines for %d entries", n, len(example))
	}
}

// A kill at any byte loses at most the entry being written, and never one
// that was acknowledged: every entry whose line was whole is read.
func TestKillAtEveryByte(t *testing.T) {
	src := write(t, example)
	for cut := len(Header()); cut <= len(src); cut++ {
		whole := bytes.Count(src[:cut], []byte("\n")) - 1
		log, found := ReadLog(LogName, src[:cut])
		if len(log.Entries) != whole {
			t.Fatalf("cut at %d: %d entries of %d", cut, len(log.Entries), whole)
		}
		if found.Has(finding.Error) || len(found) > 1 {
			t.Fatalf("cut at %d: %v", cut, found)
		}
		// What the next session appends behind the sound part is read.
		next := Entry{Number: log.Next(), Kind: Pair, A: "x", B: []string{"y"}, Result: Open}
		b := bytes.NewBuffer(bytes.Clone(src[:log.Sound]))
		if err := AppendEntry(b, next); err != nil {
			t.Fatal(err)
		}
		again, found := ReadLog(LogName, b.Bytes())
		if len(found) != 0 || len(again.Entries) != whole+1 {
			t.Fatalf("cut at %d, then one more: %d entries, %v", cut, len(again.Entries), found)
		}
	}
}

func TestBadLines(t *testing.T) {
	head := string(Header())
	for _, c := range []struct{ line, want string }{
		{"1,pair,a,b", "4 fields"},
		{"0,pair,a,b,open,,,a,stripped,,,,,,", "a number from 1 up"},
		{"x,pair,a,b,open,,,a,stripped,,,,,,", `"x" is no whole number`},
		{"1,pear,a,b,open,,,a,stripped,,,,,,", `"pear" is none of`},
		{"1,pair,a,b c,open,,,a,stripped,,,,,,", "has one pad b"},
		{"1,pair,a,a,open,,,a,stripped,,,,,,", "stands twice"},
		{"1,pair,a,b,maybe,,,a,stripped,,,,,,", `"maybe" is none of`},
		{"1,pair,a,b,ohms,-3,Ohm,a,stripped,,,,,,", "no number of 0"},
		{"1,pair,a,b,ohms,3,V,a,stripped,,,,,,", "does not go with"},
		{"1,pair,a,b,open,,,a,in the box,,,,,,", `is "in the box"`},
		{"1,undo,,,,,,,,,,3,,,", "none before it"},
		{`1,pair,"a,b,open,,,a,stripped,,,,,,`, "no CSV"},
	} {
		log, found := ReadLog(LogName, []byte(head+c.line+"\n2,pair,a,b,open,,,a,stripped,,,,,,\n"))
		if len(found) != 1 || !strings.Contains(found[0].Text, c.want) || found[0].Place.Line != 2 || found[0].Do == "" {
			t.Errorf("%s: %v, want %q", c.line, found, c.want)
		}
		if len(log.Entries) != 1 || log.Entries[0].Number != 2 {
			t.Errorf("%s: the line after it was not read", c.line)
		}
	}
	if _, found := ReadLog(LogName, []byte("a,b\n")); len(found) != 1 || found[0].Code != NoHeader {
		t.Errorf("%v", found)
	}
}

func TestUndo(t *testing.T) {
	undo := func(n, of int) Entry { return Entry{Number: n, Kind: Undo, Undoes: of} }
	read := func(n int) Entry { return Entry{Number: n, Kind: Pair, A: "a", B: []string{"b"}, Result: Open} }
	for _, c := range []struct {
		log  []Entry
		want []int
	}{
		{[]Entry{read(1), read(2)}, []int{1, 2}},
		{[]Entry{read(1), read(2), undo(3, 2)}, []int{1}},
		{[]Entry{read(1), undo(2, 1), undo(3, 2)}, []int{1}},                 // an undo undone
		{[]Entry{read(1), undo(2, 1), undo(3, 2), undo(4, 3)}, nil},          // and that again
		{[]Entry{read(1), undo(2, 1), undo(3, 1), read(4)}, []int{1, 4}[1:]}, // undone twice is undone
	} {
		var got []int
		for _, e := range (Log{Entries: c.log}).Active() {
			got = append(got, e.Number)
		}
		if !cmp.Equal(got, c.want) {
			t.Errorf("%v: active %v, want %v", c.log, got, c.want)
		}
	}
}

func TestTouches(t *testing.T) {
	b := func(a string, pads ...string) Entry { return Entry{Kind: Bridge, A: a, B: pads} }
	for _, c := range []struct {
		log  []Entry
		want int
	}{
		{[]Entry{{Kind: Pair, A: "a", B: []string{"b"}}}, 1},
		{[]Entry{{Kind: Sweep, A: "a", B: []string{"b", "c", "d"}}}, 3},
		{[]Entry{b("a", "x", "y", "z")}, 4},
		{[]Entry{b("a", "x", "y", "z"), b("b", "x", "y", "z"), b("c", "x", "z")}, 6}, // it serves
		{[]Entry{b("a", "x", "y"), b("a", "x", "w")}, 5},
		{[]Entry{{Kind: Undo}}, 0},
	} {
		if got := Touches(c.log); got != c.want {
			t.Errorf("%v: %d touches, want %d", c.log, got, c.want)
		}
	}
}

// A bench has so many clips: more pads than that cost a touch each time again.
func TestTouchesRunOutOfClips(t *testing.T) {
	var s Strip
	pads := make([]string, Clips)
	for i := range pads {
		pads[i] = strings.Repeat("p", i+1)
	}
	if n := s.Use(pads); n != Clips {
		t.Errorf("%d clipped", n)
	}
	if n := s.Use([]string{"new"}); n != 1 || len(s.Pads) != Clips {
		t.Errorf("%d clipped, %d on the strip", n, len(s.Pads))
	}
	if n := s.Use(pads[:1]); n != 1 { // the one moved was the one unused longest
		t.Errorf("%d clipped", n)
	}
}

func genEntry(n int) *rapid.Generator[Entry] {
	return rapid.Custom(func(t *rapid.T) Entry {
		word := rapid.StringMatching(`[A-Za-z0-9.+",'-]{1,6}`)
		e := Entry{
			Number: n, Kind: rapid.SampledFrom([]EntryKind{Pair, Sweep, Bridge}).Draw(t, "kind"), A: "A" + word.Draw(t, "a"),
			Result: rapid.SampledFrom([]Result{Connected, Open, Ohms, Drop}).Draw(t, "result"),
			Note:   strings.Join(rapid.SliceOf(word).Draw(t, "note"), " "), Reversed: rapid.Bool().Draw(t, "red"), InCircuit: rapid.Bool().Draw(t, "in"),
		}
		e.B = rapid.SliceOfNDistinct(word, 1, 4, rapid.ID[string]).Draw(t, "b")
		if e.Kind == Pair {
			e.B = e.B[:1]
		}
		for i := range e.B {
			e.B[i] = "B" + e.B[i]
		}
		if e.Result == Ohms || e.Result == Drop {
			e.Value = rapid.Float64Range(0, 1e9).Draw(t, "value")
		}
		return e
	})
}

func TestEntriesGoRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := genEntry(1).Draw(t, "entry")
		b := bytes.NewBuffer(Header())
		if err := AppendEntry(b, e); err != nil {
			t.Fatal(err)
		}
		log, found := ReadLog(LogName, b.Bytes())
		if len(found) != 0 || len(log.Entries) != 1 {
			t.Fatalf("%v", found)
		}
		if d := cmp.Diff(e, log.Entries[0]); d != "" {
			t.Fatal(d)
		}
	})
}

// Whatever is read goes round; nothing crashes the reader.
func FuzzReadLog(f *testing.F) {
	f.Add(write(f, example))
	f.Add([]byte("number\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		log, _ := ReadLog(LogName, src)
		if log.Sound > len(src) {
			t.Fatal("more sound than there is")
		}
		again, found := ReadLog(LogName, write(t, log.Entries))
		if found.Has(finding.Error) {
			t.Fatalf("%v", found)
		}
		if d := cmp.Diff(log.Entries, again.Entries); d != "" {
			t.Fatal(d)
		}
	})
}
