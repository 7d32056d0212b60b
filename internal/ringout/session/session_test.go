package session

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"cupel/internal/finding"
	"cupel/internal/ringout"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// lamp is a small sample: a resistor and a capacitor between two terminals.
func lamp() *ringout.Sample {
	s := &ringout.Sample{Cells: 1}
	for _, t := range []string{"B-", "T1", "P-"} {
		s.AddPad(ringout.Pad{Name: t, Terminal: t})
	}
	two := []ringout.Pin{{Name: "1", Numbers: []int{1}}, {Name: "2", Numbers: []int{2}}}
	s.AddPart(ringout.Part{Ref: "R1", Kind: "resistor", Value: 330}, two)
	s.AddPart(ringout.Part{Ref: "C1", Kind: "capacitor", Value: 1e-7}, two)
	return s
}

func begin(t testing.TB) *Session {
	t.Helper()
	s, list := New(lamp(), ringout.Log{}, Options{})
	if len(list) > 0 {
		t.Fatal(list)
	}
	return s
}

func pair(a, b string, r ringout.Result) ringout.Entry {
	return ringout.Entry{Kind: ringout.Pair, A: a, B: []string{b}, Result: r}
}

func TestAddAsksToKeepFirst(t *testing.T) {
	s := begin(t)
	var kept []int
	keep := func(e ringout.Entry) error {
		if n := len(s.Log().Entries); n != e.Number-1 {
			t.Errorf("entry %d is kept when the session has %d", e.Number, n)
		}
		kept = append(kept, e.Number)
		return nil
	}
	for _, e := range []ringout.Entry{pair("T1", "R1.1", ringout.Connected), pair("B-", "C1.2", ringout.Open)} {
		if _, err := s.Add(e, keep); err != nil {
			t.Fatal(err)
		}
	}
	if !cmp.Equal(kept, []int{1, 2}) || s.Touches() != 2 {
		t.Errorf("kept %v, %d touches", kept, s.Touches())
	}
}

// What is wrong, or cannot be kept, changes nothing.
func TestWhatFailsChangesNothing(t *testing.T) {
	full := errors.New("the disk is full")
	for _, c := range []struct {
		name string
		do   func(*Session) error
		want string
	}{
		{"no such pad", func(s *Session) error { _, err := s.Add(pair("T1", "R9.1", ringout.Open), Forget); return err }, `no pad "R9.1"`},
		{"a pad twice", func(s *Session) error { _, err := s.Add(pair("T1", "T1", ringout.Open), Forget); return err }, "stands twice"},
		{"an undo added", func(s *Session) error {
			_, err := s.Add(ringout.Entry{Kind: ringout.Undo, Undoes: 1}, Forget)
			return err
		}, "name the entry"},
		{"undo of nothing", func(s *Session) error { _, err := s.Undo(7, ringout.Entry{}, Forget); return err }, "no entry 7"},
		{"not kept", func(s *Session) error {
			_, err := s.Add(pair("T1", "C1.1", ringout.Open), func(ringout.Entry) error { return full })
			return err
		}, "the disk is full"},
		{"an undo not kept", func(s *Session) error {
			_, err := s.Undo(0, ringout.Entry{}, func(ringout.Entry) error { return full })
			return err
		}, "the disk is full"},
	} {
		s := begin(t)
		if _, err := s.Add(pair("T1", "R1.1", ringout.Connected), Forget); err != nil {
			t.Fatal(err)
		}
		if err := c.do(s); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
		if len(s.Log().Entries) != 1 || s.Copper().Readings() != 1 {
			t.Errorf("%s: %d entries, %d readings", c.name, len(s.Log().Entries), s.Copper().Readings())
		}
	}
}

// A log that names a pad that is gone is told, and the rest of it counts.
func TestLogOfAnotherBoard(t *testing.T) {
	log := ringout.Log{Entries: []ringout.Entry{pair("T1", "R1.1", ringout.Connected), pair("T1", "R7.1", ringout.Connected)}}
	for i := range log.Entries {
		log.Entries[i].Number = i + 1
	}
	s, list := New(lamp(), log, Options{})
	if len(list) != 1 || list[0].Code != NoSuchPad || list[0].Level != finding.Error || !strings.Contains(list[0].Text, "entry 2") {
		t.Errorf("%v", list)
	}
	if s.Copper().Readings() != 1 {
		t.Errorf("%d readings", s.Copper().Readings())
	}
}

// Whatever a person does, the session knows what the log says: another one that
// begins with that log knows the same.
func TestLogIsAll(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := begin(t)
		var kept ringout.Log
		keep := func(e ringout.Entry) error {
			if rapid.IntRange(0, 9).Draw(rt, "fails") == 0 {
				return fmt.Errorf("not now")
			}
			kept.Entries = append(kept.Entries, e)
			return nil
		}
		for range rapid.IntRange(0, 15).Draw(rt, "actions") {
			switch rapid.IntRange(0, 3).Draw(rt, "action") {
			case 0, 1:
				if a, ok := s.Next(); ok {
					_, _ = s.Add(s.Answer(a, rapid.SampledFrom([]ringout.Result{ringout.Connected, ringout.Open}).Draw(rt, "result"), 0), keep)
				}
			case 2:
				_, _ = s.Undo(rapid.IntRange(0, 5).Draw(rt, "undo"), ringout.Entry{}, keep)
			case 3:
				if a, ok := s.Next(); ok {
					s.PutOff(a)
					if b, ok := s.Next(); ok && cmp.Equal(a, b) {
						rt.Fatalf("%v is asked again", a)
					}
				}
			}
		}
		again, list := New(lamp(), kept, Options{})
		if len(list) > 0 {
			rt.Fatal(list)
		}
		if d := cmp.Diff(again.Copper().Nets(), s.Copper().Nets()); d != "" {
			rt.Fatal(d)
		}
		if d := cmp.Diff(kept.Entries, s.Log().Entries); d != "" {
			rt.Fatal(d)
		}
	})
}

// Answered truthfully it comes to an end, and knows the board.
func TestToTheEnd(t *testing.T) {
	net := map[string]int{"B-": 0, "T1": 1, "P-": 0, "R1.1": 1, "R1.2": 2, "C1.1": 2, "C1.2": 0}
	s := begin(t)
	for range 100 {
		a, ok := s.Next()
		if !ok {
			break
		}
		e := s.Answer(a, ringout.Open, 0)
		for _, b := range e.B {
			if net[b] == net[e.A] {
				e.Result = ringout.Connected
			}
		}
		if e.Kind == ringout.Sweep && e.Result == ringout.Connected {
			e.Kind, e.B = ringout.Pair, e.B[:1]
			if net[e.B[0]] != net[e.A] {
				e.Result = ringout.Open
			}
		}
		if _, err := s.Add(e, Forget); err != nil {
			t.Fatal(err)
		}
	}
	if _, more := s.Next(); more {
		t.Error("it asks on and on")
	}
	for a, n := range net {
		for b, m := range net {
			x, _ := s.Sample().Pad(a)
			y, _ := s.Sample().Pad(b)
			if (s.Copper().Net(x) == s.Copper().Net(y)) != (n == m) {
				t.Errorf("%s and %s", a, b)
			}
		}
	}
}
