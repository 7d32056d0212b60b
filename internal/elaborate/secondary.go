package elaborate

import (
	"cupel/internal/circuit"
	"cupel/internal/circuit/protector"
)

// secondary makes the unit of a second-level detector. Sense inputs joined to
// the one below are not used, as with a stack protector.
func (q piece) secondary(u *Unit) {
	f := q.fig
	base := protector.SecondarySpec{
		Cells: q.usedCells(),
		VOv:   f.get("v_ov"), VOvr: f.zero("v_ovr"), TOv: f.zero("t_ov"), TOvr: f.zero("t_ovr"),
		Latch: f.yes("latch"),
		VMin:  f.zero("v_min"), H: f.zero("h"), TBo: f.zero("t_bo"), TStart: f.zero("t_start"),
		Roh: f.get("r_oh"), Rol: f.get("r_ol"), I: f.zero("i_dd"), Timer: timer[f.rule("timer")],
	}
	tempco := f.zero("v_ov_tempco")
	at := func(kelvin float64) protector.SecondarySpec {
		s, d := base, tempco*(kelvin-circuit.RoomKelvin)
		s.VOv, s.VOvr = s.VOv+d, s.VOvr+d
		return s
	}
	now := at(q.w.opt.Kelvin)
	u.SecondarySpec = &now
	u.At = func(kelvin float64) (protector.Machine, error) { return protector.NewSecondary(at(kelvin)) }
}
