package study

import (
	"fmt"
	"strings"
	"testing"

	"cupel/internal/board"
	"cupel/internal/board/boardfile"
	"cupel/internal/dossier"
	"cupel/internal/dossier/demo"
	"cupel/internal/finding"
	"cupel/internal/ringout"
	"cupel/internal/ringout/session"
	"cupel/internal/ringout/strip"
)

func demoDossier(t testing.TB, name string) *dossier.Dossier {
	t.Helper()
	texts, ok := demo.Texts(name)
	if !ok {
		t.Fatalf("no demo %s", name)
	}
	return dossier.OfTexts(texts)
}

// readings are all readings that a whole board takes by representatives: each
// pad against one pad of every net before it.
func readings(d *dossier.Dossier) []ringout.Entry {
	s, truth := strip.Board(d.Board, d.Sheets.Sheet)
	var out []ringout.Entry
	var first []int
	for i := range s.Pads {
		joined := false
		for _, r := range first {
			e := ringout.Entry{Number: len(out) + 1, Kind: ringout.Pair, A: s.Pads[r].Name, B: []string{s.Pads[i].Name}, Result: ringout.Open}
			if truth[r] == truth[i] && truth[i] >= 0 {
				e.Result, joined = ringout.Connected, true
			}
			out = append(out, e)
		}
		if !joined {
			first = append(first, i)
		}
	}
	return out
}

// unwired takes all that is known of nets out of a board's text, but the pads'.
func unwired(t testing.TB, d *dossier.Dossier) *dossier.Dossier {
	t.Helper()
	b := *d.Board
	b.Parts = append([]board.Part(nil), b.Parts...)
	src := string(d.Texts[boardfile.Name])
	head, _, _ := strings.Cut(src, "\nparts:")
	src = head + "\nparts:\n"
	for _, p := range b.Parts {
		src += "  " + p.Ref + ": {"
		if p.Sheet != "" {
			src += "sheet: " + p.Sheet
		}
		if p.Value.Given() {
			src += "value: " + p.Value.Text
		}
		if p.Kind != "" {
			src += ", kind: " + string(p.Kind)
		}
		if p.Count > 1 {
			src += fmt.Sprintf(", count: %d", p.Count)
		}
		src += "}   # of " + p.Ref + "\n"
	}
	out := reread(d, []byte(src))
	if err := out.Findings.Err(); err != nil {
		t.Fatalf("%v\n%s", err, src)
	}
	return out
}

func open(t testing.TB, d *dossier.Dossier, log []ringout.Entry) *session.Session {
	t.Helper()
	d.Log = ringout.Log{Entries: log}
	s, list, err := Ringout(d, session.Options{})
	if err != nil || len(list) > 0 {
		t.Fatal(err, list)
	}
	return s
}

// partition names, for each pin and pad, the first that is on its net.
func partition(b *board.Board) map[string]string {
	first, out := map[board.NetID]string{}, map[string]string{}
	add := func(name string, n board.NetID) {
		if n == board.NoNet {
			return
		}
		if _, ok := first[n]; !ok {
			first[n] = name
		}
		out[name] = first[n]
	}
	for _, p := range b.Pads {
		add(p.Name, p.Net)
	}
	for _, p := range b.Parts {
		for _, pin := range p.Pins {
			add(p.Ref+"."+pin.Name, pin.Net)
		}
	}
	return out
}

// What is rung out of a board of which only the parts are known is the board, and
// the comments are where they were.
func TestApplyGivesTheBoard(t *testing.T) {
	for _, name := range demo.Names() {
		d := demoDossier(t, name)
		bare := unwired(t, d)
		s := open(t, bare, readings(d))
		a, src := RingoutApply(bare, s)
		if src == nil || !a.Changed {
			t.Fatalf("%s: nothing written: %v", name, a.Findings)
		}
		after := reread(bare, src)
		if after.Findings.Has(finding.Error) || after.Findings.Has(finding.Warning) {
			t.Errorf("%s: %v", name, after.Findings)
		}
		want, got := partition(d.Board), partition(after.Board)
		for pin, net := range want {
			if got[pin] != net && single(d.Board, pin) == false {
				t.Errorf("%s: %s lies with %s, want %s", name, pin, got[pin], net)
			}
		}
		for _, n := range after.Board.Nets {
			if n.Grade != "proven" || len(n.Pins) > 1 && n.Note == "" {
				t.Errorf("%s: net %s is %s, %q", name, n.Name, n.Grade, n.Note)
			}
		}
		for _, p := range d.Board.Parts {
			if !strings.Contains(string(src), "# of "+p.Ref+"\n") {
				t.Errorf("%s: the comment of %s is gone", name, p.Ref)
			}
		}
		// Applied once more nothing changes.
		again := reread(after, src)
		a, twice := RingoutApply(again, open(t, again, readings(d)))
		if a.Changed || len(a.Differences) > 0 {
			t.Errorf("%s: a second apply changes %v: %s", name, a.Differences, twice)
		}
	}
}

// single reports whether a pin is alone on its net.
func single(b *board.Board, pin string) bool {
	for _, n := range b.Nets {
		if len(n.Pins) == 1 && len(n.Pads) == 0 && b.Parts[n.Pins[0].Part].Ref+"."+b.Parts[n.Pins[0].Part].Pins[n.Pins[0].Pin].Name == pin {
			return true
		}
	}
	return false
}
