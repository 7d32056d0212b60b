package protector

// BalancerSpec is the data sheet of a single-cell balancer. As in CellSpec a
// threshold of 0 or NaN means that the part has no such feature.
type BalancerSpec struct {
	Bal // OnCharge needs VChd; Delta is for stacks and must be absent

	VChd        float64 // charger seen while V(cs)−V(vss) < VChd; the part then has a pin cs
	VMin, H     float64 // brown-out below VMin, alive again above VMin+H
	TBo, TStart float64
	Roh, Rol    float64 // out to vdd and to vss
	I           float64 // supply current
	Timer       Timer
}

const (
	balBO = iota
	balOn
	balPause
	balHigh
	balLow
	balFlags
)

const (
	balTimerBO = iota
	balTimerOn
	balTimerPause
	balTimerOut
	balTimers
)

// balancer is a comparator with delays that drives a bleed switch.
type balancer struct {
	shown
	BalancerSpec
	vMin, vAlive, on, off, mChd int
	out                         output
}

// NewBalancer makes a single-cell balancer. Its pins are vdd, vss and out, and
// cs where VChd is given; its flags BO and BAL. In a brown-out the bleed is off.
func NewBalancer(spec BalancerSpec) (Machine, error) {
	if err := checkBalancer(&spec).err("balancer"); err != nil {
		return nil, err
	}
	const vdd, vss, out = 0, 1, 2
	b := newBuilder([]string{"vdd", "vss", "out"})
	m := &balancer{BalancerSpec: spec, mChd: -1}
	m.vMin = b.over("v>V_min", vdd, vss, spec.VMin)
	m.vAlive = b.alive(vdd, vss, spec.VMin, spec.H)
	m.on = b.over("v>V_bal", vdd, vss, spec.VBal)
	m.off = b.over("v>V_balr", vdd, vss, spec.VBalr)
	if given(spec.VChd) {
		m.mChd = b.over("cs>V_chd", b.pin("cs"), vss, spec.VChd)
	}
	m.out = b.output(out, vdd, vss, spec.Roh, spec.Rol)
	m.out.flagHigh, m.out.flagLow, m.out.timer = balHigh, balLow, balTimerOut
	b.sink("supply", vdd, vss)
	m.shown = b.shown(
		[]string{"BO", "BAL", "pause", "out-high", "out-low"},
		[]string{"BO", "BAL", "pause", "out"},
	)
	return m, nil
}

func checkBalancer(c *BalancerSpec) problems {
	var p problems
	p.add(!given(c.VBal), "V_bal is not given: a balancer needs its threshold")
	p.balance(c.Bal)
	p.add(given(c.Delta), "Δ is given: a balancer of one cell knows no other cell")
	p.add(c.OnCharge && !given(c.VChd), "balancing on charge only needs V_chd: it is how a charger is seen")
	p.add(c.VChd > 0, "V_chd is %g V: a charger pulls cs below vss, so it must be negative", c.VChd)
	p.atLeastZero(named{"V_min", c.VMin}, named{"h", c.H}, named{"I", c.I}, named{"t_bo", c.TBo}, named{"t_start", c.TStart})
	p.add(given(c.VMin) && c.VMin+or(c.H, 0) >= c.VBal, "V_min %g V plus its hysteresis %g V is not below V_bal %g V", c.VMin, c.H, c.VBal)
	p.add(!(c.Roh > 0), "R_oh is %g: give the resistance of the output to its high rail", c.Roh)
	p.add(!(c.Rol > 0), "R_ol is %g: give the resistance of the output to its low rail", c.Rol)
	return p
}

func (m *balancer) Start(s *State, t float64, truth Truth) {
	s.reset()
	w := work{s: s, t: t, truth: truth, drain: balFlags, instant: true}
	m.settle(&w)
	m.Advance(s, t, truth)
}

func (m *balancer) Advance(s *State, t float64, truth Truth) {
	w := work{s: s, t: t, truth: truth, drain: balFlags, decay: m.Timer == TimerDecay}
	m.settle(&w)
}

func (m *balancer) settle(w *work) {
	sensed := m.pause(w)
	for w.again() {
		m.power(w)
		if !w.has(balBO) {
			m.balance(w, sensed)
		}
		want := low
		if w.has(balOn) && !w.has(balPause) {
			want = high
		}
		w.drive(&m.out, want)
	}
}

func (m *balancer) power(w *work) {
	switch {
	case !w.has(balBO) && w.held(balTimerBO, w.below(m.vMin), or(m.TBo, 0)):
		w.drop(balOn, balTimerOn)
		w.drop(balPause, balTimerPause)
		w.put(balBO, true)
		w.stop(balTimerBO)
	case w.has(balBO) && w.held(balTimerBO, w.above(m.vAlive), or(m.TStart, 0)):
		w.drop(balBO, balTimerBO)
	}
}

func (m *balancer) balance(w *work, sensed bool) {
	start, stop := w.above(m.on), w.below(m.off)
	if !sensed {
		start, stop = w.running(balTimerOn), w.running(balTimerOn)
	}
	start = start && (!m.OnCharge || w.below(m.mChd))
	w.latch(balOn, balTimerOn, start, or(m.TBal, 0), stop, or(m.TBalr, 0))
	m.schedule(w, w.has(balOn), balPause, balTimerPause)
}

// pause is pauseBleeds for one cell.
func (m *balancer) pause(w *work) bool {
	if w.instant || !given(m.Sense) || !w.has(balOn) && !w.has(balPause) {
		return true
	}
	return m.step(w, balPause, balTimerPause)
}

// Outputs implements Machine.
func (m *balancer) Outputs(s *State, links []bool, sinks []float64) {
	links[m.out.linkHigh] = s.Has(balHigh)
	links[m.out.linkLow] = s.Has(balLow)
	sinks[0] = or(m.I, 0)
}
