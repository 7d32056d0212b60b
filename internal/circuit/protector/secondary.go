package protector

import "fmt"

// SecondarySpec is the data sheet of a second-level detector, which fires a
// heater fuse when a cell is overcharged although the first protection should
// have acted.
type SecondarySpec struct {
	Cells                int
	VOv, VOvr, TOv, TOvr float64 // VOvr is not needed where Latch is set
	Latch                bool    // once fired, out stays high until a brown-out

	VMin, H     float64 // brown-out of vdd−vss below VMin, alive again above VMin+H
	TBo, TStart float64
	Roh, Rol    float64 // out to vdd and to vss
	I           float64 // supply current
	Timer       Timer
}

const (
	secBO = iota
	secHigh
	secLow
	secCell // OV of cell 1 …
)

const (
	secTimerBO = iota
	secTimerOut
	secTimerCell
)

// secondary is a row of comparators with delays on one output.
type secondary struct {
	shown
	SecondarySpec
	vMin, vAlive int
	cells        []cellSense
	out          output
	drain        int
}

// NewSecondary makes a second-level detector. Its pins are vdd, v1 … vn, vss
// and out; its flags BO and OV once a cell. In a brown-out out is low.
func NewSecondary(spec SecondarySpec) (Machine, error) {
	if err := checkSecondary(&spec).err("second-level detector"); err != nil {
		return nil, err
	}
	b := newBuilder([]string{"vdd"})
	m := &secondary{SecondarySpec: spec}
	flags, timers := []string{"BO", "out-high", "out-low"}, []string{"BO", "out"}
	taps := []Pin{0}
	for k := range spec.Cells {
		taps = append(taps, b.pin(fmt.Sprintf("v%d", k+1)))
		flags = append(flags, fmt.Sprintf("OV%d", k+1))
		timers = append(timers, fmt.Sprintf("OV%d", k+1))
	}
	vss := b.pin("vss")
	taps[0] = vss
	m.vMin = b.over("v>V_min", 0, vss, spec.VMin)
	m.vAlive = b.alive(0, vss, spec.VMin, spec.H)
	for k := range spec.Cells {
		v := fmt.Sprintf("v%d", k+1)
		c := cellSense{ov: b.over(v+">V_ov", taps[k+1], taps[k], spec.VOv), ovr: -1}
		if !spec.Latch {
			c.ovr = b.over(v+">V_ovr", taps[k+1], taps[k], spec.VOvr)
		}
		m.cells = append(m.cells, c)
	}
	m.out = b.output(b.pin("out"), 0, vss, spec.Roh, spec.Rol)
	m.out.flagHigh, m.out.flagLow, m.out.timer = secHigh, secLow, secTimerOut
	b.sink("supply", 0, vss)
	m.shown, m.drain = b.shown(flags, timers), len(flags)
	return m, nil
}

func checkSecondary(c *SecondarySpec) problems {
	var p problems
	p.add(c.Cells < 1 || c.Cells > MaxCells, "%d cells: a second-level detector has 1 to %d sense inputs", c.Cells, MaxCells)
	p.add(!(c.VOv > 0), "V_ov is %g: a detector needs its threshold", c.VOv)
	p.add(!c.Latch && !(c.VOvr > 0 && c.VOvr < c.VOv), "V_ovr %g V is not between 0 and V_ov %g V", c.VOvr, c.VOv)
	p.atLeastZero(
		named{"t_ov", c.TOv}, named{"t_ovr", c.TOvr}, named{"V_min", c.VMin}, named{"h", c.H},
		named{"t_bo", c.TBo}, named{"t_start", c.TStart}, named{"I", c.I},
	)
	p.add(!(c.Roh > 0), "R_oh is %g: give the resistance of the output to its high rail", c.Roh)
	p.add(!(c.Rol > 0), "R_ol is %g: give the resistance of the output to its low rail", c.Rol)
	return p
}

func (m *secondary) Start(s *State, t float64, truth Truth) {
	s.reset()
	w := work{s: s, t: t, truth: truth, drain: m.drain, instant: true}
	m.settle(&w)
}

func (m *secondary) Advance(s *State, t float64, truth Truth) {
	w := work{s: s, t: t, truth: truth, drain: m.drain, decay: m.Timer == TimerDecay}
	m.settle(&w)
}

func (m *secondary) settle(w *work) {
	for w.again() {
		m.power(w)
		want := low
		for k := range m.cells {
			if !w.has(secBO) {
				w.latch(secCell+k, secTimerCell+k, w.above(m.cells[k].ov), or(m.TOv, 0), w.below(m.cells[k].ovr), or(m.TOvr, 0))
			}
			if w.has(secCell + k) {
				want = high
			}
		}
		w.drive(&m.out, want)
	}
}

func (m *secondary) power(w *work) {
	switch {
	case !w.has(secBO) && w.held(secTimerBO, w.below(m.vMin), or(m.TBo, 0)):
		for k := range m.cells {
			w.drop(secCell+k, secTimerCell+k)
		}
		w.put(secBO, true)
		w.stop(secTimerBO)
	case w.has(secBO) && w.held(secTimerBO, w.above(m.vAlive), or(m.TStart, 0)):
		w.drop(secBO, secTimerBO)
	}
}

// Outputs implements Machine.
func (m *secondary) Outputs(s *State, links []bool, sinks []float64) {
	links[m.out.linkHigh] = s.Has(secHigh)
	links[m.out.linkLow] = s.Has(secLow)
	sinks[0] = or(m.I, 0)
}
