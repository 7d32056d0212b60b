package elaborate

import (
	"math"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/circuit/protector"
)

func (q piece) stackProtector(u *Unit) {
	f := q.fig
	cell, t := q.cellSpec()
	base := protector.StackSpec{
		CellSpec: cell, Cells: f.sheet.Cells(), Used: q.usedCells(), VVmr: f.zero("v_vmr"),
		KOv: f.zero("k_ov"), KUv: f.zero("k_uv"), KOc1: f.zero("k_oc1"), KOc2: f.zero("k_oc2"),
		CTov: q.delayFarads("tov"), CTuv: q.delayFarads("tuv"), CToc: q.delayFarads("toc"), TOpen: f.zero("t_open"),
		IS: f.zero("i_s"), IOw: f.zero("i_ow"), TOw: f.zero("t_ow"), VOw: f.zero("v_ow"),
		RBal: f.zero("r_bal"), BalPins: f.sheet.HasPin("bal1"),
		TCtl: f.zero("t_ctl"), RCtl: f.zero("r_ctl"), Ctl: q.ctl(),
	}
	q.heat(&base)
	if base.Bal = f.bal(); base.Bal.VBal > 0 {
		base.Bal.OnCharge, base.Bal.Delta = f.yes("bal_on_charge"), f.zero("v_bal_delta")
	}
	at := func(kelvin float64) protector.StackSpec {
		s := base
		s.CellSpec = t.at(base.CellSpec, kelvin)
		return s
	}
	now := at(q.w.opt.Kelvin)
	u.StackSpec = &now
	u.At = func(kelvin float64) (protector.Machine, error) { return protector.NewStack(at(kelvin)) }
}

// heat sets the temperature limits of a part that has the pins for them, and
// uses them.
func (q piece) heat(s *protector.StackSpec) {
	f := q.fig
	if q.part.Pin("ts") == board.NoNet || q.part.Pin("tr") == board.NoNet {
		return
	}
	h := f.zero("ts_h")
	s.CC, s.CH, s.DH = f.zero("ts_cc"), f.zero("ts_ch"), f.zero("ts_dh")
	s.CCr, s.CHr, s.DHr = s.CC-h, s.CH+h, s.DH+h
	s.TSample, s.TWindow, s.RTr = f.zero("t_ts"), f.zero("t_look"), f.zero("r_tr")
}

// ctl is how a part listens to its upper neighbour. Inputs that the board
// leaves out are taken as strapped to silence.
func (q piece) ctl() protector.Ctl {
	if !hasPin(q.part, "ctl_d") && !hasPin(q.part, "ctl_c") {
		return protector.CtlNone
	}
	if q.fig.rule("ctl") == "open" {
		return protector.CtlOpen
	}
	return protector.CtlPulled
}

// usedCells is how many cells the wiring uses: sense inputs above that are
// joined to the one below, as one does with a stack of fewer cells. 0 is all.
func (q piece) usedCells() int {
	n := q.fig.sheet.Cells()
	for n > 2 && q.samePin(catalog.SenseInput(n), catalog.SenseInput(n-1)) {
		n--
	}
	return n
}

func (q piece) samePin(a, b string) bool {
	net := q.part.Pin(a)
	return net != board.NoNet && net == q.part.Pin(b)
}

// delayFarads is the capacitance on a delay pin: 0 where the pin is open, +Inf
// where it is shorted to vss. The capacitors' tolerance is chosen like that of
// any other part.
func (q piece) delayFarads(pin string) float64 {
	net, vss := q.part.Pin(pin), q.part.Pin("vss")
	if net == board.NoNet {
		return 0
	}
	if net == vss {
		q.w.warn(DelayShorted, q.part.Place, "put the delay's capacitor between the pin and vss",
			"pin %s.%s is on the net of vss: its delay never ends", q.part.Ref, pin)
		return math.Inf(1)
	}
	total := 0.
	for i := range q.w.board.Parts {
		if q.w.kind(i) == catalog.Capacitor && q.w.joins(i, net, vss) {
			total += q.w.piece(i, 0, 1, "").value("c") * float64(max(q.w.board.Parts[i].Count, 1))
		}
	}
	if total == 0 {
		q.w.warn(DelayOpen, q.part.Place, "put the delay's capacitor between the pin and vss",
			"pin %s.%s has no capacitor to vss: its delay is that of an open pin", q.part.Ref, pin)
	}
	return total
}

// joins reports whether a two-pin part lies between two nets.
func (w *work) joins(i int, a, b board.NetID) bool {
	p := &w.board.Parts[i]
	if w.opt.Without[p.Ref] || len(p.Pins) < 2 {
		return false
	}
	x, y := p.Pins[0].Net, p.Pins[1].Net
	return x == a && y == b || x == b && y == a
}
