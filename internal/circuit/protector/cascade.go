package protector

// cascade listens to the upper neighbour on ctl_d and ctl_c and speaks to the
// lower one on do_out and co_out. Each input has a pull to vss; the neighbour's
// open-drain output, whose vss is this part's vdd, pulls it up.
type cascade struct {
	mode         Ctl
	delay        float64 // s
	ctlD, ctlC   int     // comparators
	doOut, coOut int     // links
}

func (b *builder) cascade(x *cascade, c *StackSpec, w wiring) {
	x.mode, x.delay = c.Ctl, or(c.TCtl, 0)
	if c.Ctl == CtlNone {
		return
	}
	input := func(name string) int {
		pin := b.pin(name)
		b.always(b.link(name+" pull", pin, w.vss, or(c.RCtl, 1e6)))
		return b.compare(Comparator{
			Name: name + ">v/2", Plus: pin, Minus: w.vss,
			Ratio: 0.5, RefPlus: w.vdd, RefMinus: w.vss,
		})
	}
	x.ctlD, x.ctlC = input("ctl_d"), input("ctl_c")
	x.doOut = b.link("do_out to vss", b.pin("do_out"), w.vss, c.Rol)
	x.coOut = b.link("co_out to vss", b.pin("co_out"), w.vss, c.Rol)
}

// listen forces DO and CO off as the neighbour says, t_ctl later, and lets them
// go t_ctl after it falls silent.
func (x *cascade) listen(w *work) {
	if x.mode == CtlNone {
		return
	}
	off := func(comparator int) bool { return w.above(comparator) == (x.mode == CtlPulled) }
	w.latch(flagCtlD, timerCtlD, off(x.ctlD), x.delay, !off(x.ctlD), x.delay)
	w.latch(flagCtlC, timerCtlC, off(x.ctlC), x.delay, !off(x.ctlC), x.delay)
}

// speak passes this part's DO and CO on. A browned-out part cannot pull.
func (x *cascade) speak(s *State, links []bool) {
	if x.mode == CtlNone || s.Has(flagBO) {
		return
	}
	links[x.doOut] = s.Has(flagDOHigh) == (x.mode == CtlOpen)
	links[x.coOut] = s.Has(flagCOHigh) == (x.mode == CtlOpen)
}
