package plot

import (
	"encoding/xml"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// trip is a current that rises, stays and is cut, with the gate that cuts it.
func trip() Figure {
	var t, amps, gate []float64
	for i := range 2000 {
		x := float64(i) * 1e-6
		t = append(t, x)
		a, g := 200*(1-math.Exp(-x/30e-6)), 10.0
		if x > 1e-3 {
			a, g = 200*math.Exp(-(x-1e-3)/20e-6), 10*math.Exp(-(x-1e-3)/50e-6)
		}
		amps, gate = append(amps, a), append(gate, g)
	}
	return Figure{
		ID: "trip", Title: "A short is cut", Desc: "Current rises, stays and falls <fast>.",
		X: Axis{Name: "time", Unit: "s"},
		Panels: []Panel{
			{Y: Axis{Name: "current", Unit: "A"}, Lines: []Line{{Name: "load current", X: t, Y: amps}}},
			{Y: Axis{Unit: "V"}, Lines: []Line{{Name: "discharge gate", X: t, Y: gate}, {Name: "the same", X: t, Y: gate}}},
		},
		Marks: []Mark{{X: 1e-3, Name: "DO low"}, {X: 1.01e-3, Name: "too near for its word"}},
	}
}

// sweep is a log-log figure with points.
func sweep() Figure {
	f := Figure{
		ID: "sweep", Title: "Time to off", X: Axis{Name: "load", Unit: "Ω", Log: true},
		Panels: []Panel{{Y: Axis{Name: "time to off", Unit: "s", Log: true}}},
	}
	for i, r := range []float64{1e-3, 5e-3, 20e-3, 0.1, 0.5} {
		f.Panels[0].Points = append(f.Panels[0].Points, Point{X: r, Y: 280e-6 * math.Pow(6, float64(i)), Shape: Shape(i)})
	}
	return f
}

func TestGolden(t *testing.T) {
	num := func(v float64) *float64 { return &v }
	for name, got := range map[string]string{
		"trip.svg":  trip().SVG(),
		"sweep.svg": sweep().SVG(),
		"strip.svg": Strip{Min: num(4.2), Typ: num(4.25), Max: num(4.3), Low: num(4.26), High: num(4.31), Title: "x"}.SVG(),
	} {
		path := filepath.Join("testdata", name)
		if *update {
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(string(want), got); d != "" {
			t.Errorf("%s changed; look at it, then run with -update: %s", name, d)
		}
		wellFormed(t, name, got)
	}
}

func wellFormed(t *testing.T, name, text string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(text))
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
	}
}

// TestNoSpikeIsLost holds that thinning keeps each line's extremes.
func TestNoSpikeIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5000).Draw(t, "points")
		spike := rapid.IntRange(0, n-1).Draw(t, "spike")
		l := Line{X: make([]float64, n), Y: make([]float64, n)}
		for i := range n {
			l.X[i] = float64(i)
		}
		l.Y[spike] = 1
		x := scale{low: 0, high: float64(max(n-1, 1)), from: 0, to: 400}
		y := scale{low: 0, high: 1, from: 100, to: 0}
		pts := l.columns(x, y)
		if len(pts) > 4*402 {
			t.Fatalf("%d points for 400 columns", len(pts))
		}
		for _, p := range pts {
			if p[1] == 0 {
				return
			}
		}
		t.Fatalf("the spike at %d of %d is gone", spike, n)
	})
}

func TestTicksAreRoundAndInside(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{0, 2e-3, "0 0.5 1 1.5 2"},
		{0, 229, "0 100 200"},
		{-0.4, 0.4, "-400 -200 0 200 400"},
		{3.6, 4.3, "3.6 3.8 4 4.2"},
	} {
		s := newScale(Axis{}, []float64{c.low, c.high}, 0, 100)
		s.tighten([]float64{c.low, c.high})
		var got []string
		for _, v := range s.ticks() {
			got = append(got, s.tick(v))
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%g to %g: ticks %s, want %s", c.low, c.high, strings.Join(got, " "), c.want)
		}
	}
}

func TestNamesDoNotOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ys := rapid.SliceOfN(rapid.Float64Range(0, 112), 1, 8).Draw(t, "ends")
		var b strings.Builder
		ends := make([]end, len(ys))
		for i, y := range ys {
			ends[i] = end{"x", y}
		}
		drawEnds(&b, ends, 490, 0, 112)
		at := spread(ends, 0, 112)
		for i := 1; i < len(at); i++ {
			if at[i]-at[i-1] < nameHeight-1e-9 {
				t.Fatalf("names at %v", at)
			}
		}
	})
}

func TestNothingToDraw(t *testing.T) {
	if got := (Strip{}).SVG(); got != "" {
		t.Errorf("a strip of nothing is %q", got)
	}
	empty := Figure{ID: "e", Panels: []Panel{{}}}
	if got := empty.SVG(); strings.Contains(got, "NaN") || strings.Contains(got, "Inf") {
		t.Errorf("an empty figure has no place for its axis: %s", got)
	}
}
