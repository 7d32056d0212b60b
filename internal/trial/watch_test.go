package trial

import (
	"math"
	"testing"
)

// play feeds a current that takes each level at its time to a watch, a sample
// every tenth of a millisecond and one on both sides of every edge.
func play(w *watch, edges [][2]float64, until float64) (ended float64) {
	level, i := 0.0, 0
	for n := 0; ; n++ {
		t := float64(n) * 1e-4
		if t > until {
			return until
		}
		for i < len(edges) && edges[i][0] <= t {
			w.see(edges[i][0], level)
			level = edges[i][1]
			w.see(edges[i][0]+1e-9, level)
			i++
		}
		if w.see(t+2e-9, level) {
			return t
		}
	}
}

func TestWatch(t *testing.T) {
	cases := []struct {
		name               string
		edges              [][2]float64
		hold               float64
		openings, closings int
		first, last        float64 // NaN: none
		ended              float64
	}{
		{"stays on", [][2]float64{{0, 1}}, 3e-3, 0, 0, math.NaN(), math.NaN(), 0.1},
		{"opens", [][2]float64{{0, 1}, {0.02, 0}}, 3e-3, 1, 0, 0.02, math.NaN(), 0.023},
		{"opens, watched on", [][2]float64{{0, 1}, {0.02, 0}}, 0, 1, 0, 0.02, math.NaN(), 0.1},
		{"a load edge that is cut", [][2]float64{{0, 0}, {1e-3, 30}, {0.011, 0}}, 3e-3, 1, 0, 0.011, math.NaN(), 0.014},
		{"a bounce is no opening", [][2]float64{{0, 1}, {0.02, 0}, {0.0205, 1}}, 3e-3, 0, 0, math.NaN(), math.NaN(), 0.1},
		{"a bounce, then it opens", [][2]float64{{0, 1}, {0.02, 0}, {0.0205, 1}, {0.03, 0}}, 3e-3, 1, 0, 0.03, math.NaN(), 0.033},
		{"falls to a little more than half", [][2]float64{{0, 1}, {0.02, 0.51}}, 3e-3, 0, 0, math.NaN(), math.NaN(), 0.1},
		{"opens and closes", [][2]float64{{0, 1}, {0.02, 0}, {0.03, 1}}, 0, 1, 1, 0.02, 0.03, 0.1},
		{"chatters", [][2]float64{{0, 1}, {0.02, 0}, {0.03, 1}, {0.04, 0}, {0.05, 1}, {0.06, 0}, {0.07, 1}}, 0, 3, 3, 0.02, 0.07, 0.1},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			w := newWatch(c.hold)
			ended := play(w, c.edges, 0.1)
			if w.openings != c.openings || w.closings != c.closings {
				t.Errorf("%d openings and %d closings, want %d and %d", w.openings, w.closings, c.openings, c.closings)
			}
			if !near(w.first, c.first) || !near(w.last, c.last) {
				t.Errorf("first opening %g, last closing %g, want %g and %g", w.first, w.last, c.first, c.last)
			}
			if math.Abs(ended-c.ended) > 2e-4 {
				t.Errorf("ended at %g s, want %g", ended, c.ended)
			}
			if w.chatters() != (c.openings >= 3) {
				t.Errorf("chatters: %v", w.chatters())
			}
		})
	}
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-8 || math.IsNaN(a) && math.IsNaN(b) }

// The moment of opening is found between two samples, not at one of them.
func TestWatchInterpolates(t *testing.T) {
	w := newWatch(0)
	for _, s := range [][2]float64{{0, 10}, {1e-3, 10}, {3e-3, 0}, {5e-3, 0}} {
		w.see(s[0], s[1])
	}
	if !near(w.first, 2e-3) {
		t.Errorf("a straight fall from 10 A at 1 ms to 0 at 3 ms passes half at %g s", w.first)
	}
}

func TestRises(t *testing.T) {
	times := []float64{0, 1, 2, 3, 4, 5, 6}
	cases := []struct {
		name string
		v    []float64
		want []float64
	}{
		{"one", []float64{0, 0, 10, 10, 10, 10, 10}, []float64{1.5}},
		{"already there", []float64{10, 10, 10, 10, 10, 10, 10}, nil},
		{"ripple about half", []float64{0, 5, 4.9, 5.1, 4.9, 5.1, 5}, []float64{1}},
		{"twice", []float64{0, 10, 0, 10, 10, 10, 10}, []float64{0.5, 2.5}},
		{"negative", []float64{0, 0, -10, -10, -10, -10, -10}, []float64{1.5}},
		{"inrush", []float64{0, 40, 10, 10, 10, 10, 10}, []float64{0.125}},
	}
	for _, c := range cases {
		got := rises(times, c.v, 10)
		if len(got) != len(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
			continue
		}
		for i := range got {
			if !near(got[i], c.want[i]) {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
			}
		}
	}
}
