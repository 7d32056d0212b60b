package protector

import "fmt"

// bleeders are the balance switches inside a stack protector.
type bleeders struct {
	Bal
	switches []int   // links, one a used cell
	above    [][]int // comparators of v_k > v_j + Δ, by k; nil without Δ
}

func (b *builder) balance(p *protector, c *StackSpec, w wiring) {
	x := &p.stack.bal
	x.Bal = c.Bal
	rails := b.balanceRails(c, w)
	if !given(c.Bal.VBal) {
		return
	}
	for k := range p.cells {
		v := fmt.Sprintf("v%d", k+1)
		p.cells[k].bal = b.over(v+">V_bal", w.cells[k+1], w.cells[k], c.Bal.VBal)
		p.cells[k].balr = b.over(v+">V_balr", w.cells[k+1], w.cells[k], c.Bal.VBalr)
		x.switches = append(x.switches, b.link(fmt.Sprintf("balance %d", k+1), rails[k+1], rails[k], c.RBal))
		if given(c.Bal.Delta) {
			x.above = append(x.above, b.exceeds(k, w.cells, c.Bal.Delta))
		}
	}
}

// balanceRails are the nodes between which the switches lie.
func (b *builder) balanceRails(c *StackSpec, w wiring) []Pin {
	if !c.BalPins {
		return w.cells
	}
	rails := []Pin{w.vss}
	for k := range c.Cells {
		rails = append(rails, b.pin(fmt.Sprintf("bal%d", k+1)))
	}
	return rails
}

// exceeds compares cell k with every other one.
func (b *builder) exceeds(k int, taps []Pin, delta float64) []int {
	var all []int
	for j := range len(taps) - 1 {
		if j == k {
			continue
		}
		all = append(all, b.compare(Comparator{
			Name: fmt.Sprintf("v%d>v%d+Δ", k+1, j+1), Plus: taps[k+1], Minus: taps[k],
			Ratio: 1, RefPlus: taps[j+1], RefMinus: taps[j], Level: delta,
		}))
	}
	return all
}

// pauseBleeds moves the pauses of the bleeds on and reports whether cells read
// true: no bleed is on, or a pause has just ended.
func (p *protector) pauseBleeds(w *work) bool {
	x := &p.stack.bal
	if !given(x.Sense) || !p.any(w, flagBAL) && !w.has(flagPause) {
		return true
	}
	return x.step(w, flagPause, timerPause)
}

// step begins or ends a pause that is due; it reports an end.
func (x *Bal) step(w *work, flag, timer int) bool {
	due := &w.s.Due[timer]
	switch {
	case *due > w.t:
		return false
	case w.has(flag):
		w.drop(flag, timer)
		return true
	}
	w.put(flag, true)
	*due = w.t + or(x.Pause, window)
	return false
}

// schedule sets the next pause of a bleed going. When the last bleed ends
// between pauses one more follows, so that its drop is gone when cells are next
// read.
func (x *Bal) schedule(w *work, bleeding bool, flag, timer int) {
	switch {
	case !given(x.Sense) || w.instant || w.has(flag):
	case bleeding && !w.running(timer):
		w.s.Due[timer] = w.t + x.Sense - or(x.Pause, window)
	case !bleeding && w.running(timer):
		w.put(flag, true)
		w.s.Due[timer] = w.t + or(x.Pause, window)
	}
}

// balance starts and stops bleeds.
func (p *protector) balance(w *work, sensed bool) {
	x := &p.stack.bal
	if !given(x.VBal) {
		return
	}
	for k := range p.cells {
		start, stop := x.wanted(w, k, &p.cells[k]), w.below(p.cells[k].balr)
		if !sensed {
			start, stop = w.running(timerBAL(k)), w.running(timerBAL(k))
		}
		start = start && (!x.OnCharge || w.below(p.mChd))
		w.latch(flagBAL(k), timerBAL(k), start, or(x.TBal, 0), stop, or(x.TBalr, 0))
	}
	x.schedule(w, p.any(w, flagBAL), flagPause, timerPause)
}

// wanted reports that cell k is to be bled, whatever the charger does.
func (x *bleeders) wanted(w *work, k int, c *cellSense) bool {
	if !w.above(c.bal) {
		return false
	}
	if x.above == nil {
		return true
	}
	for _, i := range x.above[k] {
		if w.above(i) {
			return true
		}
	}
	return false
}

// outputs closes the switches of bled cells, but not while cells are read.
func (x *bleeders) outputs(s *State, links []bool) {
	if s.Has(flagPause) || s.Has(flagOpenTest) || s.Has(flagRecover) {
		return
	}
	for k, i := range x.switches {
		links[i] = s.Has(flagBAL(k))
	}
}
