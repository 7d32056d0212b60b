package protector

// output is a pin with a switch to a high and one to a low rail.
type output struct {
	flagHigh, flagLow int
	timer             int
	linkHigh, linkLow int // -1: no such switch
}

// level is what an output is to be.
type level uint8

const (
	open level = iota
	low
	high
	hold // as it is
)

// outputs sets DO and CO:
//
//	DO high = ¬(BO, UV, PD, OC1, OC2, SC)
//	CO high = ¬(BO, OV, COC, Z-inhibit), so high in PD, which clears the latches
func (p *protector) outputs(w *work) {
	w.drive(&p.doOut, p.wantDO(w))
	w.drive(&p.coOut, p.wantCO(w))
}

func (p *protector) wantDO(w *work) level {
	switch {
	case w.has(flagBO):
		return p.browned()
	case w.has(flagPD), p.any(w, flagUV), w.overcurrent(), w.has(flagDH), w.has(flagCtlD), w.has(flagOW):
		return low
	}
	return high
}

func (p *protector) wantCO(w *work) level {
	if w.has(flagZ) {
		switch {
		case p.ZeroVolt == ZeroVoltInhibit:
			return low
		case p.ZeroVolt == ZeroVoltAllow && w.above(p.charger0):
			return high
		}
	}
	switch {
	case w.has(flagBO):
		return p.browned()
	case p.any(w, flagOV), w.has(flagCOC), w.has(flagCH), w.has(flagCC), w.has(flagCtlC), w.has(flagOW):
		return low
	}
	return high
}

func (p *protector) browned() level {
	switch p.Brownout {
	case BrownoutLow:
		return low
	case BrownoutHold:
		return hold
	}
	return open
}

// drive switches an output, break before make. The break counts from the
// opening of the old switch; a change of mind meanwhile does not prolong it.
func (w *work) drive(o *output, want level) {
	isHigh, isLow := w.has(o.flagHigh), w.has(o.flagLow)
	switch {
	case want == hold:
		w.stop(o.timer)
		return
	case isHigh == (want == high) && isLow == (want == low):
		w.stop(o.timer)
		return
	case w.instant:
		w.put(o.flagHigh, want == high)
		w.put(o.flagLow, want == low)
		return
	case isHigh || isLow:
		w.put(o.flagHigh, false)
		w.put(o.flagLow, false)
	}
	if w.held(o.timer, want != open, breakTime) {
		w.put(o.flagHigh, want == high)
		w.put(o.flagLow, want == low)
		w.stop(o.timer)
	}
}

// Outputs implements Machine. Pulls stand only where protection.md has them:
// R_vms in an overcurrent or short, R_vmd in overdischarge or power-down of a
// part that powers down; none in a brown-out, which clears those flags.
func (p *protector) Outputs(s *State, links []bool, sinks []float64) {
	clear(links)
	clear(sinks)
	show := func(o *output) {
		if o.linkHigh >= 0 {
			links[o.linkHigh] = s.Has(o.flagHigh)
		}
		if o.linkLow >= 0 {
			links[o.linkLow] = s.Has(o.flagLow)
		}
	}
	show(&p.doOut)
	show(&p.coOut)
	if p.pullVss >= 0 {
		links[p.pullVss] = s.overcurrent()
	}
	if p.pullVdd >= 0 {
		links[p.pullVdd] = s.Has(flagPD) || p.anyUV(s)
	}
	sinks[p.supply] = p.draw(s)
	if p.leak >= 0 {
		sinks[p.leak] = p.ICs
	}
	if p.stack != nil {
		p.stackOutputs(s, links, sinks)
	}
}

// draw is the supply current.
func (p *protector) draw(s *State) float64 {
	switch {
	case s.Has(flagBO):
		return or(p.IBo, or(p.I, 0))
	case s.Has(flagPD):
		return or(p.IPd, 0)
	}
	return or(p.I, 0)
}

func (p *protector) anyUV(s *State) bool {
	for k := range p.cells {
		if s.Has(flagUV(k)) {
			return true
		}
	}
	return false
}
