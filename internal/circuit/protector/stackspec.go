package protector

import "math"

// MaxCells is the most cells that one stack protector or detector watches.
const MaxCells = 24

// StackSpec is the data sheet of a stack protector. What means the same as in
// a single-cell protector has the same name: voltages of each cell; the supply
// on vdd−vss; currents, now on V(cs)−V(vss); load and charger, now seen on
// V(vm)−V(vss), where m is that of vm: V_chd, V_pd, v/2, V_vmr, the pulls.
type StackSpec struct {
	CellSpec
	Cells int     // sense inputs v1 … vn
	Used  int     // cells that the strap selects, from the bottom; 0: Cells
	VVmr  float64 // load gone while m < VVmr; 0: VOcr + OcrRatio·v

	// Delays set by a capacitor: t = k·C where k is given, in seconds a farad,
	// and the delays of CellSpec where it is not. C is what the board hangs on
	// the pin: 0 for an open pin (the delay is TOpen), +Inf for one shorted to
	// vss (it never ends).
	KOv, CTov        float64
	KUv, CTuv        float64
	KOc1, KOc2, CToc float64
	TOpen            float64

	// Temperature, as V(ts)/V(tr): a thermistor between ts and vss.
	CC, CCr float64 // too cold to charge above CC, until below CCr
	CH, CHr float64 // too hot to charge below CH, until above CHr
	DH, DHr float64 // too hot to discharge below DH, until above DHr
	TSample float64 // a reading every TSample; 0: always
	TWindow float64 // tr is on so long for a reading; 0: 1 ms
	RTr     float64 // tr to vdd while it is on; 0: 100 Ω, which cancels in the ratio

	Ctl  Ctl
	RCtl float64 // pull of the control inputs to vss; 0: 1 MΩ
	TCtl float64

	IS              float64 // current into each sense input
	IOw, TOw, TOwOn float64 // open-wire test: current, time between tests, time of one; TOwOn 0: 1 ms
	VOw             float64 // a wire is open when a cell reads less than this in a test

	Bal     Bal
	RBal    float64 // a balance switch
	BalPins bool    // switches between pins bal_k and bal_k−1 (bal_0 is vss), not between the sense inputs
}

// Ctl says when a neighbour's control input forces DO or CO off.
type Ctl uint8

const (
	CtlNone   Ctl = iota // the part has no such pins
	CtlPulled            // while something pulls it above half of vdd−vss; its own outputs pull while off
	CtlOpen              // while nothing does; its own outputs pull while on
)

// Bal is a balancing rule.
type Bal struct {
	VBal, VBalr, TBal, TBalr float64 // start above for TBal, stop below for TBalr
	OnCharge                 bool    // start only while a charger is seen
	Delta                    float64 // start only while v_k > v_min + Delta; 0: whatever the others have
	Sense                    float64 // bleeds pause every Sense seconds so that cells are read without their drop; 0: continuous
	Pause                    float64 // so long; 0: 1 ms
}

// window is how long a reading takes where a spec does not say ("for 1 ms").
const window = 1e-3 // s

// byCapacitor is a delay set by a pin, or plain where k is not given.
func byCapacitor(k, c, plain, tOpen float64) float64 {
	switch {
	case !given(k):
		return plain
	case math.IsInf(c, 1):
		return c
	case !given(c):
		return or(tOpen, 0)
	}
	return k * c
}

// Resolve puts the delays that capacitors set where the logic reads them.
func (c StackSpec) Resolve() StackSpec {
	c.TOv = byCapacitor(c.KOv, c.CTov, c.TOv, c.TOpen)
	c.TUv = byCapacitor(c.KUv, c.CTuv, c.TUv, c.TOpen)
	c.TOc1 = byCapacitor(c.KOc1, c.CToc, c.TOc1, c.TOpen)
	c.TOc2 = byCapacitor(c.KOc2, c.CToc, c.TOc2, c.TOpen)
	if given(c.VVmr) {
		c.VOcr, c.OcrRatio = c.VVmr, 0
	}
	if c.Used == 0 {
		c.Used = c.Cells
	}
	return c
}

// checkStack lists what cannot be true in a resolved spec.
func checkStack(c *StackSpec) problems {
	var p problems
	checkSigns(&p, &c.CellSpec)
	checkVoltages(&p, &c.CellSpec, max(c.Used, 1))
	checkCurrents(&p, &c.CellSpec, true)
	checkSupply(&p, &c.CellSpec)
	p.add(c.Cells < 1 || c.Cells > MaxCells, "%d cells: a stack protector has 1 to %d sense inputs", c.Cells, MaxCells)
	p.add(c.Used < 0 || c.Used > c.Cells, "the strap selects %d of %d cells", c.Used, c.Cells)
	p.add(needsLoadGone(&c.CellSpec) && !given(c.VOcr) && !given(c.OcrRatio), "V_vmr is not given: it is how vm sees that the load is gone")
	checkPins(&p, c)
	checkTemperature(&p, c)
	checkWires(&p, c)
	p.balance(c.Bal)
	p.add(given(c.Bal.VBal) && !(c.RBal > 0), "R_bal is %g: give the resistance of a balance switch", c.RBal)
	return p
}

// needsLoadGone reports whether a part looks for the load to be gone.
func needsLoadGone(c *CellSpec) bool {
	return given(lowestStage(c)) && c.OcRelease == OcLoadOff || c.OvLoad
}

func checkPins(p *problems, c *StackSpec) {
	p.atLeastZero(
		named{"k of OV", c.KOv}, named{"k of UV", c.KUv}, named{"k of OC1", c.KOc1}, named{"k of OC2", c.KOc2},
		named{"capacitance at tov", c.CTov}, named{"capacitance at tuv", c.CTuv}, named{"capacitance at toc", c.CToc},
		named{"t_open", c.TOpen}, named{"R_ctl", c.RCtl}, named{"t_ctl", c.TCtl},
	)
}

func checkTemperature(p *problems, c *StackSpec) {
	p.atLeastZero(
		named{"CC", c.CC}, named{"CH", c.CH}, named{"DH", c.DH}, named{"T_s", c.TSample},
		named{"sampling window", c.TWindow}, named{"R of tr", c.RTr},
	)
	for _, r := range []named{{"CC", c.CC}, {"CCr", c.CCr}, {"CH", c.CH}, {"CHr", c.CHr}, {"DH", c.DH}, {"DHr", c.DHr}} {
		p.add(r.value > 1, "%s is %g: V(ts)/V(tr) cannot exceed 1", r.name, r.value)
	}
	p.add(given(c.CC) && !(c.CCr < c.CC && c.CCr > 0), "CCr %g is not between 0 and CC %g", c.CCr, c.CC)
	p.add(given(c.CH) && !(c.CHr > c.CH), "CHr %g is not above CH %g", c.CHr, c.CH)
	p.add(given(c.DH) && !(c.DHr > c.DH), "DHr %g is not above DH %g", c.DHr, c.DH)
	p.add(given(c.CC) && given(c.CH) && c.CH >= c.CC, "CH %g is not below CC %g: hot is the lower ratio", c.CH, c.CC)
	p.add(given(c.TSample) && c.TSample <= or(c.TWindow, window), "T_s %g s is not longer than its window", c.TSample)
}

func checkWires(p *problems, c *StackSpec) {
	p.atLeastZero(named{"I_s", c.IS}, named{"I_ow", c.IOw}, named{"T_ow", c.TOw}, named{"open-wire test time", c.TOwOn})
	p.add(given(c.IOw) && !(c.TOw > 0), "T_ow is %g: an open-wire test needs its period", c.TOw)
	p.add(given(c.IOw) && !given(c.VOw), "V_ow is not given: it is how an open wire is seen")
}

// balance complains about a balancing rule.
func (p *problems) balance(b Bal) {
	p.atLeastZero(
		named{"V_bal", b.VBal}, named{"t_b", b.TBal}, named{"t_br", b.TBalr},
		named{"Δ", b.Delta}, named{"T_s of balancing", b.Sense}, named{"pause", b.Pause},
	)
	if !given(b.VBal) {
		return
	}
	p.add(!(b.VBalr < b.VBal && b.VBalr > 0), "V_balr %g V is not between 0 and V_bal %g V", b.VBalr, b.VBal)
	p.add(given(b.Sense) && b.Sense <= or(b.Pause, window), "T_s of balancing %g s is not longer than its pause", b.Sense)
}
