package picture

import (
	"bytes"
	"encoding/binary"
	"slices"
)

// Bare returns the file of a photo without what it tells besides the picture:
// place, time, camera, thumbnails, comments. The picture's data stay as they are,
// bit for bit, and so does its orientation. Its error is *Refused.
func Bare(src []byte) ([]byte, error) {
	i, err := Look(src)
	if err != nil {
		return nil, err
	}
	if i.Format == PNG {
		return barePNG(src)
	}
	return bareJPEG(src, i.Turn)
}

// kept are the application segments that decoding needs: density, colour
// profile, and how the colours were transformed.
var kept = []byte{app0, app2, app14}

func bareJPEG(src []byte, turn Orientation) ([]byte, error) {
	out := bytes.NewBuffer([]byte{0xFF, 0xD8})
	if turn != Upright {
		out.Write(exifOf(turn))
	}
	scan := segments(src, func(marker byte, body []byte) bool {
		application := marker >= app0 && marker <= app15
		if application && !slices.Contains(kept, marker) || marker == comment {
			return true
		}
		out.Write([]byte{0xFF, marker})
		out.Write(binary.BigEndian.AppendUint16(nil, uint16(len(body)+2)))
		out.Write(body)
		return true
	})
	if scan < 0 {
		return nil, &Refused{Reason: Damaged, Detail: "its segments are not in order"}
	}
	// Behind the picture's end phones put films and depth maps.
	end := bytes.LastIndex(src[scan:], []byte{0xFF, 0xD9})
	if first := endOfImage(src[scan:]); first >= 0 {
		end = first
	}
	if end < 0 {
		end = len(src) - scan - 2
	}
	out.Write(src[scan:min(len(src), scan+end+2)])
	return out.Bytes(), nil
}

// endOfImage is the offset of the first end-of-image marker: within the coded
// data a byte FF is always followed by 00 or a restart marker, and between scans
// stand segments of known length.
func endOfImage(data []byte) int {
	for at := 0; at+1 < len(data); at++ {
		if data[at] != 0xFF {
			continue
		}
		switch m := data[at+1]; {
		case m == 0xD9:
			return at
		case m == 0x00, m == 0xFF, m >= 0xD0 && m <= 0xD7:
		case at+4 <= len(data):
			at += 1 + int(binary.BigEndian.Uint16(data[at+2:]))
		}
	}
	return -1
}

// exifOf is an Exif segment that holds an orientation and nothing else.
func exifOf(o Orientation) []byte {
	return append([]byte{
		0xFF, app1, 0, 34, 'E', 'x', 'i', 'f', 0, 0,
		'M', 'M', 0, '*', 0, 0, 0, 8, // big-endian, the directory at 8
		0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, byte(o), 0, 0, // one entry: tag, short, one of it
	}, 0, 0, 0, 0) // no other directory
}

// pictureChunks are the chunks of a PNG that make its picture.
var pictureChunks = []string{"IHDR", "PLTE", "IDAT", "IEND", "tRNS", "gAMA", "cHRM", "sRGB", "iCCP"}

func barePNG(src []byte) ([]byte, error) {
	const head = 8
	out := bytes.NewBuffer(src[:head:head])
	for at := head; at+12 <= len(src); {
		n := int64(binary.BigEndian.Uint32(src[at:])) + 12
		if int64(at)+n > int64(len(src)) {
			break
		}
		chunk := src[at : at+int(n)]
		name := string(chunk[4:8])
		if slices.Contains(pictureChunks, name) {
			out.Write(chunk)
		}
		if name == "IEND" {
			return out.Bytes(), nil
		}
		at += int(n)
	}
	return nil, &Refused{Reason: Damaged, Detail: "it has no end"}
}
