package trial

import (
	"context"
	"reflect"
	"testing"

	"cupel/internal/trial/rig"
	"cupel/internal/trial/rig/rigtest"
)

// TestTapeHolds holds when a record lets an experiment be left out: distances in
// a group stay, transistors stay off, whatever else moves.
func TestTapeHolds(t *testing.T) {
	start := []float64{1, 2, 3.7, 0}
	for _, c := range []struct {
		says   string
		later  []float64
		joints Joints
		want   bool
	}{
		{"nothing is joined", []float64{9, 9, 9, 9}, Joints{}, true},
		{"a group moves together", []float64{5, 6, 3.7, 0}, Joints{Groups: [][]int{{0, 1}}}, true},
		{"one of a group moves", []float64{1, 2.03, 3.7, 0}, Joints{Groups: [][]int{{0, 1}}}, false},
		{"as little as is not resolved", []float64{1, 2.01, 3.7, 0}, Joints{Groups: [][]int{{0, 1}}}, true},
		{"one of another group moves", []float64{1, 2, 4, 0}, Joints{Groups: [][]int{{0, 1}, {2, 3}}}, false},
		{"a junction stays dead", []float64{1.2, 1, 3.7, 0}, Joints{Off: []Off{{Junctions: [][2]int{{0, 1}}}}}, true},
		{"a junction conducts", []float64{1.6, 1, 3.7, 0}, Joints{Off: []Off{{Junctions: [][2]int{{0, 2}, {0, 1}}}}}, false},
	} {
		tp := tape{values: [][]float64{start, c.later, start}}
		if got := tp.holds(start, c.joints); got != c.want {
			t.Errorf("%s: holds is %v", c.says, got)
		}
	}
}

// TestScreenLike holds that a board screened beside a whole one that is the same
// gives the same, whether nothing may be left out, or anything.
func TestScreenLike(t *testing.T) {
	points := []rig.Point{{Kind: rig.LoadAmps}, {Kind: rig.ChargeAmps}}
	r := rigtest.NewIdeal(hinted(five()))
	x := NewScreening(r.Can())
	whole, err := x.RunWhole(context.Background(), r, points)
	if err != nil {
		t.Fatal(err)
	}
	plain, err := x.Run(context.Background(), rigtest.NewIdeal(hinted(five())))
	if err != nil {
		t.Fatal(err)
	}
	if !sameChecks(whole.Checks, plain) {
		t.Errorf("remembering changes the checks: %v\n%v", whole.Checks, plain)
	}
	for _, joined := range []bool{false, true} {
		like := Likeness{Whole: whole, Points: points, Joined: func([]int) (Joints, bool) { return Joints{}, joined }}
		got, err := x.RunLike(context.Background(), rigtest.NewIdeal(hinted(five())), like)
		if err != nil {
			t.Fatal(err)
		}
		if !sameChecks(got, plain) {
			t.Errorf("joined %v: %v, want %v", joined, got, plain)
		}
	}
}

// sameChecks compares all but the values, which may be NaN.
func sameChecks(a, b []Check) bool {
	words := func(cs []Check) []string {
		var out []string
		for _, c := range cs {
			out = append(out, c.Key()+" "+c.Word)
		}
		return out
	}
	return reflect.DeepEqual(words(a), words(b))
}
