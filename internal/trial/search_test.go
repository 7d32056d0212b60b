package trial

import (
	"errors"
	"math"
	"testing"

	"cupel/internal/protection"
	"pgregory.net/rapid"
)

// at answers acted from x on, in the sense of the search.
func at(x float64, up bool) func(float64) (step, error) {
	return func(v float64) (step, error) {
		if v >= x == up || v == x {
			return step{answer: acted}, nil
		}
		return step{}, nil
	}
}

func always(a answer) func(float64) (step, error) {
	return func(float64) (step, error) { return step{answer: a, note: "so it is"}, nil }
}

func TestSearchOutcomes(t *testing.T) {
	turns := 0
	cases := []struct {
		name       string
		s          search
		want       protection.Outcome
		lo, hi     float64 // the value must lie here when found
		searchedTo float64
	}{
		{"upwards", search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002, try: at(4.25, true)}, protection.Found, 4.249, 4.251, 0},
		{"downwards", search{from: 3.7, to: 1.5, coarse: 0.05, resolution: 0.005, try: at(2.5, false)}, protection.Found, 2.495, 2.505, 0},
		{"a good hint", search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002, expect: 4.26, try: at(4.25, true)}, protection.Found, 4.249, 4.251, 0},
		{"a hint too high", search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002, expect: 4.6, try: at(4.25, true)}, protection.Found, 4.249, 4.251, 0},
		{"a hint too low", search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002, expect: 3.8, try: at(4.25, true)}, protection.Found, 4.249, 4.251, 0},
		{"a hint outside", search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002, expect: 9, try: at(4.25, true)}, protection.Found, 4.249, 4.251, 0},
		{"logarithmic", search{from: 1e9, to: 1e3, ratio: 10, relative: 0.1, try: at(1e7, false)}, protection.Found, 0.9e7, 1.1e7, 0},
		{"far end first", search{from: 1, to: 90, coarse: 5, relative: 0.01, farFirst: true, try: at(40, true)}, protection.Found, 39.6, 40.4, 0},
		{"only in between", search{from: 0, to: 100, coarse: 5, resolution: 1, farFirst: true, try: func(x float64) (step, error) {
			if x >= 40 && x < 80 {
				return step{answer: acted}, nil
			}
			return step{}, nil
		}}, protection.Found, 39, 41, 0},

		{"nothing there", search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002, try: always(still)}, protection.NoneFound, 0, 0, 4.8},
		{"nothing there, far end first", search{from: 3.7, to: 4.8, coarse: 0.05, farFirst: true, try: always(still)}, protection.NoneFound, 0, 0, 4.8},
		{"the rig ends first", search{from: 1, to: 30, coarse: 5, limited: true, try: always(still)}, protection.NotReached, 0, 0, 30},
		{"cannot be delivered", search{from: 1, to: 30, coarse: 5, try: func(x float64) (step, error) {
			if x > 15 {
				return step{answer: beyond}, nil
			}
			return step{}, nil
		}}, protection.NotReached, 0, 0, 11},
		{"unclear", search{from: 1, to: 30, coarse: 5, try: always(unclear)}, protection.Undefined, 0, 0, 1},
		{"acts at the start", search{from: 1, to: 30, coarse: 5, resolution: 1, try: always(acted)}, protection.Undefined, 0, 0, 1},
		{"at once is a time too", search{from: 1e-3, to: 10, ratio: 4, relative: 0.1, fromFound: true, try: always(acted)}, protection.Found, 0, 1e-3, 1e-3},
		{"chatters", search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002, try: at(4.25, true), sure: func(x float64) (step, error) {
			if x >= 4.25 {
				return step{answer: chattered}, nil
			}
			return step{}, nil
		}}, protection.Chatters, 0, 0, 0},
		{"not repeatable", search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002, try: at(4.25, true), sure: func(float64) (step, error) {
			turns++
			return step{}, nil
		}}, protection.Undefined, 0, 0, 0},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			e, err := c.s.run()
			if err != nil {
				t.Fatal(err)
			}
			if e.outcome != c.want {
				t.Fatalf("outcome %q (%s), want %q", e.outcome, e.note, c.want)
			}
			if e.found() && (e.value() < c.lo || e.value() > c.hi) {
				t.Errorf("value %g, want within %g and %g", e.value(), c.lo, c.hi)
			}
			if c.searchedTo != 0 && e.searchedTo != c.searchedTo {
				t.Errorf("searched to %g, want %g", e.searchedTo, c.searchedTo)
			}
		})
	}
	if turns == 0 {
		t.Error("the confirming steps were not taken")
	}
}

func TestSearchHandsErrorsOn(t *testing.T) {
	gone := errors.New("instrument gone")
	for _, expect := range []float64{0, 4.25} {
		n := 0
		for stop := 1; ; stop++ {
			n = 0
			s := search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002, expect: expect, try: func(x float64) (step, error) {
				if n++; n == stop {
					return step{}, gone
				}
				return at(4.25, true)(x)
			}}
			_, err := s.run()
			if err == nil {
				break // every step has failed once
			}
			if !errors.Is(err, gone) {
				t.Fatalf("error %v", err)
			}
		}
	}
}

// A threshold anywhere is found within the resolution, whatever the hint.
func TestSearchFindsAnyThreshold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		up := rapid.Bool().Draw(t, "up")
		s := search{from: 3.7, to: 4.8, coarse: 0.05, resolution: 0.002}
		if !up {
			s.to = 1.5
		}
		x := rapid.Float64Range(math.Min(s.from, s.to)+0.001, math.Max(s.from, s.to)-0.001).Draw(t, "threshold")
		s.expect = rapid.Float64Range(1, 5).Draw(t, "hint")
		s.farFirst = rapid.Bool().Draw(t, "far first")
		s.try = at(x, up)
		e, err := s.run()
		if err != nil || !e.found() {
			t.Fatalf("outcome %q, error %v", e.outcome, err)
		}
		if e.low() > x || x > e.high() || e.high()-e.low() > 0.002*(1+1e-6) {
			t.Fatalf("threshold %g, found %g to %g", x, e.low(), e.high())
		}
	})
}
