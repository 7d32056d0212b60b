package boardfile

import (
	"fmt"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/finding"
	"cupel/internal/finding/text"
	"cupel/internal/quantity"
)

// bare is a kind of part that its value describes.
type bare struct {
	letter string // of the reference (IEEE 315 class letters, from memory)
	kind   board.Kind
	dim    quantity.Dimension
	sheet  catalog.Kind
}

var bares = []bare{
	{"R", board.Resistor, quantity.Resistance, catalog.Resistor},
	{"C", board.Capacitor, quantity.Capacitance, catalog.Capacitor},
	{"L", board.Inductor, quantity.Inductance, catalog.Inductor},
}

// readBare reads a part that has no sheet.
func (r *reader) readBare(p *board.Part, key text.Value, m text.Map) {
	b, ok := r.kindOf(p.Ref, key, m.Get("kind"))
	if !ok {
		return
	}
	p.Kind = b.kind
	r.readValue(p, b, m.Get("value"))
}

// kindOf is the stated kind, or else the one the reference tells.
func (r *reader) kindOf(ref string, key, stated text.Value) (bare, bool) {
	if stated.Given() {
		word := stated.OneOf(string(board.Resistor), string(board.Capacitor), string(board.Inductor))
		for _, b := range bares {
			if string(b.kind) == word {
				return b, true
			}
		}
		return bare{}, false
	}
	if b, ok := byRef(ref); ok {
		return b, true
	}
	key.Fail(UnclearKind, "add kind: resistor, capacitor or inductor, or name a sheet",
		"the reference %s does not tell what kind of part has this value", ref)
	return bare{}, false
}

// byRef is the kind that a reference tells.
func byRef(ref string) (bare, bool) {
	for _, b := range bares {
		rest, ok := strings.CutPrefix(ref, b.letter)
		if ok && (rest == "" || !isLetter(rest[0])) {
			return b, true
		}
	}
	return bare{}, false
}

func isLetter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// readValue reads value, tolerance and ratings.
func (r *reader) readValue(p *board.Part, b bare, v text.Value) {
	q, rest := v.QuantityPrefix(b.dim)
	p.Value = q
	if rest.Given() {
		r.readRated(&p.Rated, rest)
	}
}

// ratings are the quantities that may stand behind a value.
var ratings = []struct {
	dim quantity.Dimension
	set func(*board.Rated, float64)
}{
	{quantity.Voltage, func(r *board.Rated, v float64) { r.Voltage = v }},
	{quantity.Power, func(r *board.Rated, v float64) { r.Power = v }},
	{quantity.TempcoRelative, func(r *board.Rated, v float64) { r.Tempco = v }},
}

// dielectrics are the ceramic classes and film kinds in common use (EIA codes
// from memory).
var dielectrics = []string{
	"C0G", "NP0", "U2J", "X5R", "X6S", "X7R", "X7S", "X7T", "X8R", "X8L", "Y5V", "Z5U", "PP", "PET", "PPS",
}

// readRated reads the ratings behind a value: "16 V X7R", "1 W", "50 ppm/K".
func (r *reader) readRated(rated *board.Rated, v text.Value) {
	s := v.Text()
	for at := 0; at < len(s); {
		n := rating(rated, s[at:])
		if n == 0 {
			n = len(word(s[at:]))
			if n > 0 {
				r.dielectric(rated, v, at, s[at:at+n])
			}
		}
		at += max(n, 1) // a space
	}
}

// rating reads the quantity that s begins with and returns its length, 0 when
// it begins with none.
func rating(rated *board.Rated, s string) int {
	if s[0] == ' ' {
		return 0
	}
	for _, k := range ratings {
		if q, rest, err := quantity.ParsePrefix(s, k.dim); err == nil && len(rest) < len(s) {
			k.set(rated, q.Nominal())
			return len(s) - len(rest)
		}
	}
	return 0
}

func word(s string) string {
	w, _, _ := strings.Cut(s, " ")
	return w
}

func (r *reader) dielectric(rated *board.Rated, v text.Value, at int, w string) {
	if contains(dielectrics, strings.ToUpper(w)) {
		rated.Dielectric = strings.ToUpper(w)
		return
	}
	v.Report(finding.Finding{
		Code: UnknownRating, Level: finding.Error, Place: v.At(at),
		Text:       fmt.Sprintf("%q is no rating of a part", w),
		Do:         "behind a value may stand a voltage (16 V), a loss (0.25 W), a drift (50 ppm/K) and a dielectric (X7R)",
		Suggestion: finding.Nearest(w, dielectrics),
	})
}
