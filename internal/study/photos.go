package study

import (
	"cmp"
	"strconv"
	"strings"

	"cupel/internal/board/footprint"
	"cupel/internal/board/photo"
	"cupel/internal/dossier"
	"cupel/internal/ringout"
)

// PadSpots are the places on photos where the pads of a sample lie, by the pads'
// names: those that were touched, and those that follow from where a part was.
// A pad that shows on both sides has two.
func PadSpots(d *dossier.Dossier, s *ringout.Sample) map[string][]photo.Spot {
	out := map[string][]photo.Spot{}
	if d.Photos == nil {
		return out
	}
	ground := d.Photos.Ground()
	for i := range s.Parts {
		part := &s.Parts[i]
		placed, ok := d.Photos.Part(part.Ref)
		f, known := Footprint(d, part.Ref, placed.Package)
		if !ok || !known {
			continue
		}
		for number, spot := range ground.Pads(placed, f) {
			if name := part.Ref + "." + strconv.Itoa(number); has(s, name) {
				out[name] = []photo.Spot{spot}
			}
		}
	}
	for _, p := range d.Photos.Pads {
		var spots []photo.Spot
		for _, side := range photo.Sides {
			if at := p.On(side); at != nil {
				spots = append(spots, photo.Spot{Side: side, At: *at})
			}
		}
		out[p.Name] = spots
	}
	return out
}

// Footprint is where the pads of a part lie: by the package named, else by its
// sheet, else by its size.
func Footprint(d *dossier.Dossier, ref, named string) (footprint.Footprint, bool) {
	p, ok := d.Board.Part(ref)
	if !ok { // one of several in parallel: "Q5.2"
		ref = ref[:max(strings.LastIndexByte(ref, '.'), 0)]
		if p, ok = d.Board.Part(ref); !ok {
			return footprint.Of(named)
		}
	}
	housed := ""
	if sheet, ok := d.Sheets.Sheet(p.Sheet); ok {
		housed = sheet.Package.Name
	}
	return footprint.Of(cmp.Or(named, housed, p.Size))
}

func has(s *ringout.Sample, pad string) bool {
	_, ok := s.Pad(pad)
	return ok
}

// sideOf is the side of the board that a spot is on, as the bench calls it.
func sideOf(spots []photo.Spot) ringout.Side {
	switch {
	case len(spots) > 1:
		return ringout.Both
	case spots[0].Side == photo.Back:
		return ringout.Bottom
	}
	return ringout.Top
}

// photographed is what photos say of pads, as a list of pads says it: sides, and
// positions where the photos have a scale. A pad of a part that the board does
// not have any more is left out; other new names are new pads.
func photographed(d *dossier.Dossier, s *ringout.Sample) []ringout.PadRow {
	if d.Photos == nil {
		return nil
	}
	ground := d.Photos.Ground()
	spots := PadSpots(d, s)
	var out []ringout.PadRow
	for _, name := range padOrder(d, s, spots) {
		at := spots[name]
		if len(at) == 0 || !has(s, name) && strings.Contains(name, ".") {
			continue
		}
		row := ringout.PadRow{Name: name, Side: sideOf(at)}
		if px, ok := ground.From(at[0].Side, at[0].At); ok {
			if mm, ok := ground.Point(px); ok {
				row.At = &ringout.Point{X: mm.X, Y: mm.Y}
			}
		}
		out = append(out, row)
	}
	return out
}

// padOrder is the order of the sample, then that of the text.
func padOrder(d *dossier.Dossier, s *ringout.Sample, spots map[string][]photo.Spot) []string {
	var out []string
	for i := range s.Pads {
		if _, ok := spots[s.Pads[i].Name]; ok {
			out = append(out, s.Pads[i].Name)
		}
	}
	for _, p := range d.Photos.Pads {
		if !has(s, p.Name) {
			out = append(out, p.Name)
		}
	}
	return out
}
