package marking

import (
	"cupel/internal/quantity"
)

// fractions maps the last digits of capacitors that are no number of zeros to
// the power of ten (from memory, common practice).
var fractions = map[byte]int{'8': -2, '9': -1}

// picofarads reads three digits as figures and zeros in pF, and a tolerance
// letter after them: 104, 229, 104K.
func picofarads(code string) []Reading {
	body, tol := cutTolerance(code)
	if !allDigits(body) || len(body) != 3 || body[0] == '0' {
		return nil
	}
	exp, fraction := fractions[body[2]]
	if !fraction {
		exp = int(body[2] - '0')
	}
	r := reading(quantity.Capacitance, Picofarads, body[:2], exp-12)
	if tol != 0 {
		r.Value = tolerated(r.Value, tol)
	}
	return []Reading{r}
}

// eia198Figures maps the letter to ten times the figures. The capital letters
// follow E24 without I and O. Public lists of the small letters agree but for
// b, which one of three gives as 3.0.
var eia198Figures = map[byte]string{
	'A': "10", 'B': "11", 'C': "12", 'D': "13", 'E': "15", 'F': "16", 'G': "18", 'H': "20",
	'J': "22", 'K': "24", 'L': "27", 'M': "30", 'N': "33", 'P': "36", 'Q': "39", 'R': "43",
	'S': "47", 'T': "51", 'U': "56", 'V': "62", 'W': "68", 'X': "75", 'Y': "82", 'Z': "91",
	'a': "25", 'b': "35", 'd': "40", 'e': "45", 'f': "50", 'm': "60", 'n': "70", 't': "80", 'y': "90",
}

// eia198 reads a letter and a digit on a ceramic capacitor: figures times ten
// to the digit, in pF; 9 stands for a tenth (EIA-198, from public lists). A
// letter before them is its maker's and is not read.
func eia198(code string) []Reading {
	if len(code) != 2 || !allDigits(code[1:]) {
		return nil
	}
	figures, ok := eia198Figures[code[0]]
	if !ok {
		return nil
	}
	exp := int(code[1] - '0')
	if exp == 9 {
		exp = -1
	}
	r := reading(quantity.Capacitance, EIA198, figures, exp-1-12)
	r.Note = "capital and small letters differ"
	return []Reading{r}
}
