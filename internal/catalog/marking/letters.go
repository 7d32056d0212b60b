package marking

import (
	"strings"

	"cupel/internal/quantity"
)

// point is a letter that stands in place of the decimal point and says the
// power of ten too (IEC 60062, from memory).
type point struct {
	dim quantity.Dimension
	exp int
}

// points maps the letters. Small and capital letters mean the same but for m
// and M.
var points = map[string]point{
	"R": {quantity.Resistance, 0}, "K": {quantity.Resistance, 3}, "M": {quantity.Resistance, 6},
	"G": {quantity.Resistance, 9}, "L": {quantity.Resistance, -3},
	"P": {quantity.Capacitance, -12}, "N": {quantity.Capacitance, -9}, "U": {quantity.Capacitance, -6},
	"\u039c": {quantity.Capacitance, -6}, // what both µ become as capitals
	"F":      {quantity.Capacitance, 0},
}

// letters reads a mark with a letter in place of the point: 4K7, R47, 6R8,
// 4n7, p33; and with a tolerance after it: 4K7J. The last letter of 100K may be
// either, and is tried as both.
func letters(code string) []Reading {
	var out []Reading
	if before, letter, after, ok := split(code); ok {
		out = lettered(before, letter, after)
	}
	body, tol := cutTolerance(code)
	if before, letter, after, ok := split(body); ok && tol != 0 {
		for _, r := range lettered(before, letter, after) {
			r.Value = tolerated(r.Value, tol)
			out = append(out, r)
		}
	}
	return out
}

// split cuts a mark at its one letter; the rest must be digits, at least one.
func split(code string) (before, letter, after string, ok bool) {
	isDigit := func(r rune) bool { return '0' <= r && r <= '9' }
	at := strings.IndexFunc(code, func(r rune) bool { return !isDigit(r) })
	if at < 0 {
		return "", "", "", false
	}
	rest := []rune(code[at:])
	before, letter, after = code[:at], string(rest[0]), string(rest[1:])
	return before, letter, after, before+after != "" && strings.IndexFunc(after, func(r rune) bool { return !isDigit(r) }) < 0
}

// lettered gives the readings of digits around a letter.
func lettered(before, letter, after string) []Reading {
	if strings.Trim(before+after, "0") == "" {
		return nil // a link, if anything
	}
	read := func(d quantity.Dimension, s System, exp int) Reading {
		return reading(d, s, before+after, exp-len(after))
	}
	switch letter {
	case "m": // milli, whichever the part
		return []Reading{
			read(quantity.Resistance, LetterForPoint, -3),
			read(quantity.Capacitance, LetterForPoint, -3),
		}
	case "M":
		strip := read(quantity.Resistance, MilliohmStrip, -3)
		strip.Note = "common practice, no source"
		return []Reading{read(quantity.Resistance, LetterForPoint, 6), strip}
	}
	p, ok := points[strings.ToUpper(letter)]
	if !ok || p.exp == 0 && p.dim == quantity.Capacitance && after == "" {
		return nil // 96F is EIA-96, no 96 farads
	}
	out := []Reading{read(p.dim, LetterForPoint, p.exp)}
	if pf := read(quantity.Capacitance, PointPicofarad, -12); strings.EqualFold(letter, "R") && pf.Value.Typ >= 0.1e-12 && len(before+after) < 4 {
		pf.Note = "common practice, no source"
		out = append(out, pf)
	}
	return out
}

// tolerances maps the letters on which all editions agree to what they stand
// for (IEC 60062, from memory).
var tolerances = map[byte]string{
	'B': "±0.1 %", 'C': "±0.25 %", 'D': "±0.5 %", 'F': "±1 %", 'G': "±2 %", 'J': "±5 %", 'K': "±10 %", 'M': "±20 %",
	'N': "±30 %", 'Z': "+80/−20 %",
}

// smallTolerances maps the letters on capacitors under 10 pF.
var smallTolerances = map[byte]string{'B': "±0.1 pF", 'C': "±0.25 pF", 'D': "±0.5 pF", 'F': "±1 pF", 'G': "±2 pF"}

// cutTolerance takes a tolerance letter off a mark that has another letter or
// three digits before it; 0 when there is none.
func cutTolerance(code string) (body string, letter byte) {
	if len(code) < 3 {
		return code, 0
	}
	body, letter = code[:len(code)-1], code[len(code)-1]
	if tolerances[letter] == "" {
		return code, 0
	}
	if allDigits(body) && len(body) != 3 {
		return code, 0
	}
	return body, letter
}

// tolerated gives q the limits that the letter says. They are read from text,
// so that they are the decimals a person would have written.
func tolerated(q quantity.Quantity, letter byte) quantity.Quantity {
	limits := tolerances[letter]
	if small := smallTolerances[letter]; small != "" && q.Dim == quantity.Capacitance && q.Typ < 10e-12 {
		limits = small
	}
	out, err := quantity.Parse(q.String()+" "+limits, q.Dim)
	if err != nil || out.Min < 0 {
		return q // 0.5 pF ±1 pF says nothing
	}
	return out
}
