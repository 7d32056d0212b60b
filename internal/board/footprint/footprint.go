// Package footprint says where the pads of a housing lie on the board, in mm
// from the middle of the part.
//
// Seen from the side the part is on, x to the right and y down. Pin 1 is the
// lower left one of two rows and the left one of two pads; numbers go on
// counter-clockwise, as on every part with pins on two sides.
//
// The pitches within a row are those of the JEDEC outline families, the
// distances between rows those of usual land patterns; both from memory. A board
// may use longer lands: pitches can be trusted as a scale, distances between rows
// and between the two pads of a chip part only roughly.
package footprint

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// Point is a place in mm.
type Point struct{ X, Y float64 }

// Pad is one pad: its number and where its middle lies.
type Pad struct {
	Number int
	At     Point
}

// Footprint is the pads of one housing, by number.
type Footprint struct {
	Name string
	Pads []Pad
	// yard are the numbers of the two pads whose distance the outline fixes best.
	yard [2]int
	sure bool
}

// Of returns the footprint of a housing by its name, as part sheets and sizes
// write it: "SO-8", "0603".
func Of(name string) (Footprint, bool) {
	name = strings.TrimSpace(name)
	if f, ok := chip(name); ok {
		return f, true
	}
	for _, make := range families {
		if f, ok := make(name); ok {
			f.Name = name
			return f, true
		}
	}
	return Footprint{}, false
}

// Pad returns where the pad of that number lies.
func (f Footprint) Pad(number int) (Point, bool) {
	for _, p := range f.Pads {
		if p.Number == number {
			return p.At, true
		}
	}
	return Point{}, false
}

// Yardstick returns two pads whose distance is known best and the distance in
// mm; sure is false where boards differ in it.
func (f Footprint) Yardstick() (a, b int, mm float64, sure bool) {
	p, _ := f.Pad(f.yard[0])
	q, _ := f.Pad(f.yard[1])
	return f.yard[0], f.yard[1], math.Hypot(p.X-q.X, p.Y-q.Y), f.sure
}

// Size is how far the middles of the pads reach, in mm.
func (f Footprint) Size() Point {
	var lo, hi Point
	for _, p := range f.Pads {
		lo = Point{min(lo.X, p.At.X), min(lo.Y, p.At.Y)}
		hi = Point{max(hi.X, p.At.X), max(hi.Y, p.At.Y)}
	}
	return Point{hi.X - lo.X, hi.Y - lo.Y}
}

// chip reads a case size of two pads by its code in hundredths of an inch: the
// pads' middles lie about as far apart as the body is long.
func chip(name string) (Footprint, bool) {
	if len(name) != 4 || strings.Trim(name, "0123456789") != "" {
		return Footprint{}, false
	}
	n, err := strconv.Atoi(name[:2])
	if err != nil || n == 0 {
		return Footprint{}, false
	}
	return pair(name, float64(n)*0.254), true
}

// pair is two pads side by side.
func pair(name string, mm float64) Footprint {
	return Footprint{Name: name, Pads: []Pad{{1, Point{-mm / 2, 0}}, {2, Point{mm / 2, 0}}}, yard: [2]int{1, 2}}
}

// families make a footprint of a name that is theirs.
var families = []func(name string) (Footprint, bool){diodes, small, rows, powers}

// diodes are the two-pad housings, by the distance of their pads.
func diodes(name string) (Footprint, bool) {
	mm, ok := map[string]float64{
		"SOD-523": 1.4, "SOD-323": 2.3, "SOD-123": 3.3, "SMA": 4.1, "SMB": 4.3, "SMC": 6.8,
	}[name]
	return pair(name, mm), ok
}

// small are the transistors' housings, where some places of a row stay empty.
func small(name string) (Footprint, bool) {
	switch name {
	case "SOT-23", "SOT-323":
		pitch := map[string]float64{"SOT-23": 1.9, "SOT-323": 1.3}[name]
		return Footprint{Pads: []Pad{{1, Point{-pitch / 2, 1}}, {2, Point{pitch / 2, 1}}, {3, Point{0, -1}}}, yard: [2]int{1, 2}, sure: true}, true
	case "SOT-23-5":
		f := twoRows(6, 0.95, 2.6)
		f.Pads = slices.Delete(f.Pads, 4, 5) // the middle of the upper row
		f.Pads[4].Number = 5
		return f, true
	case "SOT-23-6":
		return twoRows(6, 0.95, 2.6), true
	case "SOT-89":
		return Footprint{Pads: []Pad{{1, Point{-1.5, 1.6}}, {2, Point{0, 1.6}}, {3, Point{1.5, 1.6}}}, yard: [2]int{1, 3}, sure: true}, true
	}
	return Footprint{}, false
}

// rows are the housings with two equal rows, by pitch and distance of the rows.
func rows(name string) (Footprint, bool) {
	family, count, _ := strings.Cut(name, "-")
	n, err := strconv.Atoi(count)
	var size [2]float64
	switch family {
	case "SO", "SOIC":
		size = [2]float64{1.27, 5.4}
	case "MSOP":
		size = [2]float64{0.65, 4.4}
	case "TSSOP":
		size = [2]float64{0.65, 5.8}
	case "DFN 5×6":
		n, err, size = 8, nil, [2]float64{1.27, 5.4}
	default:
		return Footprint{}, false
	}
	if err != nil || n < 4 || n > 64 || n%2 != 0 {
		return Footprint{}, false
	}
	return twoRows(n, size[0], size[1]), true
}

// powers are the housings with a tab, which is pad 2.
func powers(name string) (Footprint, bool) {
	pitch, ok := map[string]float64{"TO-252": 2.28, "TO-263": 2.54}[name]
	return Footprint{
		Pads: []Pad{{1, Point{-pitch, 3}}, {2, Point{0, -2.5}}, {3, Point{pitch, 3}}}, yard: [2]int{1, 3}, sure: true,
	}, ok
}

// twoRows is n pads in two rows: the lower from left to right, the upper back.
func twoRows(n int, pitch, apart float64) Footprint {
	f := Footprint{yard: [2]int{1, n / 2}, sure: true}
	for i := range n / 2 {
		x := (float64(i) - float64(n/2-1)/2) * pitch
		f.Pads = append(f.Pads, Pad{i + 1, Point{x, apart / 2}})
	}
	for i := range n / 2 {
		p := f.Pads[n/2-1-i].At
		f.Pads = append(f.Pads, Pad{n/2 + i + 1, Point{p.X, -apart / 2}})
	}
	return f
}
