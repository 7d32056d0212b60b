package answer

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
)

// Format is the version of the answers' shapes.
const Format = 1

// Head starts every answer but errors. Board and Inputs are absent in answers
// that speak of no dossier.
type Head struct {
	Cupel    int    `json:"cupel"`
	Answer   string `json:"answer"`
	Board    Text   `json:"board"`
	Inputs   Text   `json:"inputs"`   // SHA-256 of the dossier's texts
	Complete bool   `json:"complete"` // false if the work was stopped
}

// NewHead returns the head of a complete answer.
func NewHead(name, board, inputs string) Head {
	return Head{Cupel: Format, Answer: name, Board: Text(board), Inputs: Text(inputs), Complete: true}
}

// Text is a text that is null when it is empty.
type Text string

// MarshalJSON writes null for the empty text.
func (t Text) MarshalJSON() ([]byte, error) {
	if t == "" {
		return []byte("null"), nil
	}
	return plain(string(t))
}

// List is a list that is [] when it is empty, and never null.
type List[T any] []T

// MarshalJSON writes [] for the nil list.
func (l List[T]) MarshalJSON() ([]byte, error) {
	if l == nil {
		return []byte("[]"), nil
	}
	return plain([]T(l))
}

// Number returns x for a field that may be absent: nil for NaN and infinities.
func Number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	x += 0 // −0 becomes 0
	return &x
}

// Whole returns n for a field that may be absent.
func Whole(n int) *int { return &n }

// Encode writes an answer as the package comment says.
func Encode(w io.Writer, a any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(a)
}

// plain marshals without turning < and > into escapes, which a person reads badly.
func plain(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
}
