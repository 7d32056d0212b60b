package protector

import "math"

// Flags and timers that every protector has. Those of the cells follow at
// cellFlag and cellTimer, three a cell.
const (
	flagBO = iota
	flagPD
	flagOC1
	flagOC2
	flagSC
	flagCOC
	flagZ
	flagCH       // charge hot
	flagCC       // charge cold
	flagDH       // discharge hot
	flagCtlD     // forced off by the neighbour
	flagCtlC     //
	flagOW       // open wire
	flagSample   // temperature being sampled
	flagOpenTest // test current drawn
	flagRecover  // inputs recovering from a test current
	flagPause    // bleeds off so that cells can be sensed
	flagDOHigh   // which output switch conducts
	flagDOLow
	flagCOHigh
	flagCOLow
	cellFlag // OV, UV, BAL of cell 1, of cell 2 …
)

const (
	timerBO = iota
	timerPD
	timerOC // three stages
	_
	_
	timerRetry
	timerCOC
	timerSample
	timerCtlD
	timerCtlC
	timerOpenTest
	timerPause
	timerDO
	timerCO
	cellTimer // OV, UV, BAL of cell 1, of cell 2 …
)

// perCell is how many flags and timers a cell has.
const perCell = 3

func flagOV(k int) int   { return cellFlag + perCell*k }
func flagUV(k int) int   { return cellFlag + perCell*k + 1 }
func flagBAL(k int) int  { return cellFlag + perCell*k + 2 }
func timerOV(k int) int  { return cellTimer + perCell*k }
func timerUV(k int) int  { return cellTimer + perCell*k + 1 }
func timerBAL(k int) int { return cellTimer + perCell*k + 2 }

// breakTime is how long both switches of an output are open when it changes
// ("Break before make 50 ns").
const breakTime = 50e-9 // s

// protector is the logic of single-cell and stack protectors alike: a single
// cell is a stack of one whose current and load pins are both cs.
type protector struct {
	shown
	CellSpec
	stages [3]stage // OC1, OC2, SC
	cells  []cellSense
	drain  int

	vMin, vAlive, vDead, vUndead, charger0 int // comparators; -1 where absent
	mChd, mPd, mHalf, mOcr, mLoad          int
	cocOn, cocStill                        int

	doOut, coOut     output
	pullVss, pullVdd int // links; -1 where absent
	supply, leak     int // sinks; leak -1 where absent
	stack            *stackParts
}

// stage is one discharge overcurrent stage.
type stage struct {
	above int     // comparator; -1: the part has no such stage
	delay float64 // s
}

// cellSense holds one cell's comparators.
type cellSense struct{ ov, ovr, uv, uvr, bal, balr int }

// Start also sets periodic work going: a retry after an overcurrent, the
// sampling of the temperature.
func (p *protector) Start(s *State, t float64, truth Truth) {
	s.reset()
	w := work{s: s, t: t, truth: truth, drain: p.drain, instant: true}
	p.settle(&w)
	p.Advance(s, t, truth)
}

func (p *protector) Advance(s *State, t float64, truth Truth) {
	w := work{s: s, t: t, truth: truth, drain: p.drain, decay: p.Timer == TimerDecay}
	p.settle(&w)
}

// settle evaluates power → cell → current → outputs until nothing changes.
func (p *protector) settle(w *work) {
	sensed := p.sensing(w)
	for w.again() {
		p.power(w)
		if !w.has(flagBO) && !w.has(flagPD) {
			p.cellVoltages(w, sensed)
			p.current(w)
			if p.stack != nil {
				p.stackWork(w, sensed)
			}
		}
		p.outputs(w)
	}
}

// power keeps brown-out, the dead cell and power-down.
func (p *protector) power(w *work) {
	switch {
	case !w.has(flagBO) && w.held(timerBO, w.below(p.vMin), p.TBo):
		p.brownOut(w)
	case w.has(flagBO) && w.held(timerBO, w.above(p.vAlive), p.TStart):
		p.wake(w)
	}
	if w.has(flagZ) {
		w.put(flagZ, !w.above(p.vUndead))
	} else {
		w.put(flagZ, w.below(p.vDead))
	}
	if !p.PowerDown || w.has(flagBO) {
		return
	}
	switch {
	case !w.has(flagPD) && w.held(timerPD, p.any(w, flagUV) && w.above(p.mPd), p.TPd):
		p.powerDown(w)
	case w.has(flagPD) && w.held(timerPD, w.below(p.mPd), p.TWake):
		w.drop(flagPD, timerPD)
	}
}

// brownOut clears all flags and timers but those of a dead cell, which is no
// latch, and of the output switches, which outputs sets.
func (p *protector) brownOut(w *work) {
	for f := range cellFlag {
		if f != flagZ && (f < flagDOHigh || f > flagCOLow) {
			w.put(f, false)
		}
	}
	for f := cellFlag; f < len(p.flagNames); f++ {
		w.put(f, false)
	}
	for i := range p.timerNames {
		w.stop(i)
	}
	w.put(flagBO, true)
}

// wake ends a brown-out.
func (p *protector) wake(w *work) {
	w.drop(flagBO, timerBO)
	if p.CellSpec.Start != StartNeedsCharger {
		return
	}
	w.put(flagPD, true)
	for k := range p.cells {
		w.put(flagUV(k), true)
	}
}

// powerDown turns all detectors off: what they had latched goes with them, the
// overdischarge stays.
func (p *protector) powerDown(w *work) {
	w.put(flagPD, true)
	w.stop(timerPD)
	for f := flagOC1; f <= flagCOC; f++ {
		w.put(f, false)
	}
	for f := flagCH; f <= flagPause; f++ {
		w.put(f, false)
	}
	for k := range p.cells {
		w.put(flagOV(k), false)
		w.put(flagBAL(k), false)
	}
	for i := timerOC; i < timerDO; i++ {
		w.stop(i)
	}
	for i := cellTimer; i < len(p.timerNames); i++ {
		w.stop(i)
	}
}

// any reports whether any cell has the flag.
func (p *protector) any(w *work, flag func(int) int) bool {
	for k := range p.cells {
		if w.has(flag(k)) {
			return true
		}
	}
	return false
}

// cellVoltages keeps overcharge and overdischarge. While the cells are not
// sensed, a condition is taken to be as it was: a running timer runs on.
func (p *protector) cellVoltages(w *work, sensed bool) {
	charger := w.below(p.mChd)
	noCharger := p.mChd < 0 || !charger
	loadOff := !p.UvLoadOff || w.below(p.mHalf)
	for k := range p.cells {
		c := &p.cells[k]
		ov, uv := w.above(c.ov), w.below(c.uv)
		ovEnds := w.below(c.ovr) && (noCharger || p.OvRelease == OvVoltage)
		uvEnds := charger && w.above(c.uv) || p.UvAuto && w.above(c.uvr) && loadOff
		if !sensed {
			ov, ovEnds = w.running(timerOV(k)), w.running(timerOV(k))
			uv, uvEnds = w.running(timerUV(k)), w.running(timerUV(k))
		}
		w.latch(flagOV(k), timerOV(k), ov, p.TOv, ovEnds, p.TOvr)
		if p.OvLoad && sensed && w.has(flagOV(k)) && w.above(p.mLoad) && w.below(c.ov) {
			w.drop(flagOV(k), timerOV(k))
		}
		w.latch(flagUV(k), timerUV(k), uv, p.TUv, uvEnds, p.TUvr)
	}
}

// reset forgets everything.
func (s *State) reset() {
	*s = State{}
	for i := range s.Due {
		s.Due[i] = math.Inf(1)
	}
}
