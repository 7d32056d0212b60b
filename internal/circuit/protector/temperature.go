package protector

// heat watches a thermistor by the ratio V(ts)/V(tr). An open thermistor
// leaves ts at tr and acts as cold; a shorted one holds it at vss and acts as
// hot.
type heat struct {
	link           int // tr on; -1: no temperature at all
	cold, coldStay int
	hot, hotGone   int
	dis, disGone   int
	period, window float64 // s; period 0: always on
}

func (b *builder) temperature(h *heat, c *StackSpec, w wiring) {
	tr, ts := b.pin("tr"), b.pin("ts")
	h.link = -1
	if !given(c.CC) && !given(c.CH) && !given(c.DH) {
		return
	}
	ratio := func(name string, r float64) int {
		if !given(r) {
			return -1
		}
		return b.compare(Comparator{
			Name: "ts/tr>" + name, Plus: ts, Minus: w.vss,
			Ratio: r, RefPlus: tr, RefMinus: w.vss,
		})
	}
	h.cold, h.coldStay = ratio("CC", c.CC), ratio("CCr", c.CCr)
	h.hot, h.hotGone = ratio("CH", c.CH), ratio("CHr", c.CHr)
	h.dis, h.disGone = ratio("DH", c.DH), ratio("DHr", c.DHr)
	h.period, h.window = or(c.TSample, 0), or(c.TWindow, window)
	h.link = b.link("tr on", tr, w.vdd, or(c.RTr, 100))
}

// sample reads the temperature every T_s, after tr has been on for its window;
// between readings the flags stand. A part that always reads waits so long
// once, when it wakes.
func (h *heat) sample(w *work) {
	if h.link < 0 || w.instant {
		return
	}
	due := &w.s.Due[timerSample]
	waiting := w.running(timerSample) && *due > w.t
	switch {
	case waiting:
	case !w.has(flagSample):
		w.put(flagSample, true)
		*due = w.t + h.window
	case h.period == 0:
		w.stop(timerSample)
		h.read(w)
	default:
		h.read(w)
		w.put(flagSample, false)
		*due = w.t + h.period - h.window
	}
}

// read sets and clears CC, CH and DH from one reading.
func (h *heat) read(w *work) {
	toggle := func(flag int, set, clear bool) {
		if w.has(flag) {
			w.put(flag, !clear)
		} else {
			w.put(flag, set)
		}
	}
	toggle(flagCC, w.above(h.cold), w.below(h.coldStay))
	toggle(flagCH, w.below(h.hot), w.above(h.hotGone))
	toggle(flagDH, w.below(h.dis), w.above(h.disGone))
}
