package quantity

import (
	"math"
	"strconv"
	"strings"
)

// scale is a unit to print a number in: v = number · factor · 10^exp.
type scale struct {
	symbol string
	exp    int
	factor float64 // 1 when 0
}

// scaleFor chooses the unit in which a person would write v.
func (d Dimension) scaleFor(v float64) scale {
	a := math.Abs(v)
	switch d {
	case Ratio:
		if a > 0 && a < 500e-6 {
			return scale{"ppm", -6, 0}
		}
		return scale{"%", -2, 0}
	case TempcoRelative:
		if a < 1e-3 {
			return scale{"ppm/K", -6, 0}
		}
		return scale{"%/K", -2, 0}
	case Area:
		if a < 0.1 {
			return scale{"mm²", -6, 0}
		}
		return scale{"m²", 0, 0}
	case Time:
		if a >= 7200 {
			return scale{"h", 0, 3600}
		}
	case Charge:
		if a >= 1 {
			s := d.engineering(v / 3600)
			return scale{strings.Replace(s.symbol, "C", "A·h", 1), s.exp, 3600}
		}
	case None:
		return scale{}
	case Temperature, TemperatureDifference, ThermalResistance:
		return scale{d.Unit(), 0, 0}
	}
	return d.engineering(v)
}

// engineering is the prefix that leaves one to three digits before the point.
// Above kilo it stops where M would be refused when read back.
func (d Dimension) engineering(v float64) scale {
	s := scale{symbol: d.Unit()}
	a := math.Abs(v)
	if a == 0 || math.IsNaN(a) || math.IsInf(a, 0) || a >= 1 && d == Time {
		return s
	}
	n := shortest(v)
	lead := n.exp + len(n.digits) - 1 // the power of ten of the first digit
	for i := range prefixes {
		p := &prefixes[i]
		if p.exp > 3 && !d.row().mega || p.exp > lead {
			break
		}
		if lead < 0 || p.exp > 0 {
			s = scale{symbol: p.names[0] + d.Unit(), exp: p.exp}
		}
	}
	if lead < 0 && s.exp == 0 {
		s = scale{symbol: prefixes[0].names[0] + d.Unit(), exp: prefixes[0].exp}
	}
	if lead >= 0 && s.exp < 0 {
		s = scale{symbol: d.Unit()}
	}
	return s
}

// Format prints v, in SI units, with the given number of significant digits,
// an engineering prefix and the unit: "4.25 V", "12 mΩ", "1.0 s". It prints a
// temperature in °C with digits−2 decimals. NaN gives "–".
func Format(v float64, d Dimension, digits int) string {
	switch {
	case math.IsNaN(v):
		return "–"
	case math.IsInf(v, 1):
		return "∞"
	case math.IsInf(v, -1):
		return minus + "∞"
	case d == Temperature:
		c, _ := kelvinToCelsius(v)
		return fixed(c, max(0, digits-2)) + " °C"
	}
	digits = max(digits, 1)
	// Round first: 999.6 with three digits is 1.00 k.
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
	s := d.scaleFor(rounded)
	if s.factor != 0 {
		v /= s.factor
	}
	mantissa, exp, _ := strings.Cut(strconv.FormatFloat(v, 'e', digits-1, 64), "e")
	return s.with(scientific(mantissa, exp).shift(-s.exp).text())
}

func (s scale) with(number string) string {
	if s.symbol == "" {
		return number
	}
	return number + " " + s.symbol
}

// text is n without exponent, or with one where that would be too long to read.
func (n decimal) text() string {
	if n.exp > 21 || n.exp < -21-len(n.digits) {
		s := strings.TrimPrefix(n.String(), "-")
		if n.neg {
			s = minus + s
		}
		return s
	}
	return n.plain()
}

func fixed(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-") // −0.0
	}
	return strings.Replace(s, "-", minus, 1)
}

// kelvinToCelsius converts without the rounding error of a subtraction: the
// result is the decimal that a person would have typed.
func kelvinToCelsius(v float64) (float64, decimal) {
	r := shortest(v).rat()
	r.Sub(r, zeroCelsius)
	f, _ := r.Float64()
	return f, shortest(f)
}

// String prints the quantity so that it reads back with equal numbers, in the
// shortest decimals. Nothing given prints as "not given".
func (q Quantity) String() string {
	if !q.Given() {
		return "not given"
	}
	if q.Min <= q.Typ && q.Typ <= q.Max {
		if s, ok := q.withTolerance(); ok {
			return s
		}
	}
	for _, s := range q.scales() {
		text := q.in(s)
		if back, err := ParseStated(text, q.Dim); err == nil && back.Equal(q) {
			return text
		}
	}
	return q.in(scale{symbol: q.Dim.Unit()}) // with infinite numbers, which nothing reads
}

// scales lists the units to try, the nicest first. The last is the SI unit,
// which always reads back.
func (q Quantity) scales() []scale {
	si := scale{symbol: q.Dim.Unit()}
	if q.Dim == Temperature {
		return []scale{{symbol: "°C"}, si}
	}
	if q.Dim == TempcoRelative {
		si.symbol = "/K"
	}
	if q.Dim == None || q.Dim == Ratio {
		si.symbol = ""
	}
	v := q.Nominal()
	if v == 0 {
		v = math.Max(math.Abs(q.Low()), math.Abs(q.High()))
	}
	return []scale{q.Dim.scaleFor(v), si}
}

// in prints all numbers of q in one unit.
func (q Quantity) in(s scale) string {
	low, typ, high := s.number(q.Min), s.number(q.Typ), s.number(q.Max)
	switch {
	case low != "" && typ != "" && high != "":
		return s.with(low + "/" + typ + "/" + high)
	case low != "" && high != "":
		if q.Min < 0 || q.Max < 0 || s.symbol == "°C" {
			return s.with(low + " to " + high)
		}
		return s.with(low + "–" + high)
	}
	var parts []string
	if low != "" {
		parts = append(parts, "min "+s.with(low))
	}
	if typ != "" && len(parts) == 0 && high == "" {
		parts = append(parts, s.with(typ))
	} else if typ != "" {
		parts = append(parts, "typ "+s.with(typ))
	}
	if high != "" {
		parts = append(parts, "max "+s.with(high))
	}
	return strings.Join(parts, " ")
}

// number prints v in s, "" when v was not given.
func (s scale) number(v float64) string {
	switch {
	case math.IsNaN(v):
		return ""
	case math.IsInf(v, 0):
		return Format(v, None, 1)
	case s.symbol == "°C":
		_, n := kelvinToCelsius(v)
		return n.text()
	case s.factor != 0:
		v /= s.factor
	}
	return shortest(v).shift(-s.exp).text()
}

// withTolerance prints q as a value with ± in percent, when its limits are
// exactly that of a short one.
func (q Quantity) withTolerance() (string, bool) {
	if q.Typ == 0 || q.Dim == Ratio || q.Dim == Temperature || q.Min == q.Max {
		return "", false
	}
	percent := strconv.FormatFloat((q.Max-q.Typ)/math.Abs(q.Typ)*100, 'g', 3, 64)
	one := Quantity{Dim: q.Dim, Min: math.NaN(), Typ: q.Typ, Max: math.NaN()}
	text := one.String() + " ±" + percent + " %"
	back, err := Parse(text, q.Dim)
	return text, err == nil && back.Equal(q)
}
