package photofile

import (
	"bytes"
	"fmt"
	"strconv"

	"cupel/internal/board/photo"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
)

// Section is a part of the text that edits speak of.
type Section string

// The sections.
const (
	Pictures Section = "photos"
	Scale    Section = "scale"
	Holes    Section = "holes"
	Parts    Section = "parts"
	Pads     Section = "pads"
)

// Empty is the text of a dossier that has no photos yet.
func Empty() []byte {
	return fmt.Appendf(nil, "# Where photos were touched, in pixels from the upper left corner.\ncupel: %d\n", Version)
}

// Put sets the entry of a section to a value, and leaves all others and their
// comments as they were. src may be empty. The value is one of [PictureValue],
// [PlaceValue], [PartValue] and [DistanceValue].
func Put(src []byte, s Section, key, value string) ([]byte, error) {
	if len(bytes.TrimSpace(src)) == 0 {
		src = Empty()
	}
	entries, there := entriesOf(src, s)
	if entries[key] {
		out, err := Remove(src, s, key)
		if err != nil {
			return nil, err
		}
		src, there = out, len(entries) > 1
	}
	if !there {
		if !bytes.HasSuffix(src, []byte("\n")) {
			src = append(bytes.Clone(src), '\n')
		}
		src = fmt.Appendf(bytes.Clone(src), "\n%s:\n", s)
	}
	return text.Insert(src, []string{string(s), key}, value)
}

// Remove takes an entry out of a section, and the section with its last entry.
func Remove(src []byte, s Section, key string) ([]byte, error) {
	entries, _ := entriesOf(src, s)
	switch {
	case !entries[key]:
		return nil, fmt.Errorf("%s has no %s: it was removed before", s, key)
	case len(entries) == 1:
		return text.Delete(src, []string{string(s)})
	}
	return text.Delete(src, []string{string(s), key})
}

// entriesOf lists the keys of a section, and whether it is there at all.
func entriesOf(src []byte, s Section) (map[string]bool, bool) {
	var list finding.List
	out := map[string]bool{}
	root := text.Parse("", src, &list).Root()
	for _, k := range root.Get(string(s)).Map().Keys() {
		out[k] = true
	}
	return out, root.Has(string(s))
}

// PictureValue is the value of a photo's entry.
func PictureValue(p photo.Picture) string {
	return fmt.Sprintf("{file: %s, width: %d, height: %d}", text.Scalar(p.File), p.Width, p.Height)
}

// PlaceValue is the value of a hole's or a pad's entry.
func PlaceValue(front, back *photo.Pixel) string {
	switch {
	case front == nil && back == nil:
		return "{}"
	case back == nil:
		return "{front: " + pixelText(*front) + "}"
	case front == nil:
		return "{back: " + pixelText(*back) + "}"
	}
	return "{front: " + pixelText(*front) + ", back: " + pixelText(*back) + "}"
}

// PartValue is the value of a part's entry.
func PartValue(p photo.Part) string {
	s := fmt.Sprintf("{%s: %s", p.Side, pixelText(p.At))
	if p.Turn != 0 {
		s += ", turn: " + number1(p.Turn)
	}
	if p.Package != "" {
		s += ", package: " + text.Scalar(p.Package)
	}
	return s + "}"
}

// DistanceValue is the value of a known distance's entry.
func DistanceValue(d photo.Distance) string {
	return fmt.Sprintf("{%s: [%s, %s], length: %s}", d.Side, pixelText(d.From), pixelText(d.To), text.Scalar(d.Length.String()))
}

func pixelText(p photo.Pixel) string { return "[" + number1(p.X) + ", " + number1(p.Y) + "]" }

// number1 writes a number with one decimal at most: a tenth of a pixel is finer
// than anybody touches.
func number1(v float64) string {
	s := strconv.FormatFloat(v, 'f', 1, 64)
	if s == "-0.0" {
		return "0"
	}
	if len(s) > 2 && s[len(s)-2:] == ".0" {
		return s[:len(s)-2]
	}
	return s
}
