package protector

// NewCell makes a single-cell protector. Its pins are vdd, vss, cs, do and co.
// Its flags, all independent latches, are BO brown-out, OV overcharge, UV
// overdischarge, PD powered down, OC1 and OC2 discharge overcurrent, SC load
// short, COC charge overcurrent, Z dead cell; behind them which switch of each
// output conducts.
//
// On an upper cell of a chain cs stands on vss: m is 0 for ever, and a part
// with power-down then burns v/R_vmd through its pull after an overdischarge
// and never powers down, since m never passes V_pd.
func NewCell(spec CellSpec) (Machine, error) {
	if err := checkCell(&spec).err("cell protector"); err != nil {
		return nil, err
	}
	b := newBuilder([]string{"vdd", "vss", "cs", "do", "co"})
	wires := wiring{vdd: 0, vss: 1, sense: 2, load: 2, do: 3, co: 4, cells: []Pin{1, 0}}
	p := b.protector(spec, wires)
	p.finish(b)
	return p, nil
}

// checkCell lists what cannot be true in a spec.
func checkCell(c *CellSpec) problems {
	var p problems
	checkSigns(&p, c)
	checkVoltages(&p, c, 1)
	checkCurrents(&p, c, given(c.OcrRatio))
	checkSupply(&p, c)
	p.add(c.OvLoad && !given(c.VOc1), "ov_load needs V_oc1: it is how a load is seen")
	lowest := lowestStage(c)
	p.add(given(lowest) && c.OcRelease == OcLoadOff && !given(c.OcrRatio) && c.VOcr >= lowest,
		"V_ocr %g V is not below the lowest overcurrent stage, %g V", c.VOcr, lowest)
	return p
}

func checkSigns(p *problems, c *CellSpec) {
	p.atLeastZero(
		named{"V_ov", c.VOv}, named{"V_uv", c.VUv}, named{"V_oc1", c.VOc1}, named{"V_oc2", c.VOc2}, named{"V_sc", c.VSc},
		named{"V_coc", c.VCoc}, named{"V_min", c.VMin}, named{"h", c.H}, named{"V_0", c.V0}, named{"h of V_0", c.H0},
		named{"V_0cha", c.V0cha}, named{"V_cs,max", c.VCsMax}, named{"I", c.I}, named{"I_pd", c.IPd},
		named{"I in brown-out", c.IBo}, named{"cs leakage", c.ICs}, named{"R_vms", c.RVms}, named{"R_vmd", c.RVmd},
		named{"t_ov", c.TOv}, named{"t_ovr", c.TOvr}, named{"t_uv", c.TUv}, named{"t_uvr", c.TUvr}, named{"t_pd", c.TPd},
		named{"t_wake", c.TWake}, named{"t_oc1", c.TOc1}, named{"t_oc2", c.TOc2}, named{"t_sc", c.TSc}, named{"t_ocr", c.TOcr},
		named{"t_retry", c.TRetry}, named{"t_coc", c.TCoc}, named{"t_cocr", c.TCocr}, named{"t_bo", c.TBo}, named{"t_start", c.TStart},
	)
	p.finite(
		named{"V_ov", c.VOv}, named{"V_ovr", c.VOvr}, named{"V_uv", c.VUv}, named{"V_uvr", c.VUvr},
		named{"V_oc1", c.VOc1}, named{"V_oc2", c.VOc2}, named{"V_sc", c.VSc}, named{"V_ocr", c.VOcr}, named{"V_coc", c.VCoc},
		named{"V_chd", c.VChd}, named{"V_min", c.VMin}, named{"V_0", c.V0}, named{"I", c.I}, named{"I_pd", c.IPd}, named{"I in brown-out", c.IBo},
	)
	p.add(!(c.Roh > 0), "R_oh is %g: give the resistance of the output to its high rail", c.Roh)
	p.add(!(c.Rol > 0), "R_ol is %g: give the resistance of the output to its low rail", c.Rol)
}

// checkVoltages takes the supply as cells in series, each of which may sink to
// V_uv before the part may fall silent.
func checkVoltages(p *problems, c *CellSpec, cells int) {
	if given(c.VOv) {
		p.add(!given(c.VOvr), "V_ovr is not given: an overcharge could never end")
		p.add(c.VOvr >= c.VOv, "V_ovr %g V is not below V_ov %g V", c.VOvr, c.VOv)
	}
	p.rising(named{"V_uv", c.VUv}, named{"V_ov", c.VOv})
	least := float64(cells) * c.VUv
	p.add(given(c.VMin) && given(c.VUv) && c.VMin+or(c.H, 0) >= least, "V_min %g V plus its hysteresis %g V is not below V_uv, %g V of supply", c.VMin, c.H, least)
	if given(c.VUv) {
		p.add(c.UvAuto && !(c.VUvr > c.VUv), "V_uvr %g V is not above V_uv %g V", c.VUvr, c.VUv)
		p.add(!c.UvAuto && !given(c.VChd), "an overdischarge could never end: give V_chd or uv_auto")
	}
	p.add(c.PowerDown && !given(c.VUv), "power_down needs V_uv: only an overdischarge powers down")
	ratio := or(c.PdRatio, 0.5)
	p.add(c.PowerDown && !(ratio > 0 && ratio < 1), "V_pd is %g·v: the ratio must lie between 0 and 1", ratio)
	p.add(c.VChd > 0, "V_chd is %g V: a charger pulls cs below vss, so it must be negative", c.VChd)
}

// checkCurrents is told whether a stage's condition and its release can hold at
// once: they can unless both are plain levels of the same pin.
func checkCurrents(p *problems, c *CellSpec, overlap bool) {
	p.rising(named{"V_oc1", c.VOc1}, named{"V_oc2", c.VOc2}, named{"V_sc", c.VSc})
	lowest := lowestStage(c)
	if given(lowest) {
		p.add(c.OcRelease == OcLoadOff && overlap && !given(c.TOcr) && instantStage(c), "t_ocr and a stage's delay are both 0: where both conditions hold the part would switch infinitely often")
		p.add(c.OcRelease == OcRetry && !(c.TRetry > 0), "t_retry is %g: a retry needs a time", c.TRetry)
		p.add(c.OcRelease == OcChargerOn && !given(c.VChd), "an overcurrent could never end: its release needs V_chd")
	}
	p.add(given(c.VCoc) && c.VCocr >= c.VCoc, "V_cocr %g V is not below V_coc %g V", c.VCocr, c.VCoc)
}

func checkSupply(p *problems, c *CellSpec) {
	p.add(c.Start == StartNeedsCharger && !c.PowerDown, "a start that needs a charger needs power_down")
	p.add(c.ZeroVolt != ZeroVoltNone && !given(c.V0), "V_0 is not given, but a dead cell is to be treated")
	p.add(c.ZeroVolt == ZeroVoltAllow && !given(c.V0cha), "V_0cha is not given: charging a dead cell needs the least charger voltage")
}

// lowestStage is the lowest discharge overcurrent threshold; 0 where there is
// none.
func lowestStage(c *CellSpec) float64 {
	for _, v := range []float64{c.VOc1, c.VOc2, c.VSc} {
		if given(v) {
			return v
		}
	}
	return 0
}

// instantStage reports an overcurrent stage that acts at once.
func instantStage(c *CellSpec) bool {
	for _, st := range [][2]float64{{c.VOc1, c.TOc1}, {c.VOc2, c.TOc2}, {c.VSc, c.TSc}} {
		if given(st[0]) && !given(st[1]) {
			return true
		}
	}
	return false
}
