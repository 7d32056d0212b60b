package role_test

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/dossier"
	"cupel/internal/explain/fault"
	"cupel/internal/explain/role"
)

// renamed is a board with other names for every part and net.
func renamed(b *board.Board, part, net string, from int) *board.Board {
	c := *b
	c.Parts, c.Nets = slices.Clone(b.Parts), slices.Clone(b.Nets)
	for i := range c.Parts {
		c.Parts[i].Ref = fmt.Sprintf("%s%d", part, from-i)
	}
	for n := range c.Nets {
		c.Nets[n].Name = fmt.Sprintf("%s%d", net, from+n)
	}
	return &c
}

func explainAs(t testing.TB, d *dossier.Dossier, b *board.Board) []role.Part {
	t.Helper()
	e := *d
	e.Board = b
	return role.Parts(role.Input{Board: b, Sheets: d.Sheets.Sheet, Faults: tried(t, &e, fault.Open)})
}

// TestRenaming holds that names mean nothing: with all of them changed, every
// part has the same role, and its sentence differs in names alone.
func TestRenaming(t *testing.T) {
	if testing.Short() {
		t.Skip("dozens of screenings")
	}
	const name = "ferry-3s" // some of its parts are known by experiment alone
	d, want := open(t, name), readKey(t, name)
	b, c := renamed(d.Board, "X", "knot", 900), renamed(d.Board, "Part", "wire", 500)
	was, is := explainAs(t, d, b), explainAs(t, d, c)
	for i := range was {
		ref := d.Board.Parts[i].Ref
		if keyOf(was[i]) != want[ref] || keyOf(is[i]) != want[ref] || was[i].Grade != is[i].Grade {
			t.Errorf("%s is %v; renamed to %s it is %v %s, to %s %v %s", ref, want[ref], was[i].Ref, keyOf(was[i]), was[i].Grade, is[i].Ref, keyOf(is[i]), is[i].Grade)
		}
		if x, y := bare(b, was[i].Sentence), bare(c, is[i].Sentence); x != y {
			t.Errorf("sentences of %s differ in more than names:\n%s\n%s", ref, x, y)
		}
	}
}

// values are numbers with the units that sentences hold.
var values = regexp.MustCompile(`[0-9][0-9.]* ?([mµkMn]?[ΩVWFAs]|%)`)

// bare is a sentence without the names of a board and without values.
func bare(b *board.Board, s string) string {
	var pairs []string
	for i := range b.Parts {
		pairs = append(pairs, b.Parts[i].Ref)
	}
	for i := range b.Nets {
		pairs = append(pairs, b.Nets[i].Name)
	}
	slices.SortFunc(pairs, func(x, y string) int { return len(y) - len(x) })
	for _, p := range pairs {
		s = regexp.MustCompile(`(^|[^\pL\pN-])`+regexp.QuoteMeta(p)+`($|[^\pL\pN-])`).ReplaceAllString(s, "${1}_${2}")
	}
	return values.ReplaceAllString(s, "#")
}

// TestSentencesTellResultsApart holds that two parts whose faults do different
// things never share a sentence, names and values aside.
func TestSentencesTellResultsApart(t *testing.T) {
	if testing.Short() {
		t.Skip("dozens of screenings")
	}
	d := open(t, "hive-3s")
	rows := tried(t, d, fault.Open, fault.OneOpen, fault.Short, fault.Tenfold, fault.Tenth)
	results := map[string]string{}
	for _, r := range rows {
		res := r.Result
		for i := range res.Floats {
			res.Floats[i] = "_"
		}
		results[r.Fault.Ref(d.Board)] += fmt.Sprintf("%s %+v\n", r.Fault.Name(), res)
	}
	first := map[string]string{}
	for _, p := range role.Parts(role.Input{Board: d.Board, Sheets: d.Sheets.Sheet, Faults: rows}) {
		s := bare(d.Board, p.Sentence)
		other, seen := first[s]
		if seen && results[other] != results[p.Ref] {
			t.Errorf("%s and %s share the sentence\n%s\nbut their faults do\n%s\nand\n%s", other, p.Ref, s, results[other], results[p.Ref])
		}
		first[s] = p.Ref
	}
}

// TestPhrasesTellResultsApart holds the same of the phrases, over every fault of
// a board, pins and bridges included.
func TestPhrasesTellResultsApart(t *testing.T) {
	if testing.Short() {
		t.Skip("dozens of screenings")
	}
	d := open(t, "hive-3s")
	rows := tried(t, d, fault.Open, fault.Short, fault.PinOpen, fault.Bridge, fault.LeadOpen)
	first := map[string]fault.Result{}
	for _, r := range rows {
		s := role.Phrase(r.Result)
		if other, seen := first[s]; seen && !reflect.DeepEqual(other, r.Result) {
			t.Errorf("two results share the phrase %q:\n%+v\n%+v", s, other, r.Result)
		}
		first[s] = r.Result
	}
}

// TestUnknown holds that a part which does nothing stays unknown, with a question,
// and is not taken for the drawing nearest to it.
func TestUnknown(t *testing.T) {
	d := open(t, "ferry-3s")
	b := *d.Board
	extra := b.Parts[slices.IndexFunc(b.Parts, func(p board.Part) bool { return p.Ref == "R4" })]
	extra.Ref = "R99"
	extra.Pins = []board.Pin{{Name: "1", Net: b.Net("and2")}, {Name: "2", Net: b.Net("and1")}}
	b.Parts = append(slices.Clone(b.Parts), extra)
	d.Board = &b
	asked := ""
	parts := role.Parts(role.Input{
		Board: &b, Sheets: d.Sheets.Sheet, Faults: tried(t, d, fault.Open),
		Ask: func(i int) string { asked += b.Parts[i].Ref; return "measure" },
	})
	p := parts[len(parts)-1]
	if p.Role != role.Unknown || p.Grade != "unknown" || p.Ask != "measure" || asked != "R99" {
		t.Errorf("R99 is %s, grade %s, ask %q, asked of %s; want it alone unknown", p.Role, p.Grade, p.Ask, asked)
	}
	if !strings.Contains(p.Sentence, "not understood") || !strings.Contains(p.Sentence, "not tried") {
		t.Errorf("the sentence hides what is not known: %s", p.Sentence)
	}
}

// TestContradicted holds that a drawing which the experiment denies is not
// believed: a second shifter beside the first makes the first one's loss no loss.
func TestContradicted(t *testing.T) {
	d := open(t, "kiln-3s")
	b := *d.Board
	b.Parts = slices.Clone(b.Parts)
	for _, ref := range []string{"R106", "R107", "Q102", "R108"} {
		p, _ := d.Board.Part(ref)
		twin := *p
		twin.Ref += "b"
		twin.Pins = slices.Clone(p.Pins)
		for i := range twin.Pins {
			if n := b.Nets[twin.Pins[i].Net].Name; n == "base-co1" || n == "out-co1" {
				twin.Pins[i].Net = addNet(&b, n+"-twin")
			}
		}
		b.Parts = append(b.Parts, twin)
	}
	d.Board = &b
	fs := triedOf(t, d, func(f fault.Fault) bool { return f.Kind == fault.Open && f.Ref(&b) == "R108" })
	for _, p := range role.Parts(role.Input{Board: &b, Sheets: d.Sheets.Sheet, Faults: fs}) {
		if p.Ref == "R108" && p.Grade != "contradicted" {
			t.Errorf("R108 beside a twin is %s: %s", p.Grade, p.Sentence)
		}
	}
}

// addNet returns the net of that name, made if it is not there.
func addNet(b *board.Board, name string) board.NetID {
	if n := b.Net(name); n != board.NoNet {
		return n
	}
	b.Nets = append(slices.Clone(b.Nets), board.Net{Name: name})
	return board.NetID(len(b.Nets) - 1)
}
