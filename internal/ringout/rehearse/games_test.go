package rehearse

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"cupel/internal/board/boardtest"
	"cupel/internal/dossier"
	"cupel/internal/ringout/strip"
)

// gamesEnv names how many made boards to play, and has the page written.
const gamesEnv = "CUPEL_GAMES"

const gamesPage = "../../../docs/ringout-games.md"

// played is how the rehearsal of one board went.
type played struct {
	group, name string
	cells       int
	changed     string // what was changed on it
	Result
}

func (p played) perPad() float64 { return float64(p.Touches) / float64(p.Pads) }

// TestGames plays boards that nobody drew by hand: made ones of every topology,
// the same with one thing on them changed, so that one slice is not like the
// others, and one on which nothing repeats. Each must end, with the right nets.
func TestGames(t *testing.T) {
	n, write := 4, false
	if s := os.Getenv(gamesEnv); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatalf("%s: %v", gamesEnv, err)
		}
		write = true
	}
	var all []played
	play := func(group string, i int, spec boardtest.Spec, change bool) {
		t.Run(fmt.Sprintf("%s-%d", group, i), func(t *testing.T) {
			if !write && spec.Cells > 8 {
				spec.Cells = 8 // of more than 8 a game takes long
			}
			p := played{group: group, name: spec.Name(), cells: spec.Cells}
			d, err := dossier.Read(fstest.MapFS{"board.yaml": {Data: []byte(boardtest.Text(spec))}})
			if err != nil {
				t.Fatal(err)
			}
			b := d.Board
			if change {
				b, p.changed = boardtest.Mutate(rand.New(rand.NewPCG(uint64(i), 9)), b)
			}
			s, truth := strip.Board(b, d.Sheets.Sheet)
			p.Result, err = Play(context.Background(), s, truth, Options{Seed: uint64(i), OnlyBridged: true})
			if err != nil || !p.Found || len(p.Wrong)+len(p.Flagged) > 0 {
				t.Errorf("%s %s: error %v, found %v, wrong %v, flagged %v", p.name, p.changed, err, p.Found, p.Wrong, p.Flagged)
			}
			if least := p.Pads - p.Nets; p.Touches < least {
				t.Errorf("%s: %d touches, and no way takes fewer than %d", p.name, p.Touches, least)
			}
			all = append(all, p)
		})
	}
	random := func(i int) boardtest.Spec { return boardtest.Random(rand.New(rand.NewPCG(uint64(i), 7))) }
	for i := range n {
		play("made", i, random(i), false)
	}
	for i := range (n + 4) / 5 {
		play("changed", i, random(i), true)
	}
	play("nothing repeats", 0, boardtest.Spec{Topology: boardtest.Stack, Cells: 3, FETs: 1}, false)
	if write && !t.Failed() {
		if err := os.WriteFile(gamesPage, []byte(gamesText(all)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func gamesText(all []played) string {
	var w strings.Builder
	w.WriteString("# Rehearsals of made boards\n\nWritten by `make games`. Boards of every topology out of the generator of `internal/board/boardtest`, each rung out once by\n`internal/ringout/rehearse` without positions, references and order shuffled; the changed ones have one part missing,\nbridged or turned, or two nets exchanged. Touches until the nets were right and stayed so; the closing \"not connected\" with bridged pads apart. Beside\nthem the least that any way takes (pads less nets), one representative a net, and every pair. All came out right.\n\n")
	slices.SortStableFunc(all, func(a, b played) int {
		return cmp.Or(strings.Compare(b.group, a.group), a.Pads-b.Pads)
	})
	w.WriteString("| boards | games | pads | touches a pad, from–to | mean |\n|---|---|---|---|---|\n")
	for at := 0; at < len(all); {
		end := at
		for end < len(all) && all[end].group == all[at].group {
			end++
		}
		low, high, sum, pads := 1e9, 0.0, 0.0, 0
		for _, p := range all[at:end] {
			low, high = min(low, p.perPad()), max(high, p.perPad())
			sum += float64(p.Touches)
			pads += p.Pads
		}
		fmt.Fprintf(&w, "| %s | %d | %d–%d | %.2f–%.2f | %.2f |\n", all[at].group, end-at, all[at].Pads, all[end-1].Pads, low, high, sum/float64(pads))
		at = end
	}
	w.WriteString("\n| board | cells | pads | nets | touches a pad | closing | least | representative | pairs |\n|---|---|---|---|---|---|---|---|---|\n")
	for _, p := range all {
		name := p.name
		if p.changed != "" {
			name += ": " + p.changed
		}
		n := float64(p.Pads)
		fmt.Fprintf(&w, "| %s | %d | %d | %d | %.2f | %.2f | %.2f | %.1f | %.0f |\n", name, p.cells, p.Pads, p.Nets,
			p.perPad(), float64(p.ClosingBridged)/n, float64(p.Pads-p.Nets)/n, float64(p.Representative)/n, float64(p.NaivePairs)/n)
	}
	return w.String()
}
