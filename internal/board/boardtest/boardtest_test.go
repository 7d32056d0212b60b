package boardtest_test

import (
	"math/rand/v2"
	"testing"

	"cupel/internal/board/boardfile"
	"cupel/internal/board/boardtest"
	"cupel/internal/board/review"
	"cupel/internal/catalog/generic"
	"cupel/internal/elaborate"
	"cupel/internal/finding"
)

// Every board made is a sound one: its text reads, no rule is broken, it
// elaborates.
func TestBoardsAreSound(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 120 {
		s := boardtest.Random(r)
		text := boardtest.Text(s)
		var list finding.List
		b := boardfile.Read("board.yaml", []byte(text), generic.Sheets{}, &list)
		list = append(list, review.Check(b, generic.Sheet)...)
		_, made := elaborate.Elaborate(b, generic.Sheet, elaborate.Options{})
		list = append(list, made...)
		if err := list.Err(); err != nil {
			t.Errorf("%s: %v\n%s", s.Name(), err, text)
			return
		}
	}
}
