package photofile

import (
	"cupel/internal/board/photo"
	"cupel/internal/finding/shape"
)

// The keys of the text. Reader and schema both take them from here.
var (
	photosFields = shape.Fields{
		{Name: "cupel", About: "version of this text", Needed: true, Is: shape.Whole(Version, Version)},
		{Name: "photos", About: "one of each side", Is: shape.Fields{
			{Name: string(photo.Front), About: "the side that is called front", Is: pictureFields.Type()},
			{Name: string(photo.Back), About: "the other side, as the camera saw it, not mirrored", Is: pictureFields.Type()},
		}.Type()},
		{Name: "scale", About: "how it is known, as 'pins 1 and 4 of U3', to a known distance", Is: shape.Keyed(distanceFields.Type())},
		{Name: "holes", About: "name of a hole to where it shows on each photo", Is: shape.Keyed(placeFields.Type())},
		{Name: "parts", About: "reference to where the middle of the part lies", Is: shape.Keyed(partFields.Type())},
		{Name: "pads", About: "pad to where it lies, on both photos where a probe reaches it from both sides", Is: shape.Keyed(placeFields.Type())},
	}

	pictureFields = shape.Fields{
		{Name: "file", About: "in the dossier, as front.jpg", Needed: true, Is: shape.Word()},
		{Name: "width", About: "in pixels, once the photo stands upright", Needed: true, Is: shape.Whole(1, MaxPixels)},
		{Name: "height", About: "in pixels", Needed: true, Is: shape.Whole(1, MaxPixels)},
	}

	placeFields = shape.Fields{
		{Name: string(photo.Front), About: "[x, y] in pixels from the upper left corner", Is: shape.List(pixel)},
		{Name: string(photo.Back), About: "[x, y] in pixels from the upper left corner", Is: shape.List(pixel)},
	}

	partFields = append(placeFields[:2:2], shape.Fields{
		{Name: "turn", About: "degrees clockwise, as that side's photo shows it; 0 has pin 1 at the lower left", Is: shape.Number(-360, 360)},
		{Name: "package", About: "of its pads, where neither its sheet nor its size says, as SO-8", Is: shape.Word()},
	}...)

	distanceFields = shape.Fields{
		{Name: string(photo.Front), About: "[[x, y], [x, y]] in pixels", Is: shape.List(shape.List(pixel))},
		{Name: string(photo.Back), About: "[[x, y], [x, y]] in pixels", Is: shape.List(shape.List(pixel))},
		{Name: "length", About: "as 3.81 mm", Needed: true, Is: shape.Word()},
	}

	pixel = shape.Number(0, MaxPixels)
)

// MaxPixels is the most pixels that one edge of a photo can have.
const MaxPixels = 1 << 15

// Schema is the JSON Schema of the text.
func Schema() []byte { return shape.Schema("Cupel photos", photosFields.Type(), nil) }
