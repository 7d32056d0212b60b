package tolerance

import (
	"math"
	"testing"

	"cupel/internal/catalog"
	"cupel/internal/elaborate"
	"cupel/internal/quantity"
)

// Draws are even between the limits, and those of neighbouring boards, seeds,
// variables and streams know nothing of each other. 20 000 draws: χ² of 20 bins
// has 19 degrees of freedom and is below 43.8 in 999 of 1000 tries; a correlation
// of nothing has the deviation 1/√20 000.
func TestDraws(t *testing.T) {
	const n, bins = 20000, 20
	v := Variable{Name: "R7", Figure: "value"}
	series := map[string]func(i uint64) float64{
		"by number":  func(i uint64) float64 { return draw(drawInside, 7, i, v) },
		"by seed":    func(i uint64) float64 { return draw(drawInside, i, 7, v) },
		"next seed":  func(i uint64) float64 { return draw(drawInside, 8, i, v) },
		"other part": func(i uint64) float64 { return draw(drawInside, 7, i, Variable{Name: "R8", Figure: "value"}) },
		"its lot": func(i uint64) float64 {
			return draw(drawInside, 7, i, Variable{Lot: true, Name: "R7", Figure: "value"})
		},
		"other figure": func(i uint64) float64 { return draw(drawInside, 7, i, Variable{Name: "R7", Figure: "tempco"}) },
		"other unit":   func(i uint64) float64 { return draw(drawInside, 7, i, Variable{Name: "R7", Unit: 1, Figure: "value"}) },
		"other stream": func(i uint64) float64 { return draw(drawCorner, 7, i, v) },
		"next number":  func(i uint64) float64 { return draw(drawInside, 7, i+1, v) },
	}
	for name, f := range series {
		count := make([]int, bins)
		cross := 0.0
		for i := range uint64(n) {
			x := f(i)
			if !(x >= -1 && x < 1) {
				t.Fatalf("%s: a level of %g", name, x)
			}
			count[int((x+1)/2*bins)]++
			cross += x * series["by number"](i) * 3 // the variance of a level is 1/3
		}
		chi := 0.0
		for _, c := range count {
			d := float64(c) - n/bins
			chi += d * d / (n / bins)
		}
		if chi > 43.8 {
			t.Errorf("%s: χ² = %.1f", name, chi)
		}
		if r := cross / n; name != "by number" && math.Abs(r) > 4.5/math.Sqrt(n) {
			t.Errorf("%s: correlation %.4f with the first series", name, r)
		}
	}
}

// A level is the same whatever else is on the board: this one is kept.
func TestDrawStays(t *testing.T) {
	got := Sample{Seed: 7, Number: 123}.Level(Variable{Name: "R7", Figure: "value"})
	if want := 0.04836985901811852; got != want {
		t.Errorf("level %v, was %v when samples were last promised to stay the same", got, want)
	}
}

func TestChoice(t *testing.T) {
	q := quantity.Quantity{Min: 4.20, Typ: 4.26, Max: 4.30}
	w := elaborate.Which{Ref: "U1", Sheet: "s", Figure: "v_ov", Spread: catalog.Spread{Lot: 0.7, Part: 0.3}}
	lot, part := variablesOf(w)
	pick := func(levels map[Variable]float64) float64 { return Choice{Set{Levels: levels}}.Pick(w, q) }
	for _, c := range []struct {
		name   string
		levels map[Variable]float64
		want   float64
	}{
		{"nominal", nil, 4.26},
		{"both up", map[Variable]float64{lot: 1, part: 1}, 4.30},
		{"both down", map[Variable]float64{lot: -1, part: -1}, 4.20},
		{"lot up, part down", map[Variable]float64{lot: 1, part: -1}, 4.25 + 0.05*0.4},
		{"part alone up", map[Variable]float64{part: 1}, 4.25 + 0.05*(0.7*0.2+0.3)}, // typ lies at 0.2
		{"lot alone down", map[Variable]float64{lot: -1}, 4.25 + 0.05*(-0.7+0.3*0.2)},
	} {
		if got := pick(c.levels); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %.6f V, want %.6f V", c.name, got, c.want)
		}
	}
	for name, q := range map[string]quantity.Quantity{
		"exact":           quantity.Exact(quantity.Voltage, 3),
		"without a limit": {Min: math.NaN(), Typ: 3, Max: math.NaN()},
		"endless":         {Min: 3, Typ: 3, Max: math.Inf(1)},
	} {
		if got := (Choice{Sample{1, 1}}).Pick(w, q); got != 3 {
			t.Errorf("%s: %g", name, got)
		}
	}
	leak := quantity.Quantity{Min: math.NaN(), Typ: 20e-9, Max: 2e-6}
	if got := (Choice{Set{Levels: map[Variable]float64{lot: 0, part: 0}}}).Pick(w, leak); math.Abs(got-200e-9) > 1e-12 {
		t.Errorf("half way between 20 nA and 2 µA: %g A, want their geometric mean", got)
	}
	// One limit missing: the typical value is the other.
	up := quantity.Quantity{Min: math.NaN(), Typ: 4, Max: 5}
	if got := (Choice{Set{Levels: map[Variable]float64{lot: -1, part: -1}}}).Pick(w, up); got != 4 {
		t.Errorf("typical to maximum, all the way down: %g", got)
	}
}

// Parts of a lot go together as far as the sheet says: with shares of 0.7 and
// 0.3 the correlation of two parts is 0.7²/(0.7²+0.3²) = 0.845.
func TestLotsGoTogether(t *testing.T) {
	q := quantity.Quantity{Min: -1, Typ: 0, Max: 1}
	of := func(ref string, i uint64) float64 {
		return Choice{Sample{3, i}}.Pick(elaborate.Which{Ref: ref, Sheet: "s", Figure: "f", Spread: catalog.Spread{Lot: 0.7, Part: 0.3}}, q)
	}
	const n = 5000
	var xy, xx, yy float64
	for i := range uint64(n) {
		x, y := of("U1", i), of("U2", i)
		xy, xx, yy = xy+x*y, xx+x*x, yy+y*y
	}
	if r := xy / math.Sqrt(xx*yy); math.Abs(r-0.845) > 0.02 {
		t.Errorf("correlation %.3f, want 0.845", r)
	}
}

func TestVariablesOfABoard(t *testing.T) {
	b := newBench(t, "hive-3s")
	list, err := Variables(func(c elaborate.Choice) error {
		_, err := b.elaborate(c, 0)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	have := map[string]int{}
	for _, v := range list {
		have[v.String()]++
	}
	for _, want := range []string{"R2 value", "Q1.1 r_ds_on", "Q1.2 r_ds_on", "lot of nfet-30v-4m r_ds_on"} {
		if have[want] != 1 {
			t.Errorf("%d variables %q", have[want], want)
		}
	}
}
