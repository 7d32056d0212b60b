package protector

// current keeps the overcurrents of both directions.
func (p *protector) current(w *work) {
	asleep := p.any(w, flagUV)
	napping := asleep || p.OcOffInOv && p.any(w, flagOV)
	p.discharge(w, 0, napping)
	p.discharge(w, 1, napping)
	p.discharge(w, 2, asleep)
	p.retry(w)
	cocEnds := w.above(p.cocStill)
	if p.stack != nil && p.mChd >= 0 {
		cocEnds = cocEnds && w.above(p.mChd)
	}
	// While the discharge bank is off a charge flows through its body diode,
	// whose drop is no overcurrent.
	w.latch(flagCOC, timerCOC, w.below(p.cocOn) && !asleep, p.TCoc, cocEnds, p.TCocr)
}

// discharge keeps one stage of discharge overcurrent.
func (p *protector) discharge(w *work, i int, asleep bool) {
	st := p.stages[i]
	if st.above < 0 {
		return
	}
	ends, tEnds := false, 0.0
	switch p.OcRelease {
	case OcLoadOff:
		ends, tEnds = w.below(p.mOcr), p.TOcr
	case OcChargerOn:
		ends = w.below(p.mChd)
	}
	w.latch(flagOC1+i, timerOC+i, w.above(st.above) && !asleep, st.delay, ends, tEnds)
}

// retry clears all stages together: while one of them holds DO off m says
// nothing about the load, so that stages cleared one by one would trip on each
// other's account for ever.
func (p *protector) retry(w *work) {
	if p.OcRelease != OcRetry || w.instant { // no steady state: it begins tripped, its retry running
		return
	}
	if w.held(timerRetry, w.overcurrent(), p.TRetry) {
		for i := range p.stages {
			w.drop(flagOC1+i, timerOC+i)
		}
		w.stop(timerRetry)
	}
}

// overcurrent reports any discharge overcurrent stage.
func (w *work) overcurrent() bool { return w.s.overcurrent() }

func (s *State) overcurrent() bool {
	return s.Has(flagOC1) || s.Has(flagOC2) || s.Has(flagSC)
}
