package marking

import (
	"strconv"
	"strings"

	"cupel/internal/quantity"
)

// eia96Exponents maps the letter to the power of ten by which the three figures
// are multiplied (EIA-96).
var eia96Exponents = map[byte]int{
	'Z': -3, 'Y': -2, 'R': -2, 'X': -1, 'S': -1, 'A': 0, 'B': 1, 'H': 1, 'C': 2, 'D': 3, 'E': 4, 'F': 5,
}

// eia96 reads two digits, the number of a value of E96, and a letter.
func eia96(code string) []Reading {
	if len(code) != 3 || !allDigits(code[:2]) {
		return nil
	}
	exp, ok := eia96Exponents[strings.ToUpper(code)[2]] // no small letter means another thing here
	n := int(code[0]-'0')*10 + int(code[1]-'0')
	if !ok || n < 1 || n > 96 {
		return nil
	}
	r := reading(quantity.Resistance, EIA96, strconv.Itoa(series["E96"][n-1]), exp)
	r.Value = tolerated(r.Value, 'F') // the code is for parts of 1 %
	return []Reading{r}
}
