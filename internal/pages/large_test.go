package pages

import (
	"bytes"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"cupel/internal/board/boardtest"
	"cupel/internal/desk"
	"cupel/internal/dossier"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

// large is the dossier of a board with some 2000 pads, half rung out: each net of
// it has the readings that join its pads, and every pad one that tells it from
// another net.
func large(t testing.TB) map[string][]byte {
	t.Helper()
	board := boardtest.Text(boardtest.Spec{Cells: 24, Balance: true, FETs: 100})
	var more strings.Builder
	for i := range 180 {
		fmt.Fprintf(&more, "  R%d: {value: 1 MΩ, pins: [tap%d, tap%d]}\n", 9000+i, i%22+2, i%22+1)
	}
	texts := map[string][]byte{
		"board.yaml":  []byte(strings.Replace(board, "\nparts:\n", "\nparts:\n"+more.String(), 1)),
		"claims.yaml": []byte("cupel: 1\nfigures: []\n"),
	}
	d := dossier.OfTexts(texts)
	if err := d.Findings.Err(); err != nil {
		t.Fatal(err)
	}
	sample, nets := strip.Board(d.Board, d.Sheets.Sheet)
	first := map[int]string{}
	log := bytes.NewBuffer(ringout.Header())
	n, before := 0, ""
	enter := func(a, b string, r ringout.Result) {
		n++
		e := ringout.Entry{Number: n, Kind: ringout.Pair, A: a, B: []string{b}, Result: r, When: fmt.Sprintf("2026-01-01 10:%02d:%02d", n/60%60, n%60)}
		if err := ringout.AppendEntry(log, e); err != nil {
			t.Fatal(err)
		}
	}
	for i, pad := range sample.Pads {
		net := int(nets[i])
		if one, ok := first[net]; ok && net >= 0 {
			enter(one, pad.Name, ringout.Connected)
		} else {
			if before != "" {
				enter(before, pad.Name, ringout.Open)
			}
			first[net], before = pad.Name, pad.Name
		}
	}
	texts["ringout.csv"] = log.Bytes()
	return texts
}

// largeDesk serves that dossier, with its first page made.
func largeDesk(t testing.TB) *served {
	t.Helper()
	x := serve(t, "")
	var all []desk.File
	for name, text := range large(t) {
		all = append(all, desk.File{Name: name, Text: text})
	}
	state, err := x.desk.Do(desk.Edit{Label: "large", Files: all})
	if err == nil {
		err = state.Dossier.Findings.Err()
	}
	if err != nil {
		t.Fatal(err)
	}
	if status, _, _ := x.do(http.MethodGet, "/ringout", nil, nil); status != http.StatusOK {
		t.Fatal(status)
	}
	return x
}

// BenchmarkEnter takes an entry in and makes the page with the next question, on
// a board with some 2000 pads: the server's share of what a person waits for.
func BenchmarkEnter(b *testing.B) {
	x := largeDesk(b)
	n := 0
	enter := func(b *testing.B) {
		n++
		f := url.Values{"kind": {"pair"}, "a": {"B-"}, "b": {"T1"}, "result": {"open"}, "when": {fmt.Sprint(n)}}
		if status, a := x.asModule("/ringout/enter", f); status != http.StatusOK {
			b.Fatal(status, a)
		}
	}
	b.Run("entry", func(b *testing.B) {
		for b.Loop() {
			enter(b)
		}
	})
	b.Run("question", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			enter(b)
			b.StartTimer()
			if status, _, _ := x.do(http.MethodGet, "/ringout", nil, nil); status != http.StatusOK {
				b.Fatal(status)
			}
		}
	})
}
