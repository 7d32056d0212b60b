package plot

import (
	"math"
	"strconv"
)

// scale maps values to the drawing.
type scale struct {
	axis      Axis
	low, high float64 // values; logarithms to base 10 of an axis that has Log
	from, to  float64 // where they are drawn
	factor    float64 // value of the prefix on the axis
	prefix    string
}

// newScale covers the values, or the axis's own ends, with room to breathe.
func newScale(a Axis, values []float64, from, to float64) scale {
	s := scale{axis: a, from: from, to: to}
	low, high := span(a, values)
	s.factor, s.prefix = Prefix(math.Max(math.Abs(low), math.Abs(high)))
	if a.Log {
		// With decades on the axis the unit itself reads best.
		s.factor, s.prefix = 1, ""
		s.low, s.high = math.Log10(low), math.Log10(high)
		pad := 0.05 * (s.high - s.low)
		s.low, s.high = s.low-pad, s.high+pad
		return s
	}
	pad := 0.06 * (high - low)
	s.low, s.high = low-pad, high+pad
	return s
}

// span is the range of what can be drawn; it is never empty.
func span(a Axis, values []float64) (low, high float64) {
	if a.Low != 0 || a.High != 0 {
		return a.Low, a.High
	}
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) || a.Log && v <= 0 {
			continue
		}
		low, high = math.Min(low, v), math.Max(high, v)
	}
	switch {
	case low > high && a.Log:
		return 1, 10
	case low > high:
		return 0, 1
	case low == high && a.Log:
		return low / 2, high * 2
	case low == high:
		d := math.Max(math.Abs(low)/10, 1e-6)
		return low - d, high + d
	}
	return low, high
}

// tighten takes the room at the ends away: time begins at the axis.
func (s *scale) tighten(values []float64) { s.low, s.high = span(s.axis, values) }

// at is where v is drawn; NaN where it cannot be.
func (s scale) at(v float64) float64 {
	if s.axis.Log {
		if v <= 0 {
			return math.NaN()
		}
		v = math.Log10(v)
	}
	return s.from + (v-s.low)/(s.high-s.low)*(s.to-s.from)
}

// wanted is how many steps an axis has, about.
const wanted = 4

// ticks are round values inside the scale.
func (s scale) ticks() []float64 {
	if s.axis.Log {
		return s.decades()
	}
	step := round((s.high - s.low) / wanted)
	var out []float64
	for n := math.Ceil(s.low/step - 1e-9); n*step <= s.high*(1+1e-12)+1e-9*step; n++ {
		out = append(out, n*step)
	}
	return out
}

// decades are the powers of ten in the scale, with 2 and 5 where those are few.
func (s scale) decades() []float64 {
	between := []float64{1}
	if s.high-s.low < 2.5 {
		between = []float64{1, 2, 5}
	}
	var out []float64
	for d := math.Floor(s.low); d <= s.high; d++ {
		for _, m := range between {
			if v := m * math.Pow(10, d); math.Log10(v) >= s.low && math.Log10(v) <= s.high {
				out = append(out, v)
			}
		}
	}
	return out
}

// round is the nearest of 1, 2, 5 times a power of ten that is not smaller.
func round(x float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 2, 5} {
		if m*p >= x*0.999 {
			return m * p
		}
	}
	return 10 * p
}

// tick prints the value at a tick; of an axis in decades with its own prefix.
func (s scale) tick(v float64) string {
	f, p := s.factor, ""
	if s.axis.Log {
		f, p = Prefix(v)
	}
	t := strconv.FormatFloat(roundTo(v/f, 6), 'f', -1, 64)
	if t == "-0" {
		t = "0"
	}
	if s.axis.Log {
		return t + "\u2009" + p + s.axis.Unit
	}
	return t
}

// label is "load current, A"; an axis in decades names units at its ticks.
func (s scale) label() string {
	unit := s.prefix + s.axis.Unit
	switch {
	case s.axis.Log || unit == "":
		return s.axis.Name
	case s.axis.Name == "":
		return unit
	}
	return s.axis.Name + ", " + unit
}

func roundTo(v float64, digits int) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	return r
}

// prefixes are the SI prefixes that figures of the trade use.
var prefixes = []struct {
	factor float64
	name   string
}{{1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "µ"}, {1e-9, "n"}}

// Prefix is the SI prefix that v reads best with, and its factor. What rounds
// up to a prefix with four digits has it.
func Prefix(v float64) (factor float64, name string) {
	v = math.Abs(v)
	if v == 0 {
		return 1, ""
	}
	for _, p := range prefixes {
		if v >= p.factor*0.9995 {
			return p.factor, p.name
		}
	}
	last := prefixes[len(prefixes)-1]
	return last.factor, last.name
}
