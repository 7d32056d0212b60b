package protector

import "fmt"

// openWire looks for a broken sense wire: every T_ow it draws a test current
// from each sense input to vss, which pulls an unheld input down, and at the
// end of the test looks for a cell that reads too little. Then it waits as long
// again for the filters to recover; cells are not sensed meanwhile.
type openWire struct {
	sense, test []int // sinks, one a sense input
	cells       []int // comparators, one a used cell
	iS, iTest   float64
	every, on   float64 // s
}

// openWire adds the sense currents of all inputs and the test, whose taps
// include the bottom.
func (b *builder) openWire(o *openWire, c *StackSpec, taps []Pin) {
	o.iS, o.iTest, o.every, o.on = or(c.IS, 0), or(c.IOw, 0), or(c.TOw, 0), or(c.TOwOn, window)
	for k, tap := range taps[1:] {
		if o.iS > 0 {
			o.sense = append(o.sense, b.sink(fmt.Sprintf("v%d sense", k+1), tap, taps[0]))
		}
		if o.iTest > 0 {
			o.test = append(o.test, b.sink(fmt.Sprintf("v%d test", k+1), tap, taps[0]))
		}
		if o.iTest > 0 && k < c.Used {
			o.cells = append(o.cells, b.over(fmt.Sprintf("v%d>V_ow", k+1), tap, taps[k], c.VOw))
		}
	}
}

// schedule sets the first test going.
func (o *openWire) schedule(w *work) {
	if o.iTest > 0 && !w.instant && !w.running(timerOpenTest) {
		w.s.Due[timerOpenTest] = w.t + o.every
	}
}

// testWires does the next step of a test that is due and reports whether the
// sense inputs are undisturbed.
func (p *protector) testWires(w *work) bool {
	o := &p.stack.wires
	due := &w.s.Due[timerOpenTest]
	switch {
	case *due > w.t:
	case w.has(flagOpenTest):
		w.put(flagOW, o.broken(w))
		w.put(flagOpenTest, false)
		w.put(flagRecover, true)
		*due = w.t + o.on
	case w.has(flagRecover):
		w.put(flagRecover, false)
		*due = w.t + o.every
	default:
		w.put(flagOpenTest, true)
		*due = w.t + o.on
	}
	return !w.has(flagOpenTest) && !w.has(flagRecover)
}

func (o *openWire) broken(w *work) bool {
	for _, c := range o.cells {
		if w.below(c) {
			return true
		}
	}
	return false
}

// draw sets the currents of the sense inputs; a part that is not awake draws
// none.
func (o *openWire) draw(s *State, sinks []float64) {
	if s.Has(flagBO) || s.Has(flagPD) {
		return
	}
	for _, i := range o.sense {
		sinks[i] = o.iS
	}
	if s.Has(flagOpenTest) {
		for _, i := range o.test {
			sinks[i] = o.iTest
		}
	}
}
