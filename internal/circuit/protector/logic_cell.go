package protector

// logic tells a single-cell or stack protector as latches.
func (p *protector) logic() Logic {
	var t telling
	t.brownOut(p.vMin, p.vAlive, p.TBo, p.TStart)
	ovs, uvs := p.tellCells(&t)
	p.tellCurrents(&t, ovs, uvs)
	do := append(t.any(uvs...), t.any("OC1", "OC2", "SC")...)
	co := append(t.any(ovs...), t.any("COC")...)
	if p.stack != nil {
		p.stack.ctl.tell(&t)
		do, co = append(do, t.any("CTLD")...), append(co, t.any("CTLC")...)
		p.tellBleeds(&t)
	}
	for _, o := range []struct {
		out *output
		off Any
	}{{&p.doOut, do}, {&p.coOut, co}} {
		d := Drive{High: o.out.linkHigh, Low: o.out.linkLow, Off: o.off}
		if p.Brownout == BrownoutLow {
			d.Off = append(d.Off, t.any("BO")...)
		} else {
			d.Open = t.any("BO")
		}
		t.Drives = append(t.Drives, d)
	}
	if p.stack != nil {
		p.stack.ctl.tellSpeech(&t, do, co)
		for _, i := range p.stack.held {
			t.Links = append(t.Links, Follow{i, Any{{}}})
		}
	}
	t.follow(p.pullVss, t.any("OC1", "OC2", "SC"))
	t.follow(p.pullVdd, t.any(uvs...))
	p.tellMissing(&t)
	return t.Logic
}

func (t *telling) follow(link int, on Any) {
	if link >= 0 {
		t.Links = append(t.Links, Follow{link, on})
	}
}

// tellCells adds overcharge and overdischarge of every cell.
func (p *protector) tellCells(t *telling) (ovs, uvs []string) {
	for k := range p.cells {
		c := &p.cells[k]
		ov, uv := p.flagNames[flagOV(k)], p.flagNames[flagUV(k)]
		if c.ov >= 0 {
			l := Latch{Name: ov, Set: Any{{yes(c.ov)}}, SetAfter: p.TOv, Clear: Any{{no(c.ovr)}}, ClearAfter: p.TOvr}
			if p.mChd >= 0 && p.OvRelease != OvVoltage {
				l.Clear = l.Clear.and(yes(p.mChd))
			}
			if p.OvLoad && p.mLoad >= 0 {
				l.Reset = Any{{yes(p.mLoad), no(c.ov)}}
			}
			t.add(l)
			ovs = append(ovs, ov)
		}
		if c.uv >= 0 {
			l := Latch{Name: uv, Set: Any{{no(c.uv)}}, SetAfter: p.TUv, ClearAfter: p.TUvr}
			if p.mChd >= 0 {
				l.Clear = append(l.Clear, All{no(p.mChd), yes(c.uv)})
			}
			if c.uvr >= 0 {
				auto := All{yes(c.uvr)}
				if p.mHalf >= 0 {
					auto = append(auto, no(p.mHalf))
				}
				l.Clear = append(l.Clear, auto)
			}
			t.add(l)
			uvs = append(uvs, uv)
		}
	}
	return ovs, uvs
}

// tellCurrents adds the overcurrents. Those of the discharge are numbered first:
// a retry clears all of them together.
func (p *protector) tellCurrents(t *telling, ovs, uvs []string) {
	var stages []string
	for i, st := range p.stages {
		if st.above < 0 {
			continue
		}
		set := append(All{yes(st.above)}, t.none(uvs...)...)
		if p.OcOffInOv && i < 2 {
			set = append(set, t.none(ovs...)...)
		}
		name := p.flagNames[flagOC1+i]
		t.add(Latch{Name: name, Set: Any{set}, SetAfter: st.delay})
		stages = append(stages, name)
	}
	for _, name := range stages {
		l := &t.Latches[t.number[name]]
		switch {
		case p.OcRelease == OcLoadOff && p.mOcr >= 0:
			l.Clear, l.ClearAfter = Any{{no(p.mOcr)}}, p.TOcr
		case p.OcRelease == OcChargerOn && p.mChd >= 0:
			l.Clear = Any{{no(p.mChd)}}
		}
	}
	if p.OcRelease == OcRetry {
		p.tellRetry(t, stages)
	}
	if p.cocOn >= 0 {
		set := append(All{no(p.cocOn)}, t.none(uvs...)...)
		clear := Any{{yes(p.cocStill)}}
		if p.stack != nil && p.mChd >= 0 {
			clear = clear.and(yes(p.mChd))
		}
		t.add(Latch{Name: p.flagNames[flagCOC], Set: Any{set}, SetAfter: p.TCoc, Clear: clear, ClearAfter: p.TCocr})
	}
}

// Retry is the name of the latch of the time that several stages share.
const Retry = "RETRY"

// tellRetry adds the one time that all stages share. It counts from the first
// stage that trips, and clears those that trip while it runs with it: a latch of
// its own, that stands until the last stage is cleared.
func (p *protector) tellRetry(t *telling, stages []string) {
	if len(stages) == 1 {
		l := &t.Latches[t.number[stages[0]]]
		l.Clear, l.ClearAfter = t.any(stages...), p.TRetry
		return
	}
	if len(stages) == 0 {
		return
	}
	t.add(Latch{Name: Retry, Set: t.any(stages...), SetAfter: p.TRetry, Clear: Any{t.none(stages...)}})
	for _, name := range stages {
		l := &t.Latches[t.number[name]]
		l.Reset = append(append(Any{}, l.Reset...), All{t.set(Retry)})
	}
}

// tell adds what the upper neighbour says.
func (x *cascade) tell(t *telling) {
	if x.mode == CtlNone {
		return
	}
	for _, c := range []struct {
		name       string
		comparator int
	}{{"CTLD", x.ctlD}, {"CTLC", x.ctlC}} {
		off, on := yes(c.comparator), no(c.comparator)
		if x.mode != CtlPulled {
			off, on = on, off
		}
		t.add(Latch{Name: c.name, Set: Any{{off}}, SetAfter: x.delay, Clear: Any{{on}}, ClearAfter: x.delay})
	}
}

// tellSpeech passes on what keeps DO and CO off; in a brown-out it is silent.
func (x *cascade) tellSpeech(t *telling, do, co Any) {
	if x.mode == CtlNone {
		return
	}
	awake := t.none("BO")
	for _, c := range []struct {
		link int
		off  Any
	}{{x.doOut, do}, {x.coOut, co}} {
		if x.mode == CtlOpen {
			on := append(All{}, awake...)
			for _, a := range c.off { // each is one latch
				on = append(on, Term{Comparator: -1, Latch: a[0].Latch, Not: true})
			}
			t.follow(c.link, Any{on})
			continue
		}
		t.follow(c.link, c.off.and(awake...))
	}
}

// tellBleeds adds the balance switches inside.
func (p *protector) tellBleeds(t *telling) {
	x := &p.stack.bal
	if !given(x.VBal) {
		return
	}
	for k := range p.cells {
		c := &p.cells[k]
		set := Any{{yes(c.bal)}}
		if x.above != nil {
			set = nil
			for _, i := range x.above[k] {
				set = append(set, All{yes(c.bal), yes(i)})
			}
		}
		if x.OnCharge {
			set = set.and(no(p.mChd))
		}
		name := p.flagNames[flagBAL(k)]
		t.add(Latch{Name: name, Set: set, SetAfter: or(x.TBal, 0), Clear: Any{{no(c.balr)}}, ClearAfter: or(x.TBalr, 0)})
		t.follow(x.switches[k], t.any(name))
	}
}

func (p *protector) tellMissing(t *telling) {
	t.misses(p.PowerDown, "power-down")
	t.misses(p.ZeroVolt != ZeroVoltNone, "the dead cell")
	t.misses(p.Brownout == BrownoutHold, "outputs held in a brown-out")
	t.misses(p.CellSpec.Start != StartNormal, "a start that needs a charger")
	t.misses(p.Timer == TimerDecay, "delays that run back")
	if p.stack != nil {
		t.misses(p.stack.heat.link >= 0, "the temperature")
		t.misses(given(p.stack.bal.Sense), "pauses of the bleeds")
		t.misses(p.stack.wires.iTest > 0, "the test for open wires")
	}
}
