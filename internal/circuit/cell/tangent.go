package cell

import (
	"math"

	"cupel/internal/circuit"
)

// tangent is where an element was last evaluated. While its voltage stays
// there (see circuit.Still) and nothing set it anew, it is carried on along
// its tangent.
type tangent struct {
	at   float64 // V
	set  [2]float64
	i, g float64

	moved float64 // V, by which it was last moved
}

// nowhere is near no voltage.
var nowhere = math.NaN()

// left reports whether v, or either of what sets the element, has left the
// tangent, and moves it there if so.
func (t *tangent) left(v, set1, set2 float64) bool {
	set := [2]float64{set1, set2}
	if math.Abs(v-t.at) <= circuit.Still && t.set == set {
		return false
	}
	t.moved, t.at, t.set = v-t.at, v, set
	return true
}

// renew takes current and slope where the tangent now is.
func (t *tangent) renew(s *circuit.System, i, g float64) {
	s.Stray(i, t.i+t.g*t.moved)
	t.i, t.g = i, g
	s.Fresh()
}

// load adds the element at v, on its tangent.
func (t *tangent) load(s *circuit.System, p circuit.Port, v float64) {
	p.Linearised(s, t.i+t.g*(v-t.at), t.g, v)
}
