package pages

import (
	"errors"
	"io"
	"math"
	"net/http"
	"slices"
	"strconv"
	"sync"

	"cupel/internal/board/photo"
	"cupel/internal/board/photo/photofile"
	"cupel/internal/board/photo/picture"
	"cupel/internal/desk"
	"cupel/internal/dossier"
	"cupel/internal/quantity"
	"cupel/internal/study"
)

// photoLimit is the most bytes of an upload: a photo with the form around it.
const photoLimit = picture.MaxBytes + 1<<20

// photoView is what the page says of its photos.
type photoView struct {
	Have      []photo.Side
	Residual  string // of the alignment
	Scale     string // pixels per mm
	Spread    string // how far known distances disagree
	Joined    bool
	Why       string // the sides are not joined
	Holes     []photo.Hole
	Distances []photo.Distance
	Placed    int      // parts
	Unplaced  []string // parts that are not placed yet
	Touched   int      // pads
	Yards     []yard
	Version   string // changes with everything the picture shows
}

// yard is a distance that a package fixes: what it is of, and how long.
type yard struct{ Text, Length string }

func (v *visit) photoView(d *dossier.Dossier) photoView {
	p := d.Photos
	g := p.Ground()
	x := photoView{Holes: p.Holes, Distances: p.Scale, Placed: len(p.Parts), Touched: len(p.Pads)}
	for _, s := range photo.Sides {
		if _, ok := p.Of[s]; ok {
			x.Have = append(x.Have, s)
		}
	}
	if a := g.Alignment; a != nil {
		x.Joined = true
		x.Residual = v.T("photo.residual.px", "px", strconv.FormatFloat(a.Residual, 'f', 1, 64), "n", a.Holes)
		if mm, ok := g.MM(a.Residual); ok {
			x.Residual = v.T("photo.residual", "mm", strconv.FormatFloat(mm, 'f', 2, 64), "n", a.Holes, "worst", a.Worst)
		}
	}
	var not *photo.NotAligned
	if errors.As(g.NotAligned, &not) && len(x.Have) == 2 {
		x.Why = v.T("photo.not."+slug(string(not.Reason)), "n", not.Holes, "least", photo.MinHoles, "hole", not.Hole)
	}
	if g.PixelsPerMM > 0 {
		x.Scale = v.T("photo.scale", "px", strconv.FormatFloat(g.PixelsPerMM, 'f', 1, 64))
		if len(p.Scale) > 1 {
			x.Spread = v.T("photo.spread", "share", strconv.FormatFloat(100*g.ScaleSpread, 'f', 1, 64))
		}
	}
	x.Version = v.State.Hash(photofile.Name)
	if len(x.Have) > 0 {
		x.Unplaced, x.Yards = v.placeable(d)
	}
	return x
}

// placeable are the parts that lie on no photo yet, and the distances that packages
// have.
func (v *visit) placeable(d *dossier.Dossier) (unplaced []string, yards []yard) {
	for _, part := range study.Sample(d).Parts {
		if _, ok := d.Photos.Part(part.Ref); !ok {
			unplaced = append(unplaced, part.Ref)
		}
		if f, ok := study.Footprint(d, part.Ref, ""); ok {
			if a, b, mm, sure := f.Yardstick(); sure {
				yards = append(yards, yard{v.T("photo.yard", "a", a, "b", b, "part", part.Ref), strconv.FormatFloat(mm, 'g', 4, 64) + " mm"})
			}
		}
	}
	return unplaced, yards
}

// photoTake takes a photo in, without what it tells besides the picture.
func photoTake(v *visit) error {
	side := photo.Side(oneOf(v.field("side"), string(photo.Front), string(photo.Back)))
	file, _, err := v.r.FormFile("photo")
	if err != nil || side == "" {
		return v.sorry("photo.nofile")
	}
	defer file.Close()
	src, err := io.ReadAll(io.LimitReader(file, picture.MaxBytes+1))
	if err != nil {
		return v.sorry("photo.nofile")
	}
	bare, info, err := examine(src)
	if err != nil {
		return v.refusedPhoto(err)
	}
	name := string(side) + info.Format.Ending()
	old, err := v.s.desk.Photo(name)
	base := ""
	if err == nil {
		base = desk.Hash(old)
	}
	text, err := photofile.Put(v.State.Texts[photofile.Name], photofile.Pictures, string(side),
		photofile.PictureValue(photo.Picture{File: name, Width: info.Width, Height: info.Height}))
	if err != nil {
		return v.sorry("photo.text", "why", err.Error())
	}
	err = v.edit(labelled("label.photo", name),
		desk.File{Name: name, Base: base, Text: bare},
		desk.File{Name: photofile.Name, Base: v.State.Hash(photofile.Name), Text: text})
	if err != nil {
		return err
	}
	return v.done("", nil)
}

// examine makes sure that a file is a photo that can be decoded whole, and bares
// it.
func examine(src []byte) ([]byte, picture.Info, error) {
	info, err := picture.Look(src)
	if err != nil {
		return nil, info, err
	}
	if _, err := picture.Decode(src); err != nil {
		return nil, info, err
	}
	bare, err := picture.Bare(src)
	return bare, info, err
}

// refusedPhoto says why a file was not taken.
func (v *visit) refusedPhoto(err error) error {
	var r *picture.Refused
	if !errors.As(err, &r) {
		return err
	}
	return v.sorry("photo.refused."+slug(string(r.Reason)),
		"most", megabytes(picture.MaxBytes), "width", r.Width, "height", r.Height, "pixels", picture.MaxPixels/1_000_000)
}

// photoPlace puts down what was touched: a part, a pad, a hole or a distance.
func photoPlace(v *visit) error {
	d := v.dossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	side := photo.Side(oneOf(v.field("side"), string(photo.Front), string(photo.Back)))
	name := v.field("name")
	at, ok := v.pixel(d, side, "x", "y")
	if !ok || name == "" || len(name) > 60 {
		return v.sorry("photo.nowhere")
	}
	section, value, err := v.placed(d, side, name, at)
	if err != nil {
		return err
	}
	return v.putPhotos(section, name, value, "label.placed")
}

// placed is what stands in the text for a place that was touched.
func (v *visit) placed(d *dossier.Dossier, side photo.Side, name string, at photo.Pixel) (photofile.Section, string, error) {
	switch v.field("what") {
	case "part":
		turn, err := strconv.ParseFloat(v.field("turn"), 64)
		if err != nil || !(math.Abs(turn) <= 360) {
			turn = 0
		}
		old, _ := d.Photos.Part(name)
		return photofile.Parts, photofile.PartValue(photo.Part{Ref: name, Side: side, At: at, Turn: turn, Package: old.Package}), nil
	case "pad":
		old, _ := d.Photos.Pad(name)
		front, back := v.onSides(side, at, old.Front, old.Back, v.field("both") != "")
		return photofile.Pads, photofile.PlaceValue(front, back), nil
	case "hole":
		i := slices.IndexFunc(d.Photos.Holes, func(h photo.Hole) bool { return h.Name == name })
		var old photo.Hole
		if i >= 0 {
			old = d.Photos.Holes[i]
		}
		front, back := v.onSides(side, at, old.Front, old.Back, true)
		return photofile.Holes, photofile.PlaceValue(front, back), nil
	case "scale":
		to, ok := v.pixel(d, side, "x2", "y2")
		length, err := quantity.Parse(v.field("length"), quantity.Length)
		if !ok || to == at {
			return "", "", v.sorry("photo.nowhere")
		}
		if err != nil || !(length.Low() > 0) {
			return "", "", v.sorry("photo.length", "what", v.field("length"))
		}
		return photofile.Scale, photofile.DistanceValue(photo.Distance{Side: side, From: at, To: to, Length: length}), nil
	}
	return "", "", v.sorry("photo.nowhere")
}

// onSides sets the place on one side, and keeps that on the other where the thing
// goes through.
func (v *visit) onSides(side photo.Side, at photo.Pixel, front, back *photo.Pixel, through bool) (*photo.Pixel, *photo.Pixel) {
	switch {
	case side == photo.Front && through:
		return &at, back
	case side == photo.Front:
		return &at, nil
	case through:
		return front, &at
	}
	return nil, &at
}

// pixel reads a place on a side's photo.
func (v *visit) pixel(d *dossier.Dossier, side photo.Side, x, y string) (photo.Pixel, bool) {
	pic, ok := d.Photos.Of[side]
	px, errX := strconv.ParseFloat(v.field(x), 64)
	py, errY := strconv.ParseFloat(v.field(y), 64)
	ok = ok && errX == nil && errY == nil && px >= 0 && py >= 0 && px <= float64(pic.Width) && py <= float64(pic.Height)
	return photo.Pixel{X: px, Y: py}, ok
}

func (v *visit) putPhotos(section photofile.Section, name, value, label string) error {
	text, err := photofile.Put(v.State.Texts[photofile.Name], section, name, value)
	if err != nil {
		return v.sorry("photo.text", "why", err.Error())
	}
	if err := v.edit(labelled(label, name), desk.File{Name: photofile.Name, Base: v.State.Hash(photofile.Name), Text: text}); err != nil {
		return err
	}
	return v.done("", nil)
}

// photoRemove takes a place back.
func photoRemove(v *visit) error {
	section := photofile.Section(oneOf(v.field("section"), "holes", "scale", "parts", "pads"))
	text, err := photofile.Remove(v.State.Texts[photofile.Name], section, v.field("name"))
	if err != nil {
		return v.sorry("photo.text", "why", err.Error())
	}
	err = v.edit(labelled("label.removed", v.field("name")), desk.File{Name: photofile.Name, Base: v.State.Hash(photofile.Name), Text: text})
	if err != nil {
		return err
	}
	return v.done("", nil)
}

// photoGround hands out where everything lies on the photos.
func photoGround(v *visit) error {
	d := v.dossier()
	if d == nil {
		return v.json(http.StatusOK, map[string]any{})
	}
	g := d.Photos.Ground()
	sides := map[string]any{}
	for s, pic := range d.Photos.Of {
		src, err := v.s.desk.Photo(pic.File)
		if err != nil {
			continue // the text names a photo that is gone; the page says so
		}
		sides[string(s)] = map[string]any{
			"hash": desk.Hash(src)[:16], "width": pic.Width, "height": pic.Height, "levels": picture.Levels(pic.Width, pic.Height),
		}
	}
	out := map[string]any{"sides": sides, "pixelsPerMM": g.PixelsPerMM, "tile": picture.TileEdge, "holes": d.Photos.Holes, "parts": d.Photos.Parts}
	if m, ok := g.Back(); ok {
		out["back"] = []float64{m.A, m.C, m.B, m.D, m.E, m.F} // as a canvas takes it
	}
	pads := map[string][]float64{}
	for name, spots := range study.PadSpots(d, study.Sample(d)) {
		for _, s := range spots {
			side := 0.0
			if s.Side == photo.Back {
				side = 1
			}
			pads[name] = append(pads[name], side, s.At.X, s.At.Y)
		}
	}
	out["pads"] = pads
	return v.json(http.StatusOK, out)
}

// tiles keeps the tiles of the photos that were looked at last.
type tiles struct {
	mu   sync.Mutex
	have []cut
}

type cut struct {
	hash  string
	tiles *picture.Tiles
}

// mostCut is how many photos are kept cut: both sides.
const mostCut = 2

// tile is one tile of the photo with that hash, where there is such a tile. Photos
// are decoded one at a time: two at once would take twice the memory.
func (t *tiles) tile(hash string, level, column, row int, src func() ([]byte, error)) ([]byte, bool, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	cut, err := t.of(hash, src)
	if err != nil {
		return nil, false, err
	}
	file, ok := cut.Tile(level, column, row)
	return file, ok, nil
}

func (t *tiles) of(hash string, src func() ([]byte, error)) (*picture.Tiles, error) {
	for _, c := range t.have {
		if c.hash == hash {
			return c.tiles, nil
		}
	}
	file, err := src()
	if err != nil {
		return nil, err
	}
	img, err := picture.Decode(file)
	if err != nil {
		return nil, err
	}
	made := picture.Cut(img)
	t.have = append(t.have, cut{hash, made})
	if len(t.have) > mostCut {
		t.have = slices.Delete(t.have, 0, 1)
	}
	return made, nil
}

// photoTile hands out one tile of a photo.
func photoTile(v *visit) error {
	d := v.dossier()
	if d == nil {
		return v.sorry("refused.nodossier")
	}
	pic, ok := d.Photos.Of[photo.Side(v.field("side"))]
	if !ok {
		return v.sorry("photo.nowhere")
	}
	tile, ok, err := v.s.tiles.tile(v.field("hash"), atoi(v.field("level")), atoi(v.field("column")), atoi(v.field("row")), func() ([]byte, error) {
		src, err := v.s.desk.Photo(pic.File)
		if err == nil && desk.Hash(src)[:16] != v.field("hash") {
			err = v.sorry("photo.replaced")
		}
		return src, err
	})
	if err != nil {
		return v.refusedPhoto(err)
	}
	if !ok {
		return v.sorry("photo.nowhere")
	}
	v.w.Header().Set("Content-Type", "image/jpeg")
	v.w.Header().Set("Cache-Control", "private, max-age=31536000, immutable") // the hash is in the address
	_, err = v.w.Write(tile)
	return err
}
