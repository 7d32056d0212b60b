package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
)

// scene is a small board that no turn leaves as it is: a light pad in the upper
// left corner, a red one in the upper right, on green.
func scene(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{20, 90, 40, 255}
			switch {
			case x < w/3 && y < h/3:
				c = color.RGBA{240, 240, 220, 255}
			case x >= w-w/3 && y < h/3:
				c = color.RGBA{200, 30, 30, 255}
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// held is how the scene lies in the file of a camera held in that way: pixel
// (x, y) of the file is pixel at(x, y) of the upright scene. Written from the
// table of the format, apart from the code under test.
var held = map[Orientation]func(x, y, w, h int) (int, int){
	1: func(x, y, w, h int) (int, int) { return x, y },
	2: func(x, y, w, h int) (int, int) { return w - 1 - x, y },
	3: func(x, y, w, h int) (int, int) { return w - 1 - x, h - 1 - y },
	4: func(x, y, w, h int) (int, int) { return x, h - 1 - y },
	5: func(x, y, w, h int) (int, int) { return y, x },
	6: func(x, y, w, h int) (int, int) { return w - 1 - y, x },
	7: func(x, y, w, h int) (int, int) { return w - 1 - y, h - 1 - x },
	8: func(x, y, w, h int) (int, int) { return y, h - 1 - x },
}

func laid(img *image.RGBA, o Orientation) *image.RGBA {
	w, h := img.Rect.Dx(), img.Rect.Dy()
	size := image.Rect(0, 0, w, h)
	if o >= 5 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range size.Dy() {
		for x := range size.Dx() {
			sx, sy := held[o](x, y, w, h)
			out.SetRGBA(x, y, img.RGBAAt(sx, sy))
		}
	}
	return out
}

// withExif puts an Exif segment behind the first marker of a JPEG.
func withExif(src []byte, order binary.AppendByteOrder, o Orientation, extra string) []byte {
	tiff := []byte("II*\x00")
	if order.String() == "BigEndian" {
		tiff = []byte("MM\x00*")
	}
	tiff = order.AppendUint32(tiff, 8)
	tiff = order.AppendUint16(tiff, 2)
	tiff = append(order.AppendUint32(order.AppendUint16(order.AppendUint16(tiff, 0x0110), 2), 4), "cam\x00"...)
	tiff = order.AppendUint32(order.AppendUint16(order.AppendUint16(tiff, 0x0112), 3), 1)
	tiff = append(order.AppendUint16(tiff, uint16(o)), 0, 0)
	tiff = append(order.AppendUint32(tiff, 0), extra...)
	body := append([]byte("Exif\x00\x00"), tiff...)
	seg := append(binary.BigEndian.AppendUint16([]byte{0xFF, 0xE1}, uint16(len(body)+2)), body...)
	return append(append(bytes.Clone(src[:2]), seg...), src[2:]...)
}

// like compares pictures up to what JPEG loses.
func like(a, b *image.RGBA, tolerance int) bool {
	if a.Rect.Size() != b.Rect.Size() {
		return false
	}
	bad := 0
	for y := range a.Rect.Dy() {
		for x := range a.Rect.Dx() {
			p, q := a.RGBAAt(a.Rect.Min.X+x, a.Rect.Min.Y+y), b.RGBAAt(b.Rect.Min.X+x, b.Rect.Min.Y+y)
			if abs(int(p.R)-int(q.R))+abs(int(p.G)-int(q.G))+abs(int(p.B)-int(q.B)) > tolerance {
				bad++
			}
		}
	}
	return bad*50 < a.Rect.Dx()*a.Rect.Dy() // edges blur
}

func abs(n int) int { return max(n, -n) }

func TestUprightByOrientation(t *testing.T) {
	want := scene(96, 64)
	for o := Upright; o <= TurnLeft; o++ {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			src := withExif(jpegOf(t, laid(want, o)), order, o, "")
			info, err := Look(src)
			if err != nil || info.Turn != o || info.Width != 96 || info.Height != 64 || info.Format != JPEG {
				t.Errorf("orientation %d: %+v %v", o, info, err)
			}
			if got, err := Decode(src); err != nil || !like(got, want, 60) {
				t.Errorf("orientation %d in %s does not stand upright: %v", o, order, err)
			}
		}
	}
}

// Without loss the turned picture is equal pixel by pixel.
func TestUprightExactly(t *testing.T) {
	want := scene(31, 17)
	for o := Upright; o <= TurnLeft; o++ {
		if got := o.upright(laid(want, o)); !bytes.Equal(got.Pix, want.Pix) || got.Rect != want.Rect {
			t.Errorf("orientation %d", o)
		}
	}
}

func TestDecodePNG(t *testing.T) {
	want := scene(40, 30)
	if got, err := Decode(pngOf(t, want)); err != nil || !bytes.Equal(got.Pix, want.Pix) {
		t.Errorf("%v", err)
	}
	clear, err := Decode(pngOf(t, image.NewNRGBA(image.Rect(0, 0, 2, 2))))
	if err != nil || clear.RGBAAt(1, 1) != (color.RGBA{255, 255, 255, 255}) {
		t.Errorf("what shows through is %v, %v", clear.RGBAAt(1, 1), err)
	}
	grey := image.NewGray16(image.Rect(3, 5, 13, 10))
	grey.SetGray16(12, 9, color.Gray16{0xffff})
	if got, err := Decode(pngOf(t, grey)); err != nil || got.RGBAAt(9, 4).R != 255 || got.Rect != image.Rect(0, 0, 10, 5) {
		t.Errorf("grey: %v", err)
	}
}

// bomb is the head of a PNG of that size, with next to no data.
func bomb(w, h uint32) []byte {
	ihdr := append(binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32([]byte("IHDR"), w), h), 8, 6, 0, 0, 0)
	out := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	out = append(out, ihdr...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(ihdr))
}

func TestRefuses(t *testing.T) {
	good := jpegOf(t, scene(64, 48))
	for _, c := range []struct {
		name   string
		src    []byte
		reason Reason
		text   string
	}{
		{"nothing", nil, NotAPhoto, "neither a JPEG nor a PNG"},
		{"a text", []byte("cupel: 1\n"), NotAPhoto, "neither"},
		{"a picture of another format", []byte("GIF89a\x01\x00\x01\x00"), NotAPhoto, "neither"},
		{"a drawing with a script", []byte("<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>"), NotAPhoto, "neither"},
		{"a head alone", good[:20], Damaged, "cannot be decoded"},
		{"half a photo", good[:len(good)/2], Damaged, "cannot be decoded"},
		{"a wide one", bomb(MaxEdge+1, 1), TooManyPixels, "32769 × 1 pixels"},
		{"a large one", bomb(8000, 8000), TooManyPixels, "8000 × 8000 pixels, more than 33 million"},
		{"one whose size overflows", bomb(1<<31-1, 1<<31-1), Damaged, "cannot be decoded"},
		{"an empty one", bomb(0, 0), Damaged, "cannot be decoded"},
		{"a head without data", bomb(10, 10), Damaged, "cannot be decoded"},
		{"too many bytes", append(bytes.Clone(good), make([]byte, MaxBytes)...), TooManyBytes, "more than 40 MB"},
	} {
		_, err := Decode(c.src)
		var r *Refused
		if !errors.As(err, &r) || r.Reason != c.reason || !strings.Contains(err.Error(), c.text) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// Odd Exif blocks are no reason to refuse a photo: it stands as it lies.
func TestOddExif(t *testing.T) {
	good := jpegOf(t, scene(32, 24))
	for _, body := range []string{
		"", "Exif\x00\x00", "Exif\x00\x00II*\x00", "Exif\x00\x00II*\x00\xff\xff\xff\xff", "Exif\x00\x00MM\x00*\x00\x00\x00\x08\xff\xff",
		"Exif\x00\x00XX*\x00\x08\x00\x00\x00", "Exif\x00\x00MM\x00*\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00\x09\x00\x00",
	} {
		seg := append(binary.BigEndian.AppendUint16([]byte{0xFF, 0xE1}, uint16(len(body)+2)), body...)
		src := append(append(bytes.Clone(good[:2]), seg...), good[2:]...)
		if i, err := Look(src); err != nil || i.Turn != Upright || i.Width != 32 {
			t.Errorf("%q: %+v %v", body, i, err)
		}
	}
}

func TestBare(t *testing.T) {
	src := withExif(jpegOf(t, laid(scene(96, 64), TurnRight)), binary.LittleEndian, TurnRight, "47.3769 N 8.5417 E")
	src = append(src, "and a film"...)
	got, err := Bare(src)
	if err != nil {
		t.Fatal(err)
	}
	for _, told := range []string{"47.3769", "cam", "film"} {
		if bytes.Contains(got, []byte(told)) {
			t.Errorf("still tells %q", told)
		}
	}
	before, _ := Decode(src)
	after, err := Decode(got)
	if err != nil || !bytes.Equal(before.Pix, after.Pix) {
		t.Errorf("the picture changed: %v", err)
	}
	again, err := Bare(got)
	if err != nil || !bytes.Equal(again, got) {
		t.Errorf("a bare photo changes: %v", err)
	}

	p := pngOf(t, scene(20, 10))
	text := append([]byte{0, 0, 0, 5}, "tEXtPlace\x00\x00\x00\x00"...)
	told := append(append(bytes.Clone(p[:33]), text...), p[33:]...)
	if got, err := Bare(told); err != nil || !bytes.Equal(got, p) {
		t.Errorf("%v, %d bytes of %d", err, len(got), len(p))
	}
}

func TestLevels(t *testing.T) {
	ls := Levels(4000, 3000)
	want := []Level{{4000, 3000, 8, 6}, {2000, 1500, 4, 3}, {1000, 750, 2, 2}, {500, 375, 1, 1}}
	if len(ls) != len(want) {
		t.Fatalf("%+v", ls)
	}
	for i := range ls {
		if ls[i] != want[i] {
			t.Errorf("level %d: %+v", i, ls[i])
		}
	}
}

// The tiles of a level put side by side are the photo at that size.
func TestTilesMakeThePhoto(t *testing.T) {
	img := scene(1100, 700)
	tiles := Cut(img)
	if len(tiles.Levels) != 3 {
		t.Fatalf("%+v", tiles.Levels)
	}
	for n, l := range tiles.Levels {
		whole := image.NewRGBA(image.Rect(0, 0, l.Width, l.Height))
		for row := range l.Rows {
			for col := range l.Columns {
				file, _ := tiles.Tile(n, col, row)
				part, err := Decode(file)
				if err != nil {
					t.Fatal(err)
				}
				for y := range part.Rect.Dy() {
					copy(whole.Pix[whole.PixOffset(col*TileEdge, row*TileEdge+y):], part.Pix[y*part.Stride:(y+1)*part.Stride])
				}
			}
		}
		if !like(whole, scene(l.Width, l.Height), 60) {
			t.Errorf("level %d does not show the photo", n)
		}
	}
	for _, at := range [][3]int{{-1, 0, 0}, {3, 0, 0}, {0, 3, 0}, {0, 0, 2}, {0, -1, 0}} {
		if _, ok := tiles.Tile(at[0], at[1], at[2]); ok {
			t.Errorf("a tile at %v", at)
		}
	}
}

// Each pixel of the half is the mean of the four, rounded; odd edges repeat.
func TestHalf(t *testing.T) {
	src := image.NewRGBA(image.Rect(0, 0, 3, 1))
	for x, v := range []uint8{10, 21, 100} {
		src.SetRGBA(x, 0, color.RGBA{v, v, v, 255})
	}
	got := half(src)
	if got.Rect != image.Rect(0, 0, 2, 1) || got.RGBAAt(0, 0).R != 16 || got.RGBAAt(1, 0).R != 100 {
		t.Errorf("%v %v", got.RGBAAt(0, 0), got.RGBAAt(1, 0))
	}
}

// Whatever the file, reading its head and baring it end without a crash, and
// what was bared still has the same head.
func FuzzBare(f *testing.F) {
	small := jpegOf(f, scene(16, 8))
	f.Add(small)
	f.Add(withExif(small, binary.BigEndian, TurnLeft, "x"))
	f.Add(pngOf(f, scene(9, 9)))
	f.Add(bomb(100, 100))
	f.Fuzz(func(t *testing.T, src []byte) {
		info, err := Look(src)
		out, bareErr := Bare(src)
		if err != nil || bareErr != nil {
			return
		}
		if again, err := Look(out); err != nil || again != info {
			t.Errorf("%+v, then %+v %v", info, again, err)
		}
		if info.Width*info.Height < 1<<16 {
			before, err := Decode(src)
			if after, err2 := Decode(out); err == nil && (err2 != nil || !bytes.Equal(before.Pix, after.Pix)) {
				t.Errorf("the picture changed: %v", err2)
			}
		}
	})
}

// BenchmarkTiles is a photo of 12 million pixels from its file to the tile that
// shows it whole.
func BenchmarkTiles(b *testing.B) {
	src := jpegOf(b, scene(4000, 3000))
	for b.Loop() {
		img, err := Decode(src)
		if err != nil {
			b.Fatal(err)
		}
		Cut(img).Tile(3, 0, 0)
	}
}
