package schematic

import (
	"strings"
	"testing"

	"cupel/internal/board"
)

// two is a board of two resistors in series, and a sheet of it without fault.
func two() (*board.Board, *Sheet) {
	pin := func(n board.NetID, names ...string) (pins []board.Pin) {
		for i, name := range names {
			pins = append(pins, board.Pin{Name: name, Net: n + board.NetID(i)})
		}
		return pins
	}
	b := &board.Board{
		Nets:  []board.Net{{Name: "a"}, {Name: "b"}, {Name: "c"}},
		Parts: []board.Part{{Ref: "R1", Pins: pin(0, "1", "2")}, {Ref: "R2", Pins: pin(1, "1", "2")}},
	}
	part := func(i, x int) Symbol {
		at := Point{x, 100}
		o := outlines[Resistor]
		s := Symbol{Ref: b.Parts[i].Ref, Part: i, Shape: Resistor, At: at, Body: o.Body.Add(at)}
		for _, p := range b.Parts[i].Pins {
			p1 := o.Pins[p.Name].Add(at)
			s.Pins = append(s.Pins, Pin{Name: p.Name, Net: p.Net, At: p1, Root: Point{min(max(p1.X, s.Body.Min.X), s.Body.Max.X), 100}})
		}
		s.Label = []Line{NewLine(s.Ref, RefText, Point{x, 90}, Middle)}
		return s
	}
	return b, &Sheet{
		Size: Point{400, 200}, Nets: []Net{{Name: "a"}, {Name: "b"}, {Name: "c"}},
		Symbols: []Symbol{part(0, 100), part(1, 200)},
		Wires:   []Wire{{Net: 1, Points: []Point{{120, 100}, {180, 100}}}},
	}
}

// faults are sheets with one thing wrong, and what must be said of it.
var faults = []struct {
	name string
	do   func(s *Sheet)
	want string
}{
	{"a text on a symbol", func(s *Sheet) {
		s.Texts = []Text{{NewLine("note", NoteText, Point{190, 102}, Start)}}
	}, "text note"},
	{"two texts", func(s *Sheet) {
		s.Texts = []Text{{NewLine("one", NoteText, Point{20, 20}, Start)}, {NewLine("two", NoteText, Point{25, 22}, Start)}}
	}, "lies on text"},
	{"two symbols", func(s *Sheet) { s.Symbols[1].Body = s.Symbols[0].Body.Add(Point{5, 0}) }, "R1 lies on R2"},
	{"a name on a text", func(s *Sheet) {
		l := NewLine("a", NetText, Point{98, 88}, Start)
		s.Names = []Name{{Net: 0, Line: l, Box: l.Box, At: Point{80, 100}}}
	}, "name a"},
	{"a wire through a text", func(s *Sheet) {
		s.Wires = append(s.Wires, Wire{Net: 2, Points: []Point{{220, 100}, {220, 86}, {60, 86}}})
	}, "runs through text R"},
	{"a wire through a symbol", func(s *Sheet) {
		s.Wires = append(s.Wires, Wire{Net: 2, Points: []Point{{220, 100}, {220, 50}, {200, 50}, {200, 180}}})
	}, "runs through R2"},
	{"two wires along each other", func(s *Sheet) {
		s.Wires = append(s.Wires, Wire{Net: 0, Points: []Point{{80, 100}, {80, 130}, {150, 130}, {150, 100}, {160, 100}}})
	}, "touch"},
	{"a wire that ends on another", func(s *Sheet) {
		s.Wires = append(s.Wires, Wire{Net: 0, Points: []Point{{80, 100}, {80, 130}, {150, 130}, {150, 100}}})
	}, "touch"},
	{"a wire over a lead", func(s *Sheet) {
		s.Wires = append(s.Wires, Wire{Net: 2, Points: []Point{{220, 100}, {220, 60}, {116, 60}, {116, 140}}})
	}, "touch"},
	{"a wire that is missing", func(s *Sheet) { s.Wires = nil }, "net b: the piece"},
	{"half a name", func(s *Sheet) {
		s.Wires = nil
		l := NewLine("b", NetText, Point{130, 120}, Start)
		s.Names = []Name{{Net: 1, Line: l, Box: l.Box, At: Point{120, 100}}}
	}, "net b: the piece"},
	{"a pin on another net", func(s *Sheet) { s.Symbols[1].Pins[1].Net = 0 }, "R2.2"},
	{"a part that is missing", func(s *Sheet) { s.Symbols = s.Symbols[:1] }, "R2 is drawn 0 times"},
	{"a part drawn twice", func(s *Sheet) { s.Symbols = append(s.Symbols, s.Symbols[1]) }, "R2 is drawn 2 times"},
	{"a junction without its dot", func(s *Sheet) {
		s.Wires = append(s.Wires, Wire{Net: 1, Points: []Point{{120, 100}, {120, 130}}})
	}, "without a dot"},
	{"a dot without its junction", func(s *Sheet) { s.Junctions = []Junction{{1, Point{150, 100}}} }, "a dot at"},
}

func TestCheckFindsFaults(t *testing.T) {
	b, s := two()
	if got := append(s.Overlaps(), s.Verify(b)...); len(got) != 0 {
		t.Fatalf("the sheet without fault: %q", got)
	}
	for _, f := range faults {
		t.Run(f.name, func(t *testing.T) {
			b, s := two()
			f.do(s)
			got := append(s.Overlaps(), s.Verify(b)...)
			for _, x := range got {
				if strings.Contains(x, f.want) {
					return
				}
			}
			t.Errorf("nothing like %q in %q", f.want, got)
		})
	}
}

func TestCrossingsAndBendsAreCounted(t *testing.T) {
	_, s := two()
	s.Wires = append(s.Wires, Wire{Net: 2, Points: []Point{{220, 100}, {220, 140}, {150, 140}, {150, 40}}})
	if st := s.Count(); st.Crossings != 1 || st.Bends != 2 || st.Overlaps != 0 || st.Parts != 2 {
		t.Errorf("%+v", st)
	}
}

func TestTurns(t *testing.T) {
	p := Point{20, 10}
	for _, c := range []struct {
		turn Turn
		want Point
	}{
		{Turn{}, Point{20, 10}},
		{Turn{Quarters: 1}, Point{-10, 20}},
		{Turn{Quarters: 2}, Point{-20, -10}},
		{Turn{Quarters: 3}, Point{10, -20}},
		{Turn{Mirror: true}, Point{-20, 10}},
		{Turn{Quarters: 1, Mirror: true}, Point{-10, -20}},
	} {
		if got := c.turn.Point(p); got != c.want {
			t.Errorf("%+v turns %v to %v, want %v", c.turn, p, got, c.want)
		}
	}
}

func TestRoomIsWhereNothingLies(t *testing.T) {
	_, s := two()
	r := s.Room()
	first, ok := r.BesideNet(1, "7.40 V", NoteText)
	if !ok {
		t.Fatal("no room at an empty wire")
	}
	second, ok := r.BesideNet(1, "7.40 V", NoteText)
	if ok && second.Box.Overlaps(first.Box) {
		t.Error("the second text lies on the first")
	}
	s.Texts = append(s.Texts, Text{first})
	if got := s.Overlaps(); len(got) != 0 {
		t.Errorf("the text lies on something: %q", got)
	}
}
