package quantity

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// dims draws a dimension.
func dims() *rapid.Generator[Dimension] {
	return rapid.Map(rapid.IntRange(0, len(table)-1), func(i int) Dimension { return Dimension(i) })
}

// value draws a number that a quantity of d can have.
func value(t *rapid.T, d Dimension) float64 {
	v := rapid.Float64Range(-1e12, 1e12).Draw(t, "v")
	if rapid.Bool().Draw(t, "small") {
		v *= 1e-18
	}
	if !d.row().signed || d == Temperature {
		v = math.Abs(v)
	}
	return v
}

func TestPrintedQuantityReadsBackEqual(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := dims().Draw(t, "d")
		a, b, c := value(t, d), value(t, d), value(t, d)
		q := Quantity{Dim: d, Min: min(a, b, c), Max: max(a, b, c)}
		q.Typ = a + b + c - q.Min - q.Max
		q.Typ = min(max(q.Typ, q.Min), q.Max) // rounding may lift it over
		given := rapid.IntRange(1, 7).Draw(t, "given")
		for i, p := range []*float64{&q.Min, &q.Typ, &q.Max} {
			if given&(1<<i) == 0 {
				*p = math.NaN()
			}
		}
		back, err := Parse(q.String(), d)
		if err != nil {
			t.Fatalf("%v %v %v: %v", q.Min, q.Typ, q.Max, err)
		}
		if !back.Equal(q) {
			t.Fatalf("%v %v %v prints as %q, which reads as %v %v %v", q.Min, q.Typ, q.Max, q, back.Min, back.Typ, back.Max)
		}
	})
}

func TestOrderIsKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := dims().Draw(t, "d")
		a, b := value(t, d), value(t, d)
		qa, errA := Parse(Quantity{Dim: d, Min: math.NaN(), Typ: a, Max: math.NaN()}.String(), d)
		qb, errB := Parse(Quantity{Dim: d, Min: math.NaN(), Typ: b, Max: math.NaN()}.String(), d)
		if errA != nil || errB != nil || (a < b) != (qa.Typ < qb.Typ) {
			t.Fatalf("%v and %v read as %v and %v", a, b, qa, qb)
		}
	})
}

// A prefix moves the decimal point and does not multiply: the value is the
// float64 nearest to the decimal that was written.
func TestPrefixIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(prefixes).Draw(t, "prefix")
		n := strconv.Itoa(rapid.IntRange(0, 99999).Draw(t, "whole"))
		f := strconv.Itoa(rapid.IntRange(0, 9999).Draw(t, "fraction"))
		q, err := Parse(n+"."+f+" "+p.names[0]+"Ω", Resistance)
		want, _ := strconv.ParseFloat(n+"."+f+"e"+strconv.Itoa(p.exp), 64)
		if err != nil || q.Typ != want {
			t.Fatalf("%s.%s %s: got %v, want %v (%v)", n, f, p.names[0], q.Typ, want, err)
		}
	})
}

func TestFormatIsReadBackWithinItsDigits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := dims().Filter(func(d Dimension) bool { return d != Temperature }).Draw(t, "d")
		v := value(t, d)
		digits := rapid.IntRange(1, 9).Draw(t, "digits")
		text := Format(v, d, digits)
		q, err := Parse(text, d)
		// Half a unit of the last digit, at worst of a number that begins with 1.
		if allowed := math.Abs(v) * 0.5001 * math.Pow(10, float64(1-digits)); err != nil || math.Abs(q.Typ-v) > allowed {
			t.Fatalf("Format(%v, %v, %d) = %q reads as %v (%v)", v, d, digits, text, q.Typ, err)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, c := range readings {
		f.Add(c.text, int(c.dim))
	}
	for _, c := range refusals {
		f.Add(c.text, int(c.dim))
	}
	f.Fuzz(func(t *testing.T, text string, dim int) {
		d := Dimension(dim)
		if d < 0 || int(d) >= len(table) {
			return
		}
		roundTrip(t, text, d)
		q, rest, err := ParsePrefix(text, d)
		if err == nil && len(q.Text)+len(rest) > len(text) {
			t.Errorf("%q gives %q and leaves %q", text, q.Text, rest)
		}
		if q, err := ParseAny(text); err == nil {
			roundTrip(t, text, q.Dim)
		}
	})
}

// roundTrip checks that what is read prints as something that reads the same,
// and that an error points into the text.
func roundTrip(t *testing.T, text string, d Dimension) {
	q, err := ParseStated(text, d)
	if e, ok := err.(*Error); ok {
		if e.Offset < 0 || e.Offset > len(text) || e.Message == "" {
			t.Errorf("%q: offset %d, message %q", text, e.Offset, e.Message)
		}
		return
	}
	back, err := ParseStated(q.String(), d)
	if err != nil || !back.Equal(q) {
		t.Errorf("%q is %v %v %v and prints as %q: %v %v %v (%v)", text, q.Min, q.Typ, q.Max, q, back.Min, back.Typ, back.Max, err)
	}
}

func BenchmarkParse(b *testing.B) {
	for _, c := range []struct {
		name, text string
		dim        Dimension
	}{
		{"plain", "4k7", Resistance},
		{"tolerance", "100 nF ±10 %", Capacitance},
		{"three", "4.20/4.25/4.30 V", Voltage},
		{"words", "typ 4.0 mΩ max 5.2 mΩ", Resistance},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse(c.text, c.dim); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
