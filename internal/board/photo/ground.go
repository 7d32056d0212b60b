package photo

import (
	"math"

	"cupel/internal/board/footprint"
)

// Ground is what both photos lie on. It has the pixels of the front photo, or,
// where there is none, those of the back photo turned over.
type Ground struct {
	photos *Photos
	back   *Map // from pixels of the back to the ground; nil while not known
	// Alignment is nil, and NotAligned says why, while the sides are not joined.
	Alignment  *Alignment
	NotAligned error
	// PixelsPerMM is 0 while no distance is known.
	PixelsPerMM float64
	// ScaleSpread is how far the known distances disagree: the largest deviation
	// of one from the scale, as a share of it.
	ScaleSpread float64
}

// Ground joins the photos as far as they can be.
func (p *Photos) Ground() Ground {
	g := Ground{photos: p}
	_, front := p.Of[Front]
	back, isBack := p.Of[Back]
	switch {
	case isBack && !front:
		over := Map{A: -1, D: 1, E: float64(back.Width)}
		g.back, g.NotAligned = &over, &NotAligned{Reason: NoPhotos}
	case !isBack:
		g.NotAligned = &NotAligned{Reason: NoPhotos}
	default:
		a, err := Align(p.Holes)
		if err != nil {
			g.NotAligned = err
			break
		}
		g.Alignment, g.back = &a, &a.Back
	}
	g.scale()
	return g
}

// scale finds the pixels per mm that fit all known distances best.
func (g *Ground) scale() {
	var lp, ll float64
	var ratios []float64
	for _, d := range g.photos.Scale {
		from, ok := g.From(d.Side, d.From)
		to, _ := g.From(d.Side, d.To)
		mm := d.Length.Nominal() * 1e3
		if px := distance(from, to); ok && mm > 0 && px > 0 {
			lp, ll, ratios = lp+px*mm, ll+mm*mm, append(ratios, px/mm)
		}
	}
	if ll == 0 {
		return
	}
	g.PixelsPerMM = lp / ll
	for _, r := range ratios {
		g.ScaleSpread = max(g.ScaleSpread, math.Abs(r/g.PixelsPerMM-1))
	}
}

// From takes a pixel of a side's photo to the ground; false while it is not
// known where the photo of that side lies.
func (g *Ground) From(s Side, p Pixel) (Pixel, bool) {
	switch {
	case s == Front:
		return p, true
	case g.back != nil:
		return g.back.Of(p), true
	}
	return Pixel{}, false
}

// To takes a pixel of the ground to a side's photo.
func (g *Ground) To(s Side, p Pixel) (Pixel, bool) {
	switch {
	case s == Front:
		return p, true
	case g.back != nil:
		return g.back.Inverse().Of(p), true
	}
	return Pixel{}, false
}

// Back is the map from the back photo to the ground, false while not known.
func (g *Ground) Back() (Map, bool) {
	if g.back == nil {
		return Map{}, false
	}
	return *g.back, true
}

// Point takes a pixel of the ground to mm; false without a scale.
func (g *Ground) Point(p Pixel) (Point, bool) {
	if g.PixelsPerMM == 0 {
		return Point{}, false
	}
	return Point{p.X / g.PixelsPerMM, p.Y / g.PixelsPerMM}, true
}

// MM is a length of the ground in mm; false without a scale.
func (g *Ground) MM(pixels float64) (float64, bool) {
	return pixels / g.PixelsPerMM, g.PixelsPerMM != 0
}

// Spot is a place on one side's photo.
type Spot struct {
	Side Side
	At   Pixel
}

// Pads are where the pads of a placed part lie on its side's photo, by number;
// none without a scale.
func (g *Ground) Pads(p Part, f footprint.Footprint) map[int]Spot {
	mm := g.PixelsPerMM
	if mm == 0 || p.Side == Back && g.back == nil {
		return nil
	}
	if p.Side == Back {
		mm /= g.back.Stretch()
	}
	sin, cos := math.Sincos(p.Turn * math.Pi / 180)
	out := map[int]Spot{}
	for _, pad := range f.Pads {
		// Turning clockwise, with y down.
		x, y := pad.At.X*cos-pad.At.Y*sin, pad.At.X*sin+pad.At.Y*cos
		out[pad.Number] = Spot{p.Side, Pixel{p.At.X + x*mm, p.At.Y + y*mm}}
	}
	return out
}
