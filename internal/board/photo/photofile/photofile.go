// Package photofile reads photos.yaml: which photos there are of a board, and
// what was touched on them.
package photofile

import (
	"regexp"
	"strconv"
	"strings"

	"cupel/internal/board/footprint"
	"cupel/internal/board/photo"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
	"cupel/internal/quantity"
)

// Name is the name of the file in a dossier.
const Name = "photos.yaml"

// Version is the version of the text that this package reads.
const Version = 1

// Read reads src, the content of file. Mistakes go to list; the photos hold
// what could be understood and are never nil.
func Read(file string, src []byte, list *finding.List) *photo.Photos {
	p := &photo.Photos{Of: map[photo.Side]photo.Picture{}, Place: finding.Place{File: file}}
	doc := text.Parse(file, src, list)
	if !doc.OK() {
		return p
	}
	r := &reader{photos: p, broken: map[photo.Side]bool{}}
	r.read(doc.Root().Fields(photosFields.Names()...))
	return p
}

type reader struct {
	photos *photo.Photos
	broken map[photo.Side]bool // photos whose entry has a mistake, told already
}

func (r *reader) read(root text.Map) {
	v := root.Need("cupel")
	if n := v.Text(); n != strconv.Itoa(Version) && n != "" {
		v.Fail(OtherVersion, "use a program that reads that version, or write cupel: 1",
			"the file is of version %q, this program reads version %d", n, Version)
	}
	pictures := root.Get("photos").Map().Fields(string(photo.Front), string(photo.Back))
	for _, s := range photo.Sides {
		if v := pictures.Get(string(s)); v.Given() {
			r.picture(s, v)
		}
	}
	root.Get("scale").Map().Each(r.distance)
	root.Get("holes").Map().Each(func(key, v text.Value) {
		h := photo.Hole{Name: key.Text(), Place: key.Place()}
		h.Front, h.Back = r.places(v, v.Map().Fields(placeFields.Names()...))
		r.photos.Holes = append(r.photos.Holes, h)
	})
	root.Get("parts").Map().Each(r.part)
	root.Get("pads").Map().Each(func(key, v text.Value) {
		p := photo.Pad{Name: strings.ReplaceAll(key.Text(), "−", "-"), Place: key.Place()}
		p.Front, p.Back = r.places(v, v.Map().Fields(placeFields.Names()...))
		r.photos.Pads = append(r.photos.Pads, p)
	})
}

func (r *reader) picture(s photo.Side, v text.Value) {
	m := v.Map().Fields(pictureFields.Names()...)
	r.broken[s] = true
	file := m.Need("file")
	pic := photo.Picture{
		File: file.Text(), Place: v.Place(),
		Width: m.Need("width").IntIn(1, MaxPixels), Height: m.Need("height").IntIn(1, MaxPixels),
	}
	if pic.File != "" && !IsFile(pic.File) {
		file.Fail(BadFile, "put the photo into the dossier's folder and write its name, as front.jpg",
			"%q is no photo of this dossier", pic.File)
		return
	}
	if pic.File != "" && pic.Width > 0 && pic.Height > 0 {
		r.photos.Of[s], r.broken[s] = pic, false
	}
}

var plain = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_-]*\.(jpg|jpeg|png)$`)

// IsFile reports whether a photo of a dossier may have that name.
func IsFile(name string) bool { return len(name) <= 100 && plain.MatchString(name) }

// places reads where something shows on the photos, on one side at least.
func (r *reader) places(v text.Value, m text.Map) (front, back *photo.Pixel) {
	front, back = r.place(photo.Front, m), r.place(photo.Back, m)
	if v.IsMap() && !m.Has(string(photo.Front)) && !m.Has(string(photo.Back)) {
		v.Fail(NoSide, "write {front: [x, y]} or {back: [x, y]}", "on neither side")
	}
	return front, back
}

func (r *reader) place(s photo.Side, m text.Map) *photo.Pixel {
	v := m.Get(string(s))
	if !v.Given() {
		return nil
	}
	p, ok := pixelOf(v)
	if !ok {
		return nil
	}
	return r.onPhoto(s, v, p)
}

// onPhoto holds a place against the photo that it is on.
func (r *reader) onPhoto(s photo.Side, v text.Value, p photo.Pixel) *photo.Pixel {
	pic, ok := r.photos.Of[s]
	switch {
	case r.broken[s]:
		return nil
	case !ok:
		v.Fail(NoPhoto, "add the photo under photos, or delete the place", "there is no photo of the %s", s)
		return nil
	case p.X < 0 || p.Y < 0 || p.X > float64(pic.Width) || p.Y > float64(pic.Height):
		v.Fail(OffThePhoto, "touch it again, or delete the place",
			"the place lies outside the photo of the %s, which has %d × %d pixels", s, pic.Width, pic.Height)
		return nil
	}
	return &p
}

// pixelOf reads [x, y].
func pixelOf(v text.Value) (photo.Pixel, bool) {
	if !v.IsList() || len(v.List()) != 2 {
		v.Fail(NotAPlace, "write [x, y] in pixels, as [1204, 880.5]", "a place on a photo is two numbers")
		return photo.Pixel{}, false
	}
	xy := v.List()
	x, okX := number(xy[0])
	y, okY := number(xy[1])
	return photo.Pixel{X: x, Y: y}, okX && okY
}

// number reads a plain number that a place can have.
func number(v text.Value) (float64, bool) {
	n := v.Number()
	if !(n >= -MaxPixels && n <= MaxPixels) {
		v.Fail(OffThePhoto, "touch it again, or delete the place", "no photo is as large as that")
		return 0, false
	}
	return n, true
}

func (r *reader) part(key, v text.Value) {
	m := v.Map().Fields(partFields.Names()...)
	p := photo.Part{Ref: key.Text(), Place: key.Place()}
	front, back := r.places(v, m)
	switch {
	case front != nil && back != nil:
		v.Fail(NoSide, "keep the side that it is mounted on", "a part on both sides")
		return
	case front != nil:
		p.Side, p.At = photo.Front, *front
	case back != nil:
		p.Side, p.At = photo.Back, *back
	default:
		return
	}
	if t := m.Get("turn"); t.Given() {
		if p.Turn = t.Number(); !(p.Turn >= -360 && p.Turn <= 360) {
			t.Fail(NotAPlace, "write degrees clockwise, as turn: 90", "a part cannot be turned by that")
			p.Turn = 0
		}
	}
	if k := m.Get("package"); k.Given() {
		if p.Package = k.Text(); p.Package != "" {
			if _, ok := footprint.Of(p.Package); !ok {
				k.Fail(NoFootprint, "touch its pads one by one under pads, and delete the package", "where the pads of a %q lie is not known", p.Package)
			}
		}
	}
	r.photos.Parts = append(r.photos.Parts, p)
}

func (r *reader) distance(key, v text.Value) {
	m := v.Map().Fields(distanceFields.Names()...)
	d := photo.Distance{Because: key.Text(), Place: key.Place(), Length: m.Need("length").Quantity(quantity.Length)}
	if !v.IsMap() {
		return
	}
	front, back := m.Get(string(photo.Front)), m.Get(string(photo.Back))
	ends := front
	d.Side = photo.Front
	if back.Given() {
		ends, d.Side = back, photo.Back
	}
	if front.Given() == back.Given() {
		v.Fail(NoSide, "write front: [[x, y], [x, y]] or back: …", "a known distance is one on one side's photo")
		return
	}
	if !ends.IsList() || len(ends.List()) != 2 {
		ends.Fail(NotAPlace, "write [[x, y], [x, y]] in pixels", "a distance is between two places")
		return
	}
	var at [2]*photo.Pixel
	for i, e := range ends.List() {
		if p, ok := pixelOf(e); ok {
			at[i] = r.onPhoto(d.Side, e, p)
		}
	}
	if at[0] == nil || at[1] == nil || !d.Length.Given() {
		return
	}
	d.From, d.To = *at[0], *at[1]
	if d.From == d.To || !(d.Length.Low() > 0) {
		v.Fail(NoLength, "touch two places that are apart, and write how far in mm", "a distance of zero")
		return
	}
	r.photos.Scale = append(r.photos.Scale, d)
}
