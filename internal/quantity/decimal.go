package quantity

import (
	"math/big"
	"strconv"
	"strings"
)

// decimal is a number as it was written: ±digits · 10^exp. Units and prefixes
// shift exp, so 4k7 is 4700 and not 4.7 times 1000.
type decimal struct {
	neg    bool
	digits string // at least one, no sign and no point
	exp    int
}

// zeroCelsius is 0 °C in kelvin, by definition of the Celsius scale.
var zeroCelsius = big.NewRat(27315, 100)

func (n decimal) String() string {
	s := n.digits + "e" + strconv.Itoa(n.exp)
	if n.neg {
		return "-" + s
	}
	return s
}

// shift returns n · 10^exp.
func (n decimal) shift(exp int) decimal {
	n.exp += exp
	return n
}

// float is the float64 nearest to n.
func (n decimal) float() float64 {
	v, _ := strconv.ParseFloat(n.String(), 64) // a range error gives ±Inf, which the caller refuses
	return v
}

func (n decimal) rat() *big.Rat {
	r, ok := new(big.Rat).SetString(n.String())
	if !ok {
		return new(big.Rat)
	}
	return r
}

// in is the number of SI units that n of the unit s is, exactly.
func (n decimal) in(s *spelling) *big.Rat {
	r := n.shift(s.exp()).rat()
	if s.unit == nil {
		return r
	}
	if s.unit.factor != 0 {
		r.Mul(r, new(big.Rat).SetInt64(s.unit.factor))
	}
	if s.unit.celsius {
		r.Add(r, zeroCelsius)
	}
	return r
}

// floatIn is in, rounded once.
func (n decimal) floatIn(s *spelling) float64 {
	if s.unit == nil || s.unit.factor == 0 && !s.unit.celsius {
		return n.shift(s.exp()).float()
	}
	v, _ := n.in(s).Float64()
	return v
}

// shortest is the shortest decimal that reads back as v.
func shortest(v float64) decimal {
	mantissa, exp, _ := strings.Cut(strconv.FormatFloat(v, 'e', -1, 64), "e")
	return scientific(mantissa, exp)
}

// scientific builds a decimal from the two halves of "-1.25e-3".
func scientific(mantissa, exp string) decimal {
	var n decimal
	mantissa, n.neg = strings.CutPrefix(mantissa, "-")
	whole, fraction, _ := strings.Cut(mantissa, ".")
	n.digits = whole + fraction
	n.exp, _ = strconv.Atoi(exp)
	n.exp -= len(fraction)
	return n
}

// plain writes n without exponent; the sign is a real minus.
func (n decimal) plain() string {
	d := n.digits
	switch {
	case n.exp > 0:
		d += strings.Repeat("0", n.exp)
	case n.exp < 0:
		if len(d) <= -n.exp {
			d = strings.Repeat("0", -n.exp-len(d)+1) + d
		}
		d = d[:len(d)+n.exp] + "." + d[len(d)+n.exp:]
	}
	d = tidy(d)
	if n.neg {
		return minus + d
	}
	return d
}

const minus = "−"

// tidy takes leading zeros away, leaving one digit before the point.
func tidy(d string) string {
	d = strings.TrimLeft(d, "0")
	if d == "" || d[0] == '.' {
		return "0" + d
	}
	return d
}
