package planner

import (
	"math/rand/v2"
	"testing"

	"cupel/internal/ringout/strip"
)

// With positions, references shuffled, all connections must be found.
func TestFindsAllWithPositions(t *testing.T) {
	b, sheets := demoBoard(t, smallest)
	s, truth := strip.Board(b, sheets)
	rng := rand.New(rand.NewPCG(0, 9))
	s, truth = mixed(s, truth, rng)
	g := &game{t: t, sample: placed(s, truth, rng), truth: truth}
	g.play(false)
	if g.found < 0 || !g.right() {
		t.Errorf("the nets are not those of the board after %d questions", len(g.log))
	}
	t.Logf("%.2f touches a pad", float64(g.found)/float64(len(s.Pads)))
}
