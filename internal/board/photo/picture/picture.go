// Package picture decodes photos that come from anywhere, and cuts them into
// tiles that a page can pan and zoom smoothly.
//
// A photo is read only after its head said that it is no larger than what is
// decoded: a file of a few kB can stand for gigabytes of pixels. It is turned
// upright by the orientation that its camera wrote.
package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"strings"
)

const (
	// MaxBytes is the size of the largest file that is read: a photo of 50
	// million pixels of the least compression takes about that.
	MaxBytes = 40 << 20
	// MaxPixels is the most pixels that are decoded. A progressive JPEG takes 12
	// bytes a pixel while it is decoded: 400 MB at most.
	MaxPixels = 32 << 20
	// MaxEdge is the longest edge that is decoded.
	MaxEdge = 1 << 15
)

// Format is the format of a file.
type Format string

// The formats that are read.
const (
	JPEG Format = "jpeg"
	PNG  Format = "png"
)

// Ending is how files of the format end.
func (f Format) Ending() string {
	if f == PNG {
		return ".png"
	}
	return ".jpg"
}

// Info is what the head of a photo says.
type Info struct {
	Format        Format
	Width, Height int         // once upright
	Turn          Orientation // how the camera held it
}

// Reason is why a file was refused.
type Reason string

// The reasons.
const (
	NotAPhoto     Reason = "not a photo"
	TooManyBytes  Reason = "too many bytes"
	TooManyPixels Reason = "too many pixels"
	Damaged       Reason = "damaged"
)

// Refused says why a file is not read as a photo.
type Refused struct {
	Reason        Reason
	Width, Height int // where it has too many pixels
	Detail        string
}

func (e *Refused) Error() string {
	switch e.Reason {
	case TooManyBytes:
		return fmt.Sprintf("the photo takes more than %d MB: save it with more compression", MaxBytes>>20)
	case TooManyPixels:
		return fmt.Sprintf("the photo has %d × %d pixels, more than %d million: make it smaller, 12 million show every pad of a board",
			e.Width, e.Height, MaxPixels/1_000_000)
	case Damaged:
		return "the photo cannot be decoded: " + e.Detail
	}
	return "the file is neither a JPEG nor a PNG photo"
}

// Look reads the head of a photo. Its error is *Refused.
func Look(src []byte) (Info, error) {
	i := Info{Turn: Upright}
	var config image.Config
	var err error
	switch {
	case len(src) > MaxBytes:
		return i, &Refused{Reason: TooManyBytes}
	case bytes.HasPrefix(src, []byte("\xff\xd8\xff")):
		i.Format = JPEG
		config, err = jpeg.DecodeConfig(bytes.NewReader(src))
		i.Turn = orientation(src)
	case bytes.HasPrefix(src, []byte("\x89PNG\r\n\x1a\n")):
		i.Format = PNG
		config, err = png.DecodeConfig(bytes.NewReader(src))
	default:
		return i, &Refused{Reason: NotAPhoto}
	}
	w, h := config.Width, config.Height
	switch {
	case err != nil:
		return i, damaged(err)
	case w <= 0 || h <= 0:
		return i, &Refused{Reason: Damaged, Detail: "it has no pixels"}
	case w > MaxEdge || h > MaxEdge || w*h > MaxPixels:
		return i, &Refused{Reason: TooManyPixels, Width: w, Height: h}
	}
	i.Width, i.Height = w, h
	if i.Turn.swaps() {
		i.Width, i.Height = h, w
	}
	return i, nil
}

func damaged(err error) error {
	return &Refused{Reason: Damaged, Detail: strings.TrimPrefix(strings.TrimPrefix(err.Error(), "invalid JPEG format: "), "png: invalid format: ")}
}

// Decode reads a photo and turns it upright. Its error is *Refused.
func Decode(src []byte) (*image.RGBA, error) {
	i, err := Look(src)
	if err != nil {
		return nil, err
	}
	var img image.Image
	if i.Format == JPEG {
		img, err = jpeg.Decode(bytes.NewReader(src))
	} else {
		img, err = png.Decode(bytes.NewReader(src))
	}
	if err != nil {
		return nil, damaged(err)
	}
	b := img.Bounds()
	flat := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	if i.Format == PNG { // what shows through is white paper
		draw.Draw(flat, flat.Bounds(), image.White, image.Point{}, draw.Src)
	}
	draw.Draw(flat, flat.Bounds(), img, b.Min, draw.Over)
	return i.Turn.upright(flat), nil
}
