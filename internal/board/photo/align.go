package photo

import (
	"fmt"
	"math"
	"math/cmplx"
)

// Map takes a pixel of one photo to one of another: x' = A·x + B·y + E and
// y' = C·x + D·y + F.
type Map struct{ A, B, C, D, E, F float64 }

// Of maps a pixel.
func (m Map) Of(p Pixel) Pixel {
	return Pixel{m.A*p.X + m.B*p.Y + m.E, m.C*p.X + m.D*p.Y + m.F}
}

// det is negative for a map that turns the picture over.
func (m Map) det() float64 { return m.A*m.D - m.B*m.C }

// Stretch is how much longer distances become, the mean over all directions.
func (m Map) Stretch() float64 { return math.Sqrt(math.Abs(m.det())) }

// Inverse maps back. The map must not be flat; [Align] returns no such.
func (m Map) Inverse() Map {
	d := m.det()
	i := Map{A: m.D / d, B: -m.B / d, C: -m.C / d, D: m.A / d}
	i.E, i.F = -(i.A*m.E + i.B*m.F), -(i.C*m.E + i.D*m.F)
	return i
}

// Alignment is how the back photo lies on the front one.
type Alignment struct {
	Back Map // from pixels of the back to pixels of the front
	// Residual is how far the holes lie off after the best fit, in pixels of the
	// front: the root of the sum of squares over the degrees of freedom.
	Residual float64
	Worst    string  // the hole that lies off the most
	Off      float64 // by how much, in pixels of the front
	Holes    int     // that were named on both sides
}

// Reason is why photos could not be aligned.
type Reason string

// The reasons.
const (
	TooFew   Reason = "too few"
	InLine   Reason = "in line"
	NotOver  Reason = "not turned over"
	TooFar   Reason = "too far off"
	NoPhotos Reason = "no photos"
)

// NotAligned says why photos could not be aligned.
type NotAligned struct {
	Reason Reason
	Holes  int    // named on both sides
	Hole   string // that lies off the most, for TooFar
}

func (e *NotAligned) Error() string {
	switch e.Reason {
	case TooFew:
		return fmt.Sprintf("%d holes are named on both photos: name %d or more, far apart and not in one line", e.Holes, MinHoles)
	case InLine:
		return "the named holes lie almost in one line: name one more, far from that line"
	case NotOver:
		return "seen through the board the holes turn the wrong way round: two names are swapped, or the back photo was mirrored before"
	case TooFar:
		return fmt.Sprintf("the named holes do not fit each other, %s least of all: name it again on both photos", e.Hole)
	}
	return "there is no photo of one of the sides"
}

const (
	// MinHoles is how many holes an alignment takes. Two would do for the map, but
	// then nothing would tell that one of them is wrong.
	MinHoles = 3
	// affineFrom is from how many holes the map may also shear, as a photo taken
	// at a slant does: with fewer it would fit any three holes without residual.
	affineFrom = 4
	// narrow is how much shorter than long the cloud of holes may be. At 1 to 20
	// an error across becomes 20 times as large at a hole's distance aside.
	narrow = 0.05
	// farOff is the residual, as a share of the holes' spread, from which they are
	// not the same holes: on a 60 mm board 1.2 mm, more than any hole is wide.
	farOff = 0.02
)

// Align fits the back photo on to the front one by the holes named on both.
//
// Three holes fit a similarity that turns the picture over: with z = −x + iy on
// the back and w = x + iy on the front, w = αz + β by least squares in complex
// numbers. From four holes on the map is affine, by the normal equations of both
// coordinates. Its error is *NotAligned.
func Align(holes []Hole) (Alignment, error) {
	var from, to []Pixel
	var names []string
	for _, h := range holes {
		if h.Front != nil && h.Back != nil {
			from, to, names = append(from, *h.Back), append(to, *h.Front), append(names, h.Name)
		}
	}
	n := len(from)
	if n < MinHoles {
		return Alignment{}, &NotAligned{Reason: TooFew, Holes: n}
	}
	if inLine(from) || inLine(to) {
		return Alignment{}, &NotAligned{Reason: InLine, Holes: n}
	}
	a := Alignment{Back: overturned(from, to), Holes: n}
	free := 2*n - 4
	if n >= affineFrom {
		a.Back, free = affine(from, to), 2*n-6
	}
	a.measure(from, to, names, free)
	if turned(from)*turned(to) > 0 && n == MinHoles || a.Back.det() >= 0 {
		return Alignment{}, &NotAligned{Reason: NotOver, Holes: n}
	}
	if a.Residual > farOff*spread(to) {
		return Alignment{}, &NotAligned{Reason: TooFar, Holes: n, Hole: a.Worst}
	}
	return a, nil
}

// measure sets how far the holes lie off, over that many degrees of freedom.
func (a *Alignment) measure(from, to []Pixel, names []string, free int) {
	var sum float64
	for i := range from {
		d := distance(a.Back.Of(from[i]), to[i])
		sum += d * d
		if d > a.Off || i == 0 {
			a.Off, a.Worst = d, names[i]
		}
	}
	a.Residual = math.Sqrt(sum / float64(free))
}

// overturned is the best similarity that turns the picture over.
func overturned(from, to []Pixel) Map {
	cz, cw := mean(from), mean(to)
	var num complex128
	var den float64
	for i := range from {
		z := complex(-(from[i].X - cz.X), from[i].Y-cz.Y)
		w := complex(to[i].X-cw.X, to[i].Y-cw.Y)
		num += w * cmplx.Conj(z)
		den += real(z)*real(z) + imag(z)*imag(z)
	}
	alpha := num / complex(den, 0)
	re, im := real(alpha), imag(alpha)
	return through(Map{A: -re, B: -im, C: -im, D: re}, cz, cw)
}

// affine is the best map that keeps straight lines straight. The points are
// taken from their middle, which keeps the equations well conditioned.
func affine(from, to []Pixel) Map {
	c, d := mean(from), mean(to)
	var xx, xy, yy, xu, yu, xv, yv float64
	for i := range from {
		x, y := from[i].X-c.X, from[i].Y-c.Y
		u, v := to[i].X-d.X, to[i].Y-d.Y
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
		xu, yu, xv, yv = xu+x*u, yu+y*u, xv+x*v, yv+y*v
	}
	det := xx*yy - xy*xy // not 0: the points do not lie in one line
	return through(Map{
		A: (yy*xu - xy*yu) / det, B: (xx*yu - xy*xu) / det,
		C: (yy*xv - xy*yv) / det, D: (xx*yv - xy*xv) / det,
	}, c, d)
}

// through shifts a map so that it takes one pixel to another.
func through(m Map, from, to Pixel) Map {
	p := m.Of(from)
	m.E, m.F = to.X-p.X, to.Y-p.Y
	return m
}

func mean(ps []Pixel) Pixel {
	var s Pixel
	for _, p := range ps {
		s.X, s.Y = s.X+p.X, s.Y+p.Y
	}
	n := float64(len(ps))
	return Pixel{s.X / n, s.Y / n}
}

func distance(p, q Pixel) float64 { return math.Hypot(p.X-q.X, p.Y-q.Y) }

// spread is twice the root mean square distance from the middle: about how far
// apart the points lie.
func spread(ps []Pixel) float64 {
	c := mean(ps)
	var s float64
	for _, p := range ps {
		d := distance(p, c)
		s += d * d
	}
	return 2 * math.Sqrt(s/float64(len(ps)))
}

// inLine reports whether points lie almost in one line, by the eigenvalues of
// their scatter.
func inLine(ps []Pixel) bool {
	c := mean(ps)
	var xx, xy, yy float64
	for _, p := range ps {
		x, y := p.X-c.X, p.Y-c.Y
		xx, xy, yy = xx+x*x, xy+x*y, yy+y*y
	}
	half, root := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
	return !(half-root > narrow*narrow*(half+root))
}

// turned is twice the area of the first three points, its sign that of the turn.
func turned(p []Pixel) float64 {
	return (p[1].X-p[0].X)*(p[2].Y-p[0].Y) - (p[1].Y-p[0].Y)*(p[2].X-p[0].X)
}
