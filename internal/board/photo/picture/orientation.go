package picture

import (
	"encoding/binary"
	"image"
)

// Orientation says how a photo lies in its file, by the numbers of the Exif
// format (tag 0112 of TIFF 6.0): what the file's first row and first column are
// once the photo stands upright.
type Orientation int

// The orientations.
const (
	Upright    Orientation = 1 // row is top, column is left
	Mirrored   Orientation = 2 // top, right
	UpsideDown Orientation = 3 // bottom, right
	Flipped    Orientation = 4 // bottom, left
	Transposed Orientation = 5 // left, top
	TurnRight  Orientation = 6 // right, top: to be turned clockwise
	Transverse Orientation = 7 // right, bottom
	TurnLeft   Orientation = 8 // left, bottom: to be turned counter-clockwise
)

// swaps reports whether width and height change places.
func (o Orientation) swaps() bool { return o >= Transposed && o <= TurnLeft }

// upright turns a picture by its orientation.
func (o Orientation) upright(src *image.RGBA) *image.RGBA {
	if o <= Upright || o > TurnLeft {
		return src
	}
	w, h := src.Rect.Dx(), src.Rect.Dy()
	size := image.Pt(w, h)
	if o.swaps() {
		size = image.Pt(h, w)
	}
	dst := image.NewRGBA(image.Rectangle{Max: size})
	// A step along the file's row and one along its column move by so much in dst.
	first, along, down := o.walk(dst.Stride, size)
	for y := range h {
		from, to := y*src.Stride, first+y*down
		for range w {
			copy(dst.Pix[to:to+4], src.Pix[from:from+4])
			from, to = from+4, to+along
		}
	}
	return dst
}

// walk says where in dst the file's first pixel goes, and how far the next ones
// of its row and of its column are.
func (o Orientation) walk(stride int, size image.Point) (first, along, down int) {
	right, bottom := (size.X-1)*4, (size.Y-1)*stride
	switch o {
	case Mirrored:
		return right, -4, stride
	case UpsideDown:
		return right + bottom, -4, -stride
	case Flipped:
		return bottom, 4, -stride
	case Transposed:
		return 0, stride, 4
	case TurnRight:
		return right, stride, -4
	case Transverse:
		return right + bottom, -stride, -4
	case TurnLeft:
		return bottom, -stride, 4
	}
	return 0, 4, stride
}

// orientation finds the orientation that a camera wrote into a JPEG: it goes
// through the segments before the picture's data, and in the first Exif one
// through the first directory. Whatever is odd gives Upright.
func orientation(src []byte) Orientation {
	found := Upright
	segments(src, func(marker byte, body []byte) bool {
		if marker != app1 || len(body) < 6 || string(body[:6]) != "Exif\x00\x00" {
			return true
		}
		found = ofExif(body[6:])
		return false
	})
	return found
}

const (
	app0, app1, app2, app14, app15, comment = 0xE0, 0xE1, 0xE2, 0xEE, 0xEF, 0xFE
	startOfScan                             = 0xDA
)

// segments calls f for the marker segments before the first scan, until f says
// no, and returns the offset of what follows; -1 where the file ends before or is
// not in order.
func segments(src []byte, f func(marker byte, body []byte) bool) int {
	for at := 2; at+4 <= len(src); {
		if src[at] != 0xFF {
			return -1
		}
		marker := src[at+1]
		if marker == 0xFF { // a fill byte
			at++
			continue
		}
		if marker == startOfScan {
			return at
		}
		n := int(binary.BigEndian.Uint16(src[at+2:])) // counts its own two bytes
		if n < 2 || at+2+n > len(src) || !f(marker, src[at+4:at+2+n]) {
			return -1
		}
		at += 2 + n
	}
	return -1
}

// ofExif reads the orientation of an Exif block: a TIFF head, then a directory
// of entries of 12 bytes: tag, type, count, value.
func ofExif(tiff []byte) Orientation {
	const head, entry, tagOrientation, typeShort = 8, 12, 0x0112, 3
	var order binary.ByteOrder
	switch {
	case len(tiff) < head:
		return Upright
	case string(tiff[:4]) == "II*\x00":
		order = binary.LittleEndian
	case string(tiff[:4]) == "MM\x00*":
		order = binary.BigEndian
	default:
		return Upright
	}
	at := int64(order.Uint32(tiff[4:]))
	if at+2 > int64(len(tiff)) {
		return Upright
	}
	dir := tiff[at:]
	for i := range int(order.Uint16(dir)) {
		from := 2 + i*entry
		if from+entry > len(dir) {
			break
		}
		e := dir[from : from+entry]
		if order.Uint16(e) != tagOrientation || order.Uint16(e[2:]) != typeShort {
			continue
		}
		if o := Orientation(order.Uint16(e[8:])); o >= Upright && o <= TurnLeft {
			return o
		}
		break
	}
	return Upright
}
