package heat

import (
	"math"
	"testing"

	"cupel/internal/board"
	"cupel/internal/quantity"
)

// Derating from 70 °C to none at 155 °C (data sheets; the straight line from memory).
func TestDerated(t *testing.T) {
	for _, c := range []struct{ rating, celsius, want float64 }{
		{0.25, 25, 0.25}, {0.25, 70, 0.25}, {0.25, 100, 0.161765}, {0.125, 100, 0.080882}, {1, 155, 0}, {1, 200, 0},
	} {
		if got := Derated(c.rating, c.celsius+celsius); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%g W at %g °C: %g, want %g", c.rating, c.celsius, got, c.want)
		}
	}
}

// Two grades exist of each size, so one told from a size says so. 4.2 V over 68 Ω
// is 259 mW: too much for the better of the two grades of a 1206.
func TestRating(t *testing.T) {
	for _, c := range []struct {
		part  board.Part
		watts float64
		told  bool
	}{
		{board.Part{Size: "1206"}, 0.125, true},
		{board.Part{Size: "2512", Rated: board.Rated{Power: 2}}, 2, false},
		{board.Part{Value: quantity.Exact(quantity.Resistance, 43)}, silentWatts, true},
		{board.Part{Value: quantity.Exact(quantity.Resistance, 5e-3)}, shuntWatts, true},
	} {
		watts, grade := ratedWatts(&c.part, nil)
		if watts != c.watts || (grade != "") != c.told {
			t.Errorf("%+v: %g W, %q", c.part, watts, grade)
		}
	}
	if p := 4.2 * 4.2 / 68; p < grades["1206"][1] || math.Abs(p-0.25941) > 1e-5 {
		t.Errorf("%g W", p)
	}
	// At its rating and 70 °C the element is at 155 °C, and so all along the line.
	for _, t0 := range []float64{70, 90, 120} {
		kelvin := t0 + celsius + Derated(0.25, t0+celsius)*(chipMost-deratedFrom)/0.25
		if math.Abs(kelvin-chipMost) > 1e-9 {
			t.Errorf("%g K at %g °C", kelvin, t0)
		}
	}
}

// Unclamped switching (device application notes, from memory): 1 µH, 100 A, 30 V
// part at 16.8 V and at none; and the body diode of 0.75 V at 8 A.
func TestAvalanche(t *testing.T) {
	for volts, want := range map[float64]float64{16.8: 11.363636e-3, 0: 5e-3} {
		if got := Avalanche(1e-6, 100, 30, volts); math.Abs(got-want) > 1e-8 {
			t.Errorf("at %g V: %g J, want %g", volts, got, want)
		}
	}
	if !math.IsInf(Avalanche(1e-6, 100, 30, 31), 1) || Avalanche(1e-6, 0, 30, 31) != 0 {
		t.Error("a pack above the breakdown")
	}
}

// Shapes known by heart stay what is said of them: a quarter after 1 ms, two
// thirds after 10 ms, all of it in the end.
func TestDieShape(t *testing.T) {
	for s, want := range map[float64]float64{1e-3: 0.27, 10e-3: 0.68, 1: 1} {
		if got := dieShape.At(s); math.Abs(got-want) > 0.01 {
			t.Errorf("after %g s: %.3f, want %.3f", s, got, want)
		}
	}
}

// A disc's spreading resistance (plane Poisson equation): a land of 33 mm² on
// 25 cm² with 42 µm of copper is (ln(8.7) − 0.75)/(2π·390·42e-6) = 13.8 K/W; a
// land as large as the board spreads nothing.
func TestSpreading(t *testing.T) {
	c := cooling{area: 25e-4, sheet: 42e-6}
	if got := c.spreading(33e-6); math.Abs(got-13.8) > 0.2 {
		t.Errorf("%g K/W", got)
	}
	if got := c.spreading(25e-4); got != 0 {
		t.Errorf("%g K/W", got)
	}
}
