package layout_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"cupel/internal/board"
	"cupel/internal/board/boardfile"
	"cupel/internal/board/boardtest"
	"cupel/internal/catalog/generic"
	"cupel/internal/finding"
	"cupel/internal/schematic/layout"
)

func random(t *testing.T, i int) *board.Board {
	t.Helper()
	text := boardtest.Text(boardtest.Random(rand.New(rand.NewPCG(5, uint64(i)))))
	var list finding.List
	b := boardfile.Read("board.yaml", []byte(text), generic.Sheets{}, &list)
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	return b
}

// Boards of other topologies and sizes are drawn like those that layout was
// made at: every part has its place, and hardly more wires cross.
func TestOtherTopologies(t *testing.T) {
	const mostCrossings = 0.3
	worst := 0.
	for i := range 40 {
		b := random(t, i)
		t.Run(fmt.Sprintf("%d %s", i, b.Name), func(t *testing.T) {
			s, st := layout.Lay(b, generic.Sheet)
			sound(t, s, b)
			if st.Spare != 0 {
				t.Errorf("in no function: %v", s.Unplaced())
			}
			each := float64(st.Crossings) / float64(st.Nets)
			worst = max(worst, each)
			if each > mostCrossings {
				t.Errorf("%.2f crossings a net", each)
			}
		})
	}
	t.Logf("at most %.2f crossings a net", worst)
}
