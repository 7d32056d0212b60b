package study

import (
	"math"
	"testing"

	"cupel/internal/board/photo"
	"cupel/internal/dossier"
	"cupel/internal/ringout"
)

const photographedBoard = `cupel: 1
board: pump-1s
cells: 1
pads: {B-: bminus, B+: tap1, P+: tap1, P-: pminus}
parts:
  R1: {value: 330 Ω, size: 0603, pins: [tap1, supply]}
  C1: {value: 100 nF, pins: [supply, bminus]}
  Q1: {sheet: nfet-30v-4m, count: 2, pins: {d: middle, g: gate, s: bminus}}
  Q2: {sheet: nfet-30v-4m, pins: {d: middle, g: gate, s: pminus}}
`

const touched = `cupel: 1
photos: {front: {file: front.jpg, width: 1000, height: 500}, back: {file: back.jpg, width: 1000, height: 500}}
scale: {ruler: {front: [[0, 0], [100, 0]], length: 10 mm}}
holes:
  a: {front: [100, 100], back: [900, 100]}
  b: {front: [900, 100], back: [100, 100]}
  c: {front: [500, 400], back: [500, 400]}
parts:
  Q1.2: {back: [700, 200]}
  R1: {front: [300, 300], turn: 90}
  R7: {front: [10, 10]}
pads:
  B-: {front: [50, 60], back: [950, 60]}
  R1.2: {front: [301, 302]}
  R9.1: {front: [1, 1]}
  via1: {back: [400, 400]}
`

// Places on photos give pads their sides and their mm on the front, by hand: 10
// px are 1 mm, and the back's x is 1000 less it.
func TestPhotosPlacePads(t *testing.T) {
	d := dossier.OfTexts(map[string][]byte{"board.yaml": []byte(photographedBoard), "photos.yaml": []byte(touched), "pads.csv": []byte("pad,side,x_mm,y_mm\nP-,top,1,2\n")})
	if len(d.Findings) != 0 {
		t.Fatal(d.Findings)
	}
	s := Sample(d)
	for name, want := range map[string]struct {
		side ringout.Side
		x, y float64
	}{
		"B-":     {ringout.Both, 5, 6},
		"P-":     {ringout.Top, 1, 2},
		"R1.1":   {ringout.Top, 30, 30 - 1.524/2}, // turned clockwise the left pad is above
		"R1.2":   {ringout.Top, 30.1, 30.2},       // touched by itself
		"Q1.2.1": {ringout.Bottom, 30 + 1.905, 20 + 2.7},
		"via1":   {ringout.Bottom, 60, 40},
	} {
		i, ok := s.Pad(name)
		if !ok || s.Pads[i].At == nil {
			t.Errorf("%s: %v, no place", name, ok)
			continue
		}
		p := s.Pads[i]
		if p.Side != want.side || math.Abs(p.At.X-want.x) > 1e-6 || math.Abs(p.At.Y-want.y) > 1e-6 {
			t.Errorf("%s: %s at %+v, want %+v", name, p.Side, *p.At, want)
		}
	}
	for _, name := range []string{"R9.1", "R7.1"} {
		if _, ok := s.Pad(name); ok {
			t.Errorf("%s is no pad of this board", name)
		}
	}
	if i, _ := s.Pad("Q1.1.1"); s.Pads[i].At != nil {
		t.Error("a part that nobody placed has a place")
	}
	if spots := PadSpots(d, s)["B-"]; len(spots) != 2 || spots[1].Side != photo.Back {
		t.Errorf("%+v", spots)
	}
}

// Where photos were touched is no input of a figure: the hash stays.
func TestPhotosLeaveTheHash(t *testing.T) {
	texts := map[string][]byte{"board.yaml": []byte(photographedBoard)}
	plain := dossier.OfTexts(texts).Hash
	texts["photos.yaml"] = []byte(touched)
	if dossier.OfTexts(texts).Hash != plain {
		t.Error("the hash follows the photos")
	}
}
