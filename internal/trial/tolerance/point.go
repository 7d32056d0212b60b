package tolerance

import (
	"math"
	"math/rand/v2"

	"cupel/internal/elaborate"
	"cupel/internal/quantity"
)

// Point is one board: a level for every variable.
type Point interface {
	// Level is between −1 and 1; NaN is where the nominal value lies.
	Level(v Variable) float64
}

// Sample is random board Number of a seed: every level even between the
// limits, independent of each other.
type Sample struct{ Seed, Number uint64 }

// Level draws.
func (s Sample) Level(v Variable) float64 { return draw(drawInside, s.Seed, s.Number, v) }

// RandomCorner is random corner Number of a seed: every level at a limit.
type RandomCorner struct{ Seed, Number uint64 }

// Level draws a limit.
func (c RandomCorner) Level(v Variable) float64 {
	return math.Copysign(1, draw(drawCorner, c.Seed, c.Number, v))
}

// Set has the levels it names, and those of Under elsewhere; nil is the nominal
// board.
type Set struct {
	Levels map[Variable]float64
	Under  Point
}

// Level looks up.
func (s Set) Level(v Variable) float64 {
	if u, ok := s.Levels[v]; ok {
		return u
	}
	if s.Under == nil {
		return math.NaN()
	}
	return s.Under.Level(v)
}

// with is s with one level changed.
func with(p Point, v Variable, level float64) Set {
	return Set{Levels: map[Variable]float64{v: level}, Under: p}
}

// The streams of random numbers, told apart so that no two draws are the same.
const (
	drawInside = 1 + iota
	drawCorner
	drawScreen
	drawSecond // the other board of a pick-and-freeze pair
)

// draw is a number even between −1 and 1 that depends on all it is given and on
// nothing else. Each variable of each board has a generator of its own (PCG-DXSM,
// its two halves from what the board is and what the variable is called), of
// which the first number is taken.
func draw(stream, seed, number uint64, v Variable) float64 {
	g := rand.NewPCG(scramble(scramble(seed+golden*stream)+golden*number), v.hash())
	const bits = 53
	return float64(g.Uint64()>>(64-bits))/(1<<(bits-1)) - 1
}

// golden is 2⁶⁴ over the golden ratio, odd: multiples of it never repeat.
const golden = 0x9e3779b97f4a7c15

// scramble is the finaliser of SplitMix64: G. L. Steele, D. Lea, C. H. Flood,
// Fast splittable pseudorandom number generators, OOPSLA 2014.
func scramble(x uint64) uint64 {
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// hash is FNV-1a over the variable's name, scrambled: the names of two parts
// often differ in one letter.
func (v Variable) hash() uint64 {
	h := uint64(14695981039346656037)
	add := func(b byte) { h = (h ^ uint64(b)) * 1099511628211 }
	if v.Lot {
		add(1)
	}
	for _, s := range [...]string{v.Name, v.Figure} {
		for i := range len(s) {
			add(s[i])
		}
		add(0)
	}
	add(byte(v.Unit))
	return scramble(h)
}

// Choice makes a board of a point.
type Choice struct{ Point Point }

// Pick takes the value at the point's levels: the middle of the limits, and as
// much of half their width as the levels of lot and part say, each by its share.
// A level that is nominal is taken where the nominal value lies between them.
func (c Choice) Pick(w elaborate.Which, q quantity.Quantity) float64 {
	if !moves(q) {
		return q.Nominal()
	}
	sc := scaleOf(q)
	lot, part := variablesOf(w)
	level, moved := 0.0, false
	for _, share := range [...]struct {
		of float64
		v  Variable
	}{{w.Spread.Lot, lot}, {w.Spread.Part, part}} {
		if share.of == 0 {
			continue
		}
		u := c.Point.Level(share.v)
		if math.IsNaN(u) {
			u = sc.nominal
		} else {
			moved = true
		}
		level += share.of * u
	}
	if !moved {
		return q.Nominal()
	}
	return math.Max(q.Low(), math.Min(q.High(), sc.value(level)))
}

// decade is how far apart limits must be, as a ratio, to be the limits of a test
// and no tolerance: 20 nA typical, 1 µA at most. Such a figure is spread evenly in
// its logarithm; our own rule, no source.
const decade = 10

// scale is how levels between −1 and 1 stand for values.
type scale struct {
	middle, half float64 // of the values, or of their logarithms
	log          bool
	nominal      float64 // level
}

func scaleOf(q quantity.Quantity) scale {
	low, nominal, high := q.Low(), q.Nominal(), q.High()
	sc := scale{log: low > 0 && high > decade*low}
	if sc.log {
		low, nominal, high = math.Log(low), math.Log(nominal), math.Log(high)
	}
	sc.middle, sc.half = (low+high)/2, (high-low)/2
	sc.nominal = (nominal - sc.middle) / sc.half
	return sc
}

func (sc scale) value(level float64) float64 {
	v := sc.middle + sc.half*level
	if sc.log {
		return math.Exp(v)
	}
	return v
}
