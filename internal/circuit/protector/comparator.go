package protector

// Value is the comparator's signed distance from its edge, in volts, at pin
// voltages v: it is true while Value > 0. A caller that looks for the edge
// looks for the zero of this.
func (c *Comparator) Value(v []float64) float64 {
	d := v[c.Plus] - v[c.Minus] - c.Level
	if c.Ratio != 0 { // a plain comparator names no reference
		d -= c.Ratio * (v[c.RefPlus] - v[c.RefMinus])
	}
	return d
}

// Mirror is the comparator that is true where c is false, but for the edge
// itself, where both are false.
func (c Comparator) Mirror(name string) Comparator {
	c.Name = name
	c.Plus, c.Minus = c.Minus, c.Plus
	c.RefPlus, c.RefMinus = c.RefMinus, c.RefPlus
	c.Level = -c.Level
	return c
}

// Band is a comparator with hysteresis, which is two: high sets and the
// falling edge of low clears. low is never false while high is true.
func Band(name string, plus, minus Pin, high, low float64) (set, keep Comparator) {
	set = Comparator{Name: name, Plus: plus, Minus: minus, Level: high}
	keep = Comparator{Name: name + " still", Plus: plus, Minus: minus, Level: low}
	return set, keep
}

// Evaluate fills truth from pin voltages.
func Evaluate(comparators []Comparator, v []float64, truth Truth) {
	for i := range comparators {
		truth[i] = comparators[i].Value(v) > 0
	}
}
