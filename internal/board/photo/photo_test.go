package photo

import (
	"errors"
	"math"
	"strings"
	"testing"

	"cupel/internal/board/footprint"
	"cupel/internal/quantity"

	"pgregory.net/rapid"
)

// turnedOver is the map a camera over the back makes: turned by degrees, scaled,
// shifted, x mirrored. It is written apart from the code under test.
func turnedOver(p Pixel, degrees, scale, dx, dy float64) Pixel {
	s, c := math.Sincos(degrees * math.Pi / 180)
	x, y := -p.X, p.Y
	return Pixel{scale*(c*x-s*y) + dx, scale*(s*x+c*y) + dy}
}

// seen makes holes from where they are on the back.
func seen(back []Pixel, front func(Pixel) Pixel) []Hole {
	var out []Hole
	for i, b := range back {
		f := front(b)
		out = append(out, Hole{Name: string(rune('a' + i)), Front: &f, Back: &b})
	}
	return out
}

var corners = []Pixel{{100, 120}, {3800, 150}, {3700, 2800}, {160, 2700}, {1900, 1500}}

func TestAlignFindsTheMap(t *testing.T) {
	for n := MinHoles; n <= len(corners); n++ {
		front := func(p Pixel) Pixel { return turnedOver(p, 7, 0.93, 3900, 40) }
		a, err := Align(seen(corners[:n], front))
		if err != nil {
			t.Fatalf("%d holes: %v", n, err)
		}
		for _, p := range []Pixel{{0, 0}, {4000, 0}, {1234, 987}} {
			if d := distance(a.Back.Of(p), front(p)); d > 1e-6 {
				t.Errorf("%d holes: %v lies %.2g off", n, p, d)
			}
			if d := distance(a.Back.Inverse().Of(a.Back.Of(p)), p); d > 1e-6 {
				t.Errorf("%d holes: there and back is %.2g off", n, d)
			}
		}
		if a.Residual > 1e-6 || a.Holes != n || math.Abs(a.Back.Stretch()-0.93) > 1e-9 {
			t.Errorf("%d holes: %+v", n, a)
		}
	}
}

// With four holes the map follows a photo that was taken at a slant; the shear is
// one that no similarity has.
func TestAlignShears(t *testing.T) {
	front := func(p Pixel) Pixel { return Pixel{-p.X + 0.06*p.Y + 4000, 1.05*p.Y + 0.02*p.X + 30} }
	a, err := Align(seen(corners[:4], front))
	if err != nil || a.Residual > 1e-6 {
		t.Fatalf("%v %+v", err, a)
	}
}

// One hole moved by 30 pixels across the line of the others: the residual is
// what the sum of squares over the degrees of freedom comes to, by hand. Three
// holes of an equilateral triangle share an offset d of one of them in thirds:
// a similarity takes up all but d/√3 of its length.
func TestResidualByHand(t *testing.T) {
	var tri []Pixel
	for k := range 3 {
		s, c := math.Sincos(float64(k) * 2 * math.Pi / 3)
		tri = append(tri, Pixel{2000 + 1500*c, 2000 + 1500*s})
	}
	holes := seen(tri, func(p Pixel) Pixel { return Pixel{4000 - p.X, p.Y} })
	holes[1].Front.X += 30
	a, err := Align(holes)
	if err != nil {
		t.Fatal(err)
	}
	// Sum of squares left is d²/3 over 2·3−4 = 2 degrees of freedom.
	want := 30 / math.Sqrt(3) / math.Sqrt(2)
	if math.Abs(a.Residual-want) > 1e-9*want {
		t.Errorf("residual %.12g, want %.12g", a.Residual, want)
	}
}

func TestAlignRefuses(t *testing.T) {
	over := func(p Pixel) Pixel { return Pixel{4000 - p.X, p.Y} }
	straight := func(p Pixel) Pixel { return p }
	swapped := seen(corners[:4], over)
	swapped[0].Front, swapped[1].Front = swapped[1].Front, swapped[0].Front
	moved := seen(corners, over)
	moved[2].Front.X -= 700
	half := seen(corners[:3], over)
	half[1].Back = nil
	for _, c := range []struct {
		name  string
		holes []Hole
		want  Reason
		text  string
	}{
		{"none", nil, TooFew, "0 holes are named on both photos: name 3 or more"},
		{"one on one side only", half, TooFew, "2 holes are named"},
		{"in one line", seen([]Pixel{{0, 0}, {1000, 1010}, {3000, 2990}}, over), InLine, "almost in one line"},
		{"one place", seen([]Pixel{{5, 5}, {5, 5}, {5, 5}}, over), InLine, "almost in one line"},
		{"mirrored before", seen(corners[:3], straight), NotOver, "mirrored before"},
		{"mirrored before, four", seen(corners[:4], straight), NotOver, "mirrored before"},
		{"two swapped of four", swapped, NotOver, "two names are swapped"},
		{"one far off", moved, TooFar, ", c least of all"},
	} {
		_, err := Align(c.holes)
		var not *NotAligned
		if !errors.As(err, &not) || not.Reason != c.want || !strings.Contains(err.Error(), c.text) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// Whatever the photo, alignment finds the map or refuses, and never makes of
// noise what is not there: with holes named within a pixel the residual is of
// that size and everything on the board lands within a few pixels.
func TestAlignNoise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn, scale := rapid.Float64Range(-180, 180).Draw(t, "turn"), rapid.Float64Range(0.5, 2).Draw(t, "scale")
		n := rapid.IntRange(3, 5).Draw(t, "holes")
		off := rapid.Float64Range(-1, 1)
		front := func(p Pixel) Pixel { return turnedOver(p, turn, scale, 5000, 3000) }
		holes := seen(corners[:n], front)
		for _, h := range holes {
			h.Front.X += off.Draw(t, "dx")
			h.Front.Y += off.Draw(t, "dy")
		}
		a, err := Align(holes)
		if err != nil {
			t.Fatal(err)
		}
		if a.Residual > 3 {
			t.Errorf("residual %.2f of noise below 1", a.Residual)
		}
		for _, p := range corners {
			if d := distance(a.Back.Of(p), front(p)); d > 5 {
				t.Errorf("%v lies %.2f off", p, d)
			}
		}
	})
}

func mm(v float64) quantity.Quantity { return quantity.Exact(quantity.Length, v/1e3) }

func TestGround(t *testing.T) {
	over := func(p Pixel) Pixel { return turnedOver(p, 0, 0.5, 4000, 0) }
	p := &Photos{
		Of:    map[Side]Picture{Front: {Width: 4000, Height: 3000}, Back: {Width: 8000, Height: 6000}},
		Holes: seen(corners[:4], over),
		// 200 px on the back are 100 on the ground, and 2 mm: 50 px/mm.
		Scale: []Distance{
			{Side: Front, From: Pixel{0, 0}, To: Pixel{30, 40}, Length: mm(1)},
			{Side: Back, From: Pixel{0, 0}, To: Pixel{0, 200}, Length: mm(2)},
		},
	}
	g := p.Ground()
	if g.Alignment == nil || g.NotAligned != nil || math.Abs(g.PixelsPerMM-50) > 1e-9 || g.ScaleSpread > 1e-9 {
		t.Fatalf("%+v", g)
	}
	at, _ := g.From(Back, Pixel{1000, 600})
	if back, _ := g.To(Back, at); distance(at, Pixel{3500, 300}) > 1e-6 || distance(back, Pixel{1000, 600}) > 1e-6 {
		t.Errorf("from %v, to %v", at, back)
	}
	if pt, ok := g.Point(Pixel{500, 100}); !ok || math.Abs(pt.X-10) > 1e-9 || math.Abs(pt.Y-2) > 1e-9 {
		t.Errorf("%v %v", pt, ok)
	}
	p.Scale[1].Length = mm(2.2)
	g = p.Ground()
	// Σ px·mm / Σ mm² = (50 + 220) / (1 + 4.84); the first alone says 50.
	if want := 270 / 5.84; math.Abs(g.PixelsPerMM-want) > 1e-9 || math.Abs(g.ScaleSpread-(50/want-1)) > 1e-9 {
		t.Errorf("%g px/mm, spread %g", g.PixelsPerMM, g.ScaleSpread)
	}
}

func TestGroundWithoutFront(t *testing.T) {
	p := &Photos{Of: map[Side]Picture{Back: {Width: 800, Height: 600}}}
	g := p.Ground()
	if at, ok := g.From(Back, Pixel{100, 50}); !ok || at != (Pixel{700, 50}) {
		t.Errorf("%v %v", at, ok)
	}
	p.Of[Front] = Picture{Width: 800, Height: 600}
	g = p.Ground()
	if _, ok := g.From(Back, Pixel{1, 1}); ok || g.NotAligned == nil {
		t.Error("a back that nothing joins to the front has a place on it")
	}
	if _, ok := g.Point(Pixel{1, 1}); ok {
		t.Error("mm without a scale")
	}
}

// Pads of a part on the back lie where that side's photo shows them, with its
// own pixels per mm.
func TestPadsOfAPart(t *testing.T) {
	p := &Photos{
		Of:    map[Side]Picture{Front: {}, Back: {}},
		Holes: seen(corners[:3], func(p Pixel) Pixel { return turnedOver(p, 0, 0.5, 4000, 0) }),
		Scale: []Distance{{Side: Front, To: Pixel{50, 0}, Length: mm(1)}},
	}
	g := p.Ground()
	f, _ := footprint.Of("SO-8")
	for _, c := range []struct {
		part   Part
		number int
		want   Pixel
	}{
		{Part{Side: Front, At: Pixel{1000, 1000}}, 1, Pixel{1000 - 1.905*50, 1000 + 2.7*50}},
		{Part{Side: Front, At: Pixel{1000, 1000}, Turn: 90}, 1, Pixel{1000 - 2.7*50, 1000 - 1.905*50}},
		{Part{Side: Back, At: Pixel{1000, 1000}}, 8, Pixel{1000 - 1.905*100, 1000 - 2.7*100}},
	} {
		got := g.Pads(c.part, f)[c.number]
		if got.Side != c.part.Side || distance(got.At, c.want) > 1e-6 {
			t.Errorf("%+v pad %d: %v, want %v", c.part, c.number, got, c.want)
		}
	}
	p.Scale = nil
	g = p.Ground()
	if len(g.Pads(Part{Side: Front}, f)) != 0 {
		t.Error("pads without a scale")
	}
}
