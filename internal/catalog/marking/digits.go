package marking

import (
	"strings"

	"cupel/internal/quantity"
)

// largest is the largest resistance that chip resistors are made in; beyond it
// a reading is a slip (common practice, no source).
const largest = 1e9 // Ω

// allDigits reports whether code is digits alone.
func allDigits(code string) bool {
	return code != "" && strings.Trim(code, "0123456789") == ""
}

// jumper reads the marks of links: 0, 000, 0000, 0R0 (common practice, no source).
func jumper(code string) []Reading {
	if strings.Trim(strings.Replace(strings.ToUpper(code), "R", "", 1), "0") != "" || !strings.Contains(code, "0") {
		return nil
	}
	r := reading(quantity.Resistance, Jumper, "0", 0)
	r.Note = "a link: under 50 mΩ, and never a fuse by its mark alone"
	return []Reading{r}
}

// digits reads three or four digits as figures and a number of zeros (IEC
// 60062); three with a tolerance letter after them too: 103J.
func digits(code string) []Reading {
	body, tol := cutTolerance(code)
	if tol != 0 && !allDigits(body) {
		return nil
	}
	code = body
	if !allDigits(code) || code[0] == '0' || len(code) != 3 && len(code) != 4 {
		return nil
	}
	last := len(code) - 1
	system := ThreeDigits
	if last == 3 {
		system = FourDigits
	}
	r := reading(quantity.Resistance, system, code[:last], int(code[last]-'0'))
	if r.Value.Typ > largest {
		return nil
	}
	if tol != 0 {
		r.Value = tolerated(r.Value, tol)
	}
	if Series(r.Value.Typ) == "" {
		r.Note = "no preferred value: look again, a digit may be misread"
	}
	return []Reading{r}
}

// turns maps a digit to what it shows upside down.
var turns = map[rune]string{'0': "0", '1': "1", '6': "9", '8': "8", '9': "6"}

// upsideDown reads digits that are a mark the other way up too. Only preferred
// values are given: 681 is no 18 GΩ. (Common practice, no source.)
func upsideDown(code string) []Reading {
	if !allDigits(code) {
		return nil
	}
	turned := ""
	for _, c := range code {
		if turns[c] == "" {
			return nil
		}
		turned = turns[c] + turned
	}
	if turned == code {
		return nil
	}
	var out []Reading
	for _, r := range digits(turned) {
		if Series(r.Value.Typ) != "" && (len(code) == 4 || InSeries("E24", r.Value.Typ)) {
			r.System, r.Note = UpsideDown, "as "+turned
			out = append(out, r)
		}
	}
	return out
}
