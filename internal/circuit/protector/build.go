package protector

import (
	"fmt"
	"math"
)

// builder collects what a machine shows to its caller.
type builder struct {
	pins        []string
	comparators []Comparator
	links       []Link
	sinks       []Sink
	clamps      []Clamp
	held        []int // links that always conduct
}

func newBuilder(pins []string) *builder { return &builder{pins: pins} }

// pin adds a pin.
func (b *builder) pin(name string) Pin {
	b.pins = append(b.pins, name)
	return Pin(len(b.pins) - 1)
}

// over adds a comparator on plus − minus; -1 where its level is not given.
func (b *builder) over(name string, plus, minus Pin, level float64) int {
	if !given(level) {
		return -1
	}
	return b.compare(Comparator{Name: name, Plus: plus, Minus: minus, Level: level})
}

// alive adds the upper edge of the brown-out band.
func (b *builder) alive(vdd, vss Pin, vMin, h float64) int {
	if !given(vMin) {
		return -1
	}
	return b.over("v>V_min+h", vdd, vss, vMin+or(h, 0))
}

func (b *builder) compare(c Comparator) int {
	b.comparators = append(b.comparators, c)
	return len(b.comparators) - 1
}

func (b *builder) link(name string, from, to Pin, ohms float64) int {
	b.links = append(b.links, Link{Name: name, From: from, To: to, Ohms: ohms})
	return len(b.links) - 1
}

// pull adds a link that may be absent.
func (b *builder) pull(name string, from, to Pin, ohms float64) int {
	if !given(ohms) {
		return -1
	}
	return b.link(name, from, to, ohms)
}

// always marks a link that conducts in every state.
func (b *builder) always(link int) { b.held = append(b.held, link) }

func (b *builder) sink(name string, from, to Pin) int {
	b.sinks = append(b.sinks, Sink{Name: name, From: from, To: to})
	return len(b.sinks) - 1
}

// output adds a push-pull stage; a low rail of -1 is no switch.
func (b *builder) output(pin, highRail, lowRail Pin, roh, rol float64) output {
	name := func(rail Pin) string { return b.pins[pin] + " to " + b.pins[rail] }
	o := output{linkHigh: b.link(name(highRail), pin, highRail, roh), linkLow: -1}
	if lowRail >= 0 {
		o.linkLow = b.link(name(lowRail), pin, lowRail, rol)
	}
	return o
}

// shown is what a machine shows to its caller.
type shown struct {
	pins                  []string
	comparators           []Comparator
	links                 []Link
	sinks                 []Sink
	clamps                []Clamp
	flagNames, timerNames []string
}

func (b *builder) shown(flags, timers []string) shown {
	return shown{b.pins, b.comparators, b.links, b.sinks, b.clamps, flags, timers}
}

func (s *shown) Pins() []string            { return s.pins }
func (s *shown) Comparators() []Comparator { return s.comparators }
func (s *shown) Links() []Link             { return s.links }
func (s *shown) Sinks() []Sink             { return s.sinks }
func (s *shown) Clamps() []Clamp           { return s.clamps }
func (s *shown) Flags() []string           { return s.flagNames }
func (s *shown) Timers() int               { return len(s.timerNames) }
func (s *shown) TimerNames() []string      { return s.timerNames }

// wiring says which pin of a part plays which role.
type wiring struct {
	vdd, vss Pin
	sense    Pin // current is seen on sense − vss
	load     Pin // load and charger are seen on load − vss
	do, co   Pin
	cells    []Pin // taps from the bottom: one more than cells
}

// protector builds the logic common to single-cell and stack protectors.
func (b *builder) protector(spec CellSpec, w wiring) *protector {
	p := &protector{CellSpec: spec}
	p.plainDelays()
	b.supplyWatch(p, w)
	b.cellWatch(p, w)
	b.currentWatch(p, w)
	b.loadWatch(p, w)
	b.outputStages(p, w)
	return p
}

// finish lets p show what has been collected for it.
func (p *protector) finish(b *builder) {
	flags, timers := names(len(p.cells))
	p.shown, p.drain = b.shown(flags, timers), len(flags)
}

func (b *builder) supplyWatch(p *protector, w wiring) {
	p.vMin = b.over("v>V_min", w.vdd, w.vss, p.VMin)
	p.vAlive = b.alive(w.vdd, w.vss, p.VMin, p.H)
	p.vDead, p.vUndead, p.charger0 = -1, -1, -1
	if p.ZeroVolt == ZeroVoltNone {
		return
	}
	p.vDead = b.over("v>V_0", w.vdd, w.vss, p.V0)
	p.vUndead = b.over("v>V_0+h", w.vdd, w.vss, p.V0+or(p.H0, or(p.H, 0)))
	if p.ZeroVolt == ZeroVoltAllow {
		p.charger0 = b.over("vdd-"+b.pins[w.load]+">V_0cha", w.vdd, w.load, p.V0cha)
	}
}

func (b *builder) cellWatch(p *protector, w wiring) {
	for k := range len(w.cells) - 1 {
		v := "v"
		if len(w.cells) > 2 {
			v = fmt.Sprintf("v%d", k+1)
		}
		top, bottom := w.cells[k+1], w.cells[k]
		c := cellSense{ov: -1, ovr: -1, uv: -1, uvr: -1, bal: -1, balr: -1}
		if given(p.VOv) {
			c.ov = b.over(v+">V_ov", top, bottom, p.VOv)
			c.ovr = b.over(v+">V_ovr", top, bottom, p.VOvr)
		}
		if given(p.VUv) {
			c.uv = b.over(v+">V_uv", top, bottom, p.VUv)
			if p.UvAuto {
				c.uvr = b.over(v+">V_uvr", top, bottom, p.VUvr)
			}
		}
		p.cells = append(p.cells, c)
	}
}

func (b *builder) currentWatch(p *protector, w wiring) {
	m := b.pins[w.sense]
	p.stages = [3]stage{
		{b.over(m+">V_oc1", w.sense, w.vss, p.VOc1), p.TOc1},
		{b.over(m+">V_oc2", w.sense, w.vss, p.VOc2), p.TOc2},
		{b.over(m+">V_sc", w.sense, w.vss, p.VSc), p.TSc},
	}
	p.cocOn, p.cocStill = -1, -1
	if given(p.VCoc) {
		p.cocOn = b.over(m+">-V_coc", w.sense, w.vss, -p.VCoc)
		p.cocStill = b.over(m+">-V_cocr", w.sense, w.vss, -or(p.VCocr, 0.9*p.VCoc))
	}
	p.leak = -1
	if given(p.ICs) {
		p.leak = b.sink(m+" leakage", w.sense, w.vss)
	}
}

func (b *builder) loadWatch(p *protector, w wiring) {
	m := b.pins[w.load]
	p.mChd = b.over(m+">V_chd", w.load, w.vss, p.VChd)
	p.mPd, p.mHalf, p.mOcr = -1, -1, -1
	ratio := func(name string, r, level float64) int {
		return b.compare(Comparator{
			Name: name, Plus: w.load, Minus: w.vss,
			Ratio: r, RefPlus: w.vdd, RefMinus: w.vss, Level: level,
		})
	}
	if p.PowerDown {
		p.mPd = ratio(m+">V_pd", or(p.PdRatio, 0.5), 0)
	}
	if p.UvAuto && p.UvLoadOff {
		p.mHalf = ratio(m+">v/2", 0.5, 0)
	}
	lowest := lowestStage(&p.CellSpec)
	if given(lowest) && p.OcRelease == OcLoadOff || p.OvLoad && w.load != w.sense {
		level, r := or(p.VOcr, 0), or(p.OcrRatio, 0)
		if level == 0 && r == 0 {
			level = 0.9 * lowest
		}
		p.mOcr = ratio(m+">V_ocr", r, level)
	}
	p.mLoad = p.stages[0].above
	if w.load != w.sense {
		p.mLoad = p.mOcr
	}
	p.pullVss = b.pull("R_vms", w.load, w.vss, p.RVms)
	p.pullVdd = -1
	if p.PowerDown {
		p.pullVdd = b.pull("R_vmd", w.load, w.vdd, p.RVmd)
	}
}

func (b *builder) outputStages(p *protector, w wiring) {
	lowRail := map[CoLow]Pin{CoLowCs: w.load, CoLowVss: w.vss, CoLowOpenDrain: -1}[p.CoLow]
	p.doOut = b.output(w.do, w.vdd, w.vss, p.Roh, p.Rol)
	p.doOut.flagHigh, p.doOut.flagLow, p.doOut.timer = flagDOHigh, flagDOLow, timerDO
	p.coOut = b.output(w.co, w.vdd, lowRail, p.Roh, p.Rol)
	p.coOut.flagHigh, p.coOut.flagLow, p.coOut.timer = flagCOHigh, flagCOLow, timerCO
	p.supply = b.sink("supply", w.vdd, w.vss)
	breakdown := math.Inf(1)
	if given(p.VCsMax) {
		breakdown = p.VCsMax
	}
	// The rating of cs is given below vdd (v−28 V): the diode to vdd breaks
	// down there. A diode to vss would stop cs from rising with the load.
	b.clamps = append(b.clamps, Clamp{Name: b.pins[w.load] + " to vdd", Anode: w.load, Cathode: w.vdd, Breakdown: breakdown})
}

// names names flags and timers of a part of n cells.
func names(n int) (flags, timers []string) {
	flags = []string{
		"BO", "PD", "OC1", "OC2", "SC", "COC", "Z", "CH", "CC", "DH", "CTLD", "CTLC", "OW",
		"sampling", "open-test", "recover", "pause", "do-high", "do-low", "co-high", "co-low",
	}
	timers = []string{
		"BO", "PD", "OC1", "OC2", "SC", "retry", "COC", "sample", "CTLD", "CTLC", "open-test", "pause", "do", "co",
	}
	for k := range n {
		suffix := ""
		if n > 1 {
			suffix = fmt.Sprint(k + 1)
		}
		cell := []string{"OV" + suffix, "UV" + suffix, "BAL" + suffix}
		flags = append(flags, cell...)
		timers = append(timers, cell...)
	}
	return flags, timers
}
