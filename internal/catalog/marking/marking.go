// Package marking reads what is printed on a resistor or a capacitor.
//
// A mark is short and its systems overlap: 100 is 10 Ω and also 10 pF, 22R is
// 22 Ω and also 1.65 Ω. So a mark has readings, the likeliest first, and what
// would decide between them; it is never guessed which one is meant. The usual
// decider is a meter: Compare holds the readings against what it showed.
//
// Facts: the digits and letters of IEC 60062:2016+A1:2019, the two digits and a
// letter of EIA-96, the letter and a digit of EIA-198, the preferred values of
// IEC 60063:2015. What is only common practice says so beside it.
package marking

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"cupel/internal/quantity"
)

// System is a way to mark a value.
type System string

// The systems. The words are published.
const (
	ThreeDigits    System = "3 digits"
	FourDigits     System = "4 digits"
	EIA96          System = "EIA-96"
	LetterForPoint System = "letter for the point"
	Jumper         System = "jumper"
	Picofarads     System = "3 digits in pF"
	PointPicofarad System = "R for the point, in pF"
	EIA198         System = "EIA-198"
	MilliohmStrip  System = "M for milli, on a metal strip"
	UpsideDown     System = "read upside down"
)

// Reading is one way to read a mark.
type Reading struct {
	Value  quantity.Quantity // Typ is what is marked; limits where the mark has a tolerance
	System System
	Series string // the smallest series of preferred values that holds it; "" for none
	Note   string // what speaks against it, or what else is to be known
}

// Mark is a mark with everything that it may mean.
type Mark struct {
	Code     string
	Readings []Reading
	Decide   string // what tells the readings apart; "" for a single one
}

// longest is the longest mark that is read: four digits, a point, a tolerance.
const longest = 6

// Read reads a mark. Its error says why the mark has no reading.
func Read(code string) (Mark, error) {
	m := Mark{Code: strings.TrimSpace(code)}
	if err := plausible(m.Code); err != nil {
		return m, err
	}
	for _, system := range []func(string) []Reading{jumper, letters, digits, eia96, picofarads, eia198, upsideDown} {
		m.Readings = append(m.Readings, system(m.Code)...)
	}
	if len(m.Readings) == 0 {
		return m, fmt.Errorf("%q is no mark of a resistor or a capacitor: %s", m.Code, why(m.Code))
	}
	for i := range m.Readings {
		r := &m.Readings[i]
		r.Series = Series(r.Value.Typ)
	}
	m.Decide = decider(m.Readings)
	return m, nil
}

// plausible refuses what cannot be a mark at all.
func plausible(code string) error {
	switch n := len([]rune(code)); {
	case n == 0:
		return fmt.Errorf("an empty mark; a part without print has to be measured")
	case n > longest:
		return fmt.Errorf("%q is longer than a mark of a resistor or a capacitor: at most %d characters", code, longest)
	case !strings.ContainsFunc(code, func(r rune) bool { return '0' <= r && r <= '9' }):
		return fmt.Errorf("%q has no digit: letters alone mark semiconductors, and the same letters several of them", code)
	}
	return nil
}

// why says what is wrong with a mark that has no reading.
func why(code string) string {
	body := strings.TrimLeft(code, "0123456789")
	count := len(code) - len(body)
	switch {
	case count == 2 && len(body) == 1 && (code[:2] == "00" || code[:2] > "96"):
		return "the values of EIA-96 are numbered 01 to 96"
	case count == 2 && len(body) == 1:
		return "EIA-96 has the letters Z Y R X S A B H C D E F"
	case body == "" && code[0] == '0':
		return "no value begins with 0; look at it upside down"
	case body == "" && count < 3:
		return "a digit or a letter is missing; look under another light"
	case body == "":
		return "a value has three or four digits"
	}
	return "neither digits, nor a letter in place of the point, nor two digits with a letter"
}

// decider says what tells readings apart.
func decider(all []Reading) string {
	dims := map[quantity.Dimension]bool{}
	strip, turned := false, false
	for _, r := range all {
		dims[r.Value.Dim] = true
		strip = strip || r.System == MilliohmStrip
		turned = turned || r.System == UpsideDown
	}
	if len(all) < 2 {
		return ""
	}
	ways := []string{"measure: " + sorts(all)}
	if len(dims) > 1 {
		ways = append(ways, "the body: a capacitor that is marked conducts no direct current")
	}
	if strip {
		ways = append(ways, "a strip of metal without ceramic is a shunt of milliohms")
	}
	if turned {
		ways = append(ways, "the marks of its neighbours show which side is up")
	}
	return strings.Join(ways, "; ")
}

// sorts lists the values that a meter would show.
func sorts(all []Reading) string {
	seen := map[string]bool{}
	var out []string
	for _, r := range all {
		s := show(r.Value)
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return strings.Join(out, " or ")
}

// reading makes a reading of the figures, without their point, times 10^exp.
func reading(d quantity.Dimension, system System, figures string, exp int) Reading {
	// By way of the decimal text, so that 4.7e3 is the number a person would type.
	v, err := strconv.ParseFloat(figures+"e"+strconv.Itoa(exp), 64)
	if err != nil {
		v = math.NaN()
	}
	return Reading{System: system, Value: quantity.Quantity{Dim: d, Min: math.NaN(), Typ: v, Max: math.NaN()}}
}

// show prints a marked value. Nobody speaks of femtofarads.
func show(q quantity.Quantity) string {
	if q.Dim == quantity.Capacitance && q.Typ < 1e-12 {
		return quantity.Format(q.Typ*1e12, quantity.None, 2) + " pF"
	}
	q.Min, q.Max = math.NaN(), math.NaN()
	return q.String()
}

// String prints the value and its tolerance: "4.7 kΩ ±5 %".
func (r Reading) String() string {
	if math.IsNaN(r.Value.Min) || r.Value.Typ < 1e-12 {
		return show(r.Value)
	}
	return r.Value.String()
}
