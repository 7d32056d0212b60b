package elaborate

import (
	"math"

	"cupel/internal/circuit"
	"cupel/internal/circuit/protector"
)

// thermal is what of a protector moves with temperature.
type thermal struct {
	ov  float64 // V/K, of v_ov and v_ovr; of v_bal and v_balr
	cs  float64 // K that double the leakage of cs
	ics float64 // A at 25 °C
}

// cellSpec reads what single-cell and stack protectors have in common, at
// 25 °C.
func (q piece) cellSpec() (protector.CellSpec, thermal) {
	f := q.fig
	s := protector.CellSpec{
		VOv: f.get("v_ov"), VOvr: f.get("v_ovr"), TOv: f.zero("t_ov"), TOvr: f.zero("t_ovr"),
		OvRelease: ovRelease[f.rule("ov_release")], OvLoad: f.yes("ov_load"),
		VUv: f.get("v_uv"), VUvr: f.get("v_uvr"), TUv: f.zero("t_uv"), TUvr: f.zero("t_uvr"),
		UvAuto: f.yes("uv_auto"), UvLoadOff: f.yes("uv_load_off"),
		PowerDown: f.yes("power_down"), PdRatio: f.zero("v_pd"), TPd: f.zero("t_pd"), TWake: f.zero("t_wake"),
		VOc1: f.zero("v_oc1"), TOc1: f.zero("t_oc1"), VOc2: f.zero("v_oc2"), TOc2: f.zero("t_oc2"),
		VSc: f.zero("v_sc"), TSc: f.zero("t_sc"),
		OcRelease: ocRelease[f.rule("oc_release")], TOcr: f.zero("t_ocr"), TRetry: f.zero("t_retry"),
		OcOffInOv: f.yes("oc_off_in_ov"),
		VCoc:      f.zero("v_coc"), TCoc: f.zero("t_coc"), VCocr: f.zero("v_cocr"), TCocr: f.zero("t_cocr"),
		VChd: f.zero("v_chd"),
		VMin: f.zero("v_min"), H: f.zero("h"), TBo: f.zero("t_bo"), TStart: f.zero("t_start"),
		Brownout: brownout[f.rule("brownout")], Start: start[f.rule("start")],
		ZeroVolt: zeroVolt[f.rule("zero_volt")], V0: f.zero("v_0"), V0cha: f.zero("v_0cha"),
		Roh: f.get("r_oh"), Rol: f.get("r_ol"), CoLow: coLow[f.rule("co_low")],
		RVms: f.zero("r_vms"), RVmd: f.zero("r_vmd"),
		VCsMax: orZero(f.sheet.Limit("v_cs").Nominal()),
		I:      f.zero("i_dd"), IPd: f.zero("i_pd"), Timer: timer[f.rule("timer")],
	}
	keepOrder(&s)
	return s, thermal{ov: f.zero("v_ov_tempco"), cs: leakDouble, ics: f.at25("i_cs", "")}
}

// keepOrder keeps a release below its detection, and the stages of overcurrent
// apart, where limits that overlap on paper were picked one by one: in a real
// part they come from one reference and never cross.
func keepOrder(s *protector.CellSpec) {
	const apart = 0.01
	if nominal := s.VOv * (1 - apart/4); s.VOvr >= nominal && s.VOvr < s.VOv*(1+apart) {
		s.VOvr = nominal
	}
	s.VOc2 = above(s.VOc2, s.VOc1, apart)
	s.VSc = above(s.VSc, math.Max(s.VOc1, s.VOc2), apart)
}

// above is v, moved to just over low where it lies up to a third below it. A
// sheet whose stages are further out of order is reported, not mended.
func above(v, low, apart float64) float64 {
	if v > low*2/3 && v < low*(1+apart) {
		return low * (1 + apart)
	}
	return v
}

// at is the spec at a temperature.
func (t thermal) at(s protector.CellSpec, kelvin float64) protector.CellSpec {
	d := kelvin - circuit.RoomKelvin
	s.VOv += t.ov * d
	s.VOvr += t.ov * d
	s.ICs = t.ics * math.Exp2(d/t.cs)
	return s
}

func (f figures) yes(rule string) bool { return f.rule(rule) == "yes" }

// The words of a sheet's rules as a machine takes them.
var (
	ovRelease = map[string]protector.OvRelease{"charger removed": protector.OvChargerGone, "voltage": protector.OvVoltage}
	ocRelease = map[string]protector.OcRelease{"load off": protector.OcLoadOff, "retry": protector.OcRetry, "charger": protector.OcChargerOn}
	brownout  = map[string]protector.Brownout{"high impedance": protector.BrownoutHighZ, "low": protector.BrownoutLow, "hold": protector.BrownoutHold}
	start     = map[string]protector.Start{"normal": protector.StartNormal, "needs charger": protector.StartNeedsCharger}
	zeroVolt  = map[string]protector.ZeroVolt{"ignore": protector.ZeroVoltNone, "inhibit": protector.ZeroVoltInhibit, "allow": protector.ZeroVoltAllow}
	coLow     = map[string]protector.CoLow{"cs": protector.CoLowCs, "vss": protector.CoLowVss, "open drain": protector.CoLowOpenDrain}
	timer     = map[string]protector.Timer{"reset": protector.TimerReset, "decay": protector.TimerDecay}
)

func (q piece) cellProtector(u *Unit) {
	f := q.fig
	base, t := q.cellSpec()
	base.VOcr = f.zero("v_ocr")
	if below := f.zero("v_ocr_below"); below > 0 {
		base.VOcr, base.OcrRatio = -below, 1 // m < v − below
	}
	now := t.at(base, q.w.opt.Kelvin)
	u.CellSpec = &now
	u.At = func(kelvin float64) (protector.Machine, error) { return protector.NewCell(t.at(base, kelvin)) }
}

func (q piece) balancer(u *Unit) {
	f := q.fig
	base := protector.BalancerSpec{
		Bal:  f.bal(),
		VMin: f.zero("v_min"), H: f.zero("h"), TBo: f.zero("t_bo"), TStart: f.zero("t_start"),
		Roh: f.get("r_oh"), Rol: f.get("r_ol"), I: f.zero("i_dd"),
	}
	if f.rule("sense") == "continuous" {
		base.Sense = 0
	}
	tempco := f.zero("v_bal_tempco")
	at := func(kelvin float64) protector.BalancerSpec {
		s, d := base, tempco*(kelvin-circuit.RoomKelvin)
		s.VBal, s.VBalr = s.VBal+d, s.VBalr+d
		return s
	}
	now := at(q.w.opt.Kelvin)
	u.BalancerSpec = &now
	u.At = func(kelvin float64) (protector.Machine, error) { return protector.NewBalancer(at(kelvin)) }
}

// bal is the balancing rule of a balancer or a stack protector.
func (f figures) bal() protector.Bal {
	v := f.zero("v_bal")
	if v == 0 {
		return protector.Bal{}
	}
	return protector.Bal{
		VBal: v, VBalr: v - f.zero("v_bal_h"), TBal: f.zero("t_b"), TBalr: f.zero("t_br"),
		Sense: f.zero("t_sample"), Pause: f.zero("t_look"),
	}
}
