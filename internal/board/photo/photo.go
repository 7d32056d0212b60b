// Package photo places the photos of a board, and what was touched on them, on
// one ground.
//
// # The nouns
//
// A [Pixel] is a place on one photo as it stands upright. The [Ground] joins
// both sides: it has the pixels of the front photo, and the back photo lies on it
// as if the board were of glass. Holes that were named on both sides say how
// ([Align]); distances that are known say how many pixels a millimetre has.
//
// What is kept is where a person touched a photo, not the millimetres that follow
// from it: a better scale or one more hole then moves everything at once.
package photo

import (
	"cupel/internal/finding"
	"cupel/internal/quantity"
)

// Side is a side of the board, and the photo of it.
type Side string

// The sides.
const (
	Front Side = "front"
	Back  Side = "back"
)

// Sides lists the sides.
var Sides = []Side{Front, Back}

// Other is the other side.
func (s Side) Other() Side {
	if s == Front {
		return Back
	}
	return Front
}

// Pixel is a place on a photo: x to the right and y down from its upper left
// corner, once the photo stands upright.
type Pixel struct{ X, Y float64 }

// Point is a place on the board in mm, both sides seen from the front: x to the
// right, y down.
type Point struct{ X, Y float64 }

// Photos is what is known from photos of a board.
type Photos struct {
	Of    map[Side]Picture
	Scale []Distance
	Holes []Hole
	Parts []Part
	Pads  []Pad
	Place finding.Place
}

// Picture is one photo: its file in the dossier and its size once upright.
type Picture struct {
	File          string
	Width, Height int
	Place         finding.Place
}

// Distance is a distance on a photo that is known in mm.
type Distance struct {
	Side     Side
	From, To Pixel
	Length   quantity.Quantity
	Because  string // "pins 1 and 4 of U3", "ruler"
	Place    finding.Place
}

// Hole is a hole through the board as it shows on both photos; nil where it was
// not named yet.
type Hole struct {
	Name        string
	Front, Back *Pixel
	Place       finding.Place
}

// On is where the hole shows on a side.
func (h Hole) On(s Side) *Pixel {
	if s == Front {
		return h.Front
	}
	return h.Back
}

// Part is a part whose middle was touched on the side it is mounted on.
type Part struct {
	Ref     string
	Side    Side
	At      Pixel
	Turn    float64 // degrees, clockwise as that side's photo shows it
	Package string  // of its footprint, where neither sheet nor size says
	Place   finding.Place
}

// Pad is a pad that was touched, on one side or, if a probe reaches it from
// both, on both.
type Pad struct {
	Name        string
	Front, Back *Pixel
	Place       finding.Place
}

// On is where the pad was touched on a side.
func (p Pad) On(s Side) *Pixel {
	if s == Front {
		return p.Front
	}
	return p.Back
}

// Part returns the placed part with that reference.
func (p *Photos) Part(ref string) (Part, bool) {
	for _, x := range p.Parts {
		if x.Ref == ref {
			return x, true
		}
	}
	return Part{}, false
}

// Pad returns the touched pad of that name.
func (p *Photos) Pad(name string) (Pad, bool) {
	for _, x := range p.Pads {
		if x.Name == name {
			return x, true
		}
	}
	return Pad{}, false
}
