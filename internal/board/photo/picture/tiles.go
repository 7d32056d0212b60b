package picture

import (
	"bytes"
	"image"
	"image/jpeg"
)

// TileEdge is the edge of a tile in pixels.
const TileEdge = 512

// quality is the JPEG quality of tiles: the edges of pads stay clean, and a
// photo of 12 million pixels takes a few MB.
const quality = 85

// Level is one level of tiles.
type Level struct {
	Width, Height int // in pixels
	Columns, Rows int // of tiles
}

// Levels lists the levels of a photo of that size: the first as large as the
// photo, each further one half as large, the last a single tile.
func Levels(width, height int) []Level {
	var out []Level
	for {
		l := Level{Width: width, Height: height, Columns: (width + TileEdge - 1) / TileEdge, Rows: (height + TileEdge - 1) / TileEdge}
		out = append(out, l)
		if l.Columns*l.Rows <= 1 {
			return out
		}
		width, height = (width+1)/2, (height+1)/2
	}
}

// Tiles are the tiles of one photo as JPEG files, each made when it is first
// asked for. They are not safe for several goroutines at once.
type Tiles struct {
	Levels []Level
	photos []*image.RGBA // by level
	files  map[[3]int][]byte
}

// Tile returns a tile; false where there is none.
func (t *Tiles) Tile(level, column, row int) ([]byte, bool) {
	if level < 0 || level >= len(t.Levels) {
		return nil, false
	}
	l := t.Levels[level]
	if column < 0 || column >= l.Columns || row < 0 || row >= l.Rows {
		return nil, false
	}
	at := [3]int{level, column, row}
	if t.files[at] == nil {
		t.files[at] = tile(t.photos[level], column, row)
	}
	return t.files[at], true
}

// Cut makes a photo ready to be cut into tiles. It keeps the photo at all sizes:
// 64 MB for 12 million pixels.
func Cut(img *image.RGBA) *Tiles {
	t := &Tiles{Levels: Levels(img.Rect.Dx(), img.Rect.Dy()), files: map[[3]int][]byte{}}
	for i := range t.Levels {
		if i > 0 {
			img = half(img)
		}
		t.photos = append(t.photos, img)
	}
	return t
}

func tile(img *image.RGBA, column, row int) []byte {
	at := image.Pt(column*TileEdge, row*TileEdge)
	part := img.SubImage(image.Rectangle{at, at.Add(image.Pt(TileEdge, TileEdge))})
	var b bytes.Buffer
	if err := jpeg.Encode(&b, part, &jpeg.Options{Quality: quality}); err != nil {
		panic(err) // a tile is small and a buffer takes all
	}
	return b.Bytes()
}

// half returns the picture at half its size: each pixel the mean of four. Odd
// edges repeat their last row and column.
func half(src *image.RGBA) *image.RGBA {
	w, h := src.Rect.Dx(), src.Rect.Dy()
	dst := image.NewRGBA(image.Rect(0, 0, (w+1)/2, (h+1)/2))
	for y := range dst.Rect.Dy() {
		upper := src.Pix[2*y*src.Stride:]
		lower := src.Pix[min(2*y+1, h-1)*src.Stride:]
		out := dst.Pix[y*dst.Stride:]
		for x := range dst.Rect.Dx() {
			a, b := 8*x, 4*min(2*x+1, w-1)
			for c := range 4 {
				sum := uint(upper[a+c]) + uint(upper[b+c]) + uint(lower[a+c]) + uint(lower[b+c])
				out[4*x+c] = uint8((sum + 2) / 4)
			}
		}
	}
	return dst
}
