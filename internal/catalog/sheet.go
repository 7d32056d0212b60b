package catalog

import (
	"math"
	"sort"

	"cupel/internal/quantity"
)

// Point is one point of a thermistor's published curve.
type Point struct{ Kelvin, Ohms float64 }

// Curve is resistance against temperature as published, in order of
// temperature. It is empty where the sheet gives only a B value.
type Curve struct {
	Points []Point
	Source string
}

// Figure returns the figure of that name, and false where the sheet does not
// give it and the kind's default stands in.
func (s *Sheet) Figure(name string) (Figure, bool) {
	if f, ok := s.Figures[name]; ok {
		return f, true
	}
	t, ok := s.traits().Figure(name)
	if !ok {
		return Figure{Value: none(quantity.None)}, false
	}
	return Figure{Value: t.Default, At: t.At, Source: NoSource}, false
}

// NoSource is the source of a default figure.
const NoSource = "typical of the class, no source"

// Limit returns the limit of that name; not Given where neither the sheet nor
// the kind knows one.
func (s *Sheet) Limit(name string) quantity.Quantity {
	if q, ok := s.Limits[name]; ok {
		return q
	}
	t, _ := s.traits().Limit(name)
	if t.Name == "" {
		return none(quantity.None)
	}
	return t.Default
}

// Rule returns the choice for the rule of that name, and false where it is the
// kind's default.
func (s *Sheet) Rule(name string) (string, bool) {
	if w, ok := s.Rules[name]; ok {
		return w, true
	}
	r, _ := s.traits().Rule(name)
	return r.Default, false
}

// Condition returns the value of a figure's test condition in SI units: the
// one the sheet names, else the kind's usual one, else NaN.
func (s *Sheet) Condition(figure, name string) float64 {
	f, _ := s.Figure(figure)
	if v := nominalOf(f.At, name); !math.IsNaN(v) {
		return v
	}
	t, _ := s.traits().Figure(figure)
	return nominalOf(t.At, name)
}

func nominalOf(cs []Condition, name string) float64 {
	for _, c := range cs {
		if c.Name == name {
			return c.Value.Nominal()
		}
	}
	return math.NaN()
}

// HasPin reports whether the part has a pin of that name.
func (s *Sheet) HasPin(name string) bool {
	for _, p := range s.Pins {
		if p == name {
			return true
		}
	}
	return false
}

// Cells is how many cells a part watches: the sense inputs of a stack
// protector, 1 for single-cell parts, 0 for all others.
func (s *Sheet) Cells() int {
	switch s.Kind {
	case CellProtector, Balancer:
		return 1
	case StackProtector, SecondaryProtector:
		n := 0
		for n < MaxCells && s.HasPin(SenseInput(n+1)) {
			n++
		}
		return n
	}
	return 0
}

func (s *Sheet) traits() Traits {
	t, _ := TraitsOf(s.Kind)
	return t
}

func none(d quantity.Dimension) quantity.Quantity {
	return quantity.Quantity{Dim: d, Min: math.NaN(), Typ: math.NaN(), Max: math.NaN()}
}

func sortedKeys[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
