package protector

import "fmt"

// NewStack makes a stack protector. Its pins are vdd, v1 … vn, vss, cs, vm, do,
// co, tov, tuv, toc, tr, ts, where Ctl asks for them ctl_d, ctl_c, do_out,
// co_out, and where BalPins does bal1 … baln. Its flags are those of a
// single-cell protector, OV, UV and BAL once a cell, and CH, CC, DH
// temperature, CTLD, CTLC the neighbour's word, OW open wire.
func NewStack(spec StackSpec) (Machine, error) {
	spec = spec.Resolve()
	if err := checkStack(&spec).err("stack protector"); err != nil {
		return nil, err
	}
	b := newBuilder([]string{"vdd"})
	taps := []Pin{0} // vss, once it is known
	for k := range spec.Cells {
		taps = append(taps, b.pin(fmt.Sprintf("v%d", k+1)))
	}
	w := wiring{vss: b.pin("vss"), sense: b.pin("cs"), load: b.pin("vm"), do: b.pin("do"), co: b.pin("co")}
	taps[0] = w.vss
	w.cells = taps[:spec.Used+1]
	p := b.protector(spec.CellSpec, w)
	p.stack = &stackParts{}
	b.delayPins(&spec, w.vss)
	b.temperature(&p.stack.heat, &spec, w)
	b.cascade(&p.stack.ctl, &spec, w)
	b.openWire(&p.stack.wires, &spec, taps)
	b.balance(p, &spec, w)
	p.stack.held = b.held
	p.finish(b)
	return p, nil
}

// stackParts is what a stack protector has beyond a single-cell one.
type stackParts struct {
	held  []int // links that always conduct
	heat  heat
	ctl   cascade
	wires openWire
	bal   bleeders
}

// delayPins ties the delay pins to vss: the part keeps their capacitors empty
// between delays. The ramp of a running delay is not modelled, only its length.
func (b *builder) delayPins(c *StackSpec, vss Pin) {
	const rHeld = 10e3 // Ω; assumed: it settles a capacitor well within any delay it sets
	for _, d := range []struct {
		name string
		k    float64
	}{{"tov", c.KOv}, {"tuv", c.KUv}, {"toc", c.KOc1 + c.KOc2}} {
		pin := b.pin(d.name)
		if given(d.k) {
			b.always(b.link(d.name+" held", pin, vss, rHeld))
		}
	}
}

// sensing does what is due with the sense inputs and reports whether cells can
// be sensed at this instant: not while bleeds or a test current disturb them,
// but at the end of a pause.
func (p *protector) sensing(w *work) bool {
	if p.stack == nil || w.instant {
		return true
	}
	quiet := p.testWires(w)
	return p.pauseBleeds(w) && quiet
}

// stackWork keeps what only a stack protector has.
func (p *protector) stackWork(w *work, sensed bool) {
	p.stack.heat.sample(w)
	p.stack.ctl.listen(w)
	p.stack.wires.schedule(w)
	p.balance(w, sensed)
}

func (p *protector) stackOutputs(s *State, links []bool, sinks []float64) {
	st := p.stack
	for _, i := range st.held {
		links[i] = true
	}
	if st.heat.link >= 0 {
		links[st.heat.link] = s.Has(flagSample)
	}
	st.ctl.speak(s, links)
	st.wires.draw(s, sinks)
	st.bal.outputs(s, links)
}
