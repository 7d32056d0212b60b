package simulated

import (
	"context"
	"math"
	"slices"

	"cupel/internal/circuit/protector"
	"cupel/internal/elaborate"
	"cupel/internal/trial/rig"
)

// Cells of the two chemistries that the thresholds of a board tell apart: the
// voltage half full and full, and what an overcharge threshold lies above.
// Common practice, no source.
const (
	layeredMiddle, layeredFull     = 3.70, 4.20
	phosphateMiddle, phosphateFull = 3.30, 3.50
	phosphateBelow                 = 3.90
)

// chemistry sets the cell voltages that the options leave open, by the highest
// overcharge threshold on the board.
func (r *Rig) chemistry() {
	middle, full := layeredMiddle, layeredFull
	ov := 0.0
	for _, u := range r.circuit.Units {
		ov = math.Max(ov, specOf(u).VOv)
	}
	if ov > 0 && ov < phosphateBelow {
		middle, full = phosphateMiddle, phosphateFull
	}
	if r.opt.CellMiddle == 0 {
		r.opt.CellMiddle = middle
	}
	if r.opt.CellFull == 0 {
		r.opt.CellFull = full
	}
}

// specOf returns what a cell and a stack protector have in common; the zero
// spec for any other part.
func specOf(u elaborate.Unit) protector.CellSpec {
	switch {
	case u.CellSpec != nil:
		return *u.CellSpec
	case u.StackSpec != nil:
		return u.StackSpec.Resolve().CellSpec
	}
	return protector.CellSpec{}
}

// balanceOf returns the balancing rule of a balancer or a stack protector.
func balanceOf(u elaborate.Unit) protector.Bal {
	switch {
	case u.BalancerSpec != nil:
		return u.BalancerSpec.Bal
	case u.StackSpec != nil:
		return u.StackSpec.Bal
	}
	return protector.Bal{}
}

// learn fills in what the rig can do, from the board and the sheets.
func (r *Rig) learn() error {
	p := r.ports
	a := rig.Abilities{
		Board: r.board.Name, Cells: r.board.Cells, RatedAmps: r.opt.RatedAmps,
		Short: true, Balances: len(r.circuit.Bleeds) > 0, Thermistor: len(r.circuit.Sensors) > 0,
		Restless: r.run.Restless, ForcedPorts: true, CellFull: r.opt.CellFull, CellMiddle: r.opt.CellMiddle, CellOhms: r.opt.CellOhms,
		Settle: 3e-3, Assumed: r.circuit.Assumed,
		Separate: p.chargeMinus != p.minus || p.chargePlus != p.plus,
	}
	top := p.taps[len(p.taps)-1]
	a.Discharge = p.minus != 0 || p.plus != top
	a.Charge = p.chargeMinus != 0 || p.chargePlus != top
	if !a.Discharge {
		a.Missing = "the board has no pad P− (or P+) behind a switch"
	} else if !a.Charge {
		a.Missing = "the board has no pad C− or P− behind a switch"
	}
	for _, b := range r.circuit.Banks {
		a.Banks = append(a.Banks, b.Name)
	}
	if r.circuit.Middle != 0 {
		a.Middle = p.names[r.circuit.Middle]
	}
	for _, u := range r.circuit.Units {
		learnTimes(&a.Times, u)
		learnHints(&a.Hints, u)
		r.spare(&a, u)
	}
	for _, b := range r.circuit.Banks {
		a.Times.Filter = math.Max(a.Times.Filter, b.Drift)
	}
	r.learnParts(&a)
	if len(r.circuit.Sensors) > 0 {
		t := r.circuit.Sensors[0].Params()
		a.NTC = rig.NTC{Ohms: t.OhmsAt(t.Nominal), Kelvin: t.Nominal, Beta: t.Beta}
	}
	r.can = a
	r.learnStages()
	return nil
}

// belowFiring is how far below a second-level detector's threshold a cell is
// taken at most; more than its filter drops, our own choice.
const belowFiring = 20e-3 // V

// spare keeps trials below where a second-level detector fires its fuse.
func (r *Rig) spare(a *rig.Abilities, u elaborate.Unit) {
	if u.SecondarySpec == nil || r.opt.Actuate {
		return
	}
	if v := u.SecondarySpec.VOv - belowFiring; a.CellLimit == 0 || v < a.CellLimit {
		a.CellLimit = v
	}
}

// learnTimes takes the longest delays.
func learnTimes(t *rig.Times, u elaborate.Unit) {
	s, b := specOf(u), balanceOf(u)
	up := func(to *float64, values ...float64) {
		for _, v := range values {
			if v > *to && !math.IsInf(v, 0) {
				*to = v
			}
		}
	}
	up(&t.Overcharge, s.TOv)
	up(&t.Overdischarge, s.TUv)
	up(&t.Overcurrent, s.TOc1, s.TOc2)
	up(&t.Short, s.TSc)
	up(&t.ChargeOvercurrent, s.TCoc)
	up(&t.Release, s.TOvr, s.TUvr, s.TOcr, s.TRetry, s.TWake, s.TStart)
	up(&t.Balance, b.TBal, b.TBalr)
	up(&t.Sampling, b.Sense)
	up(&t.Filter, u.Filter)
	if u.StackSpec != nil {
		up(&t.Temperature, u.StackSpec.TSample)
		up(&t.Sampling, u.StackSpec.TSample, u.StackSpec.TOw)
	}
}

// learnHints takes the lowest of what acts upward and the highest of what acts
// downward.
func learnHints(h *rig.Hints, u elaborate.Unit) {
	s, b := specOf(u), balanceOf(u)
	lower := func(to *float64, v float64) {
		if v > 0 && (*to == 0 || v < *to) {
			*to = v
		}
	}
	lower(&h.Overcharge, s.VOv)
	lower(&h.OverchargeRelease, s.VOvr)
	lower(&h.BalanceStart, b.VBal)
	lower(&h.BalanceStop, b.VBalr)
	h.Overdischarge = math.Max(h.Overdischarge, s.VUv)
	h.OverdischargeRelease = math.Max(h.OverdischargeRelease, s.VUvr)
}

// learnParts lists the protectors by cell and finds the one that judges the
// load current: its sense pin is not tied to its own ground.
func (r *Rig) learnParts(a *rig.Abilities) {
	us := slices.Clone(r.circuit.Units)
	slices.SortStableFunc(us, func(x, y elaborate.Unit) int { return lowest(x) - lowest(y) })
	for _, u := range us {
		if u.CellSpec == nil && u.StackSpec == nil {
			continue
		}
		a.Supplies = append(a.Supplies, u.Part)
		cs, _ := r.pin(u.Part, "cs")
		vss, _ := r.pin(u.Part, "vss")
		if a.Sense == "" && cs != vss && specOf(u).VOc1 > 0 {
			a.Sense = u.Part
		}
	}
}

func lowest(u elaborate.Unit) int {
	if len(u.Cells) == 0 {
		return math.MaxInt32
	}
	return slices.Min(u.Cells)
}

// learnStages expects the current of each overcurrent stage from what the
// sensing part sees of one ampere. A board that does not conduct at rest gives
// no hint.
func (r *Rig) learnStages() {
	if r.can.Sense == "" || !r.can.Discharge {
		return
	}
	at := r.Mark()
	defer r.Rewind(at)
	ohms, err := r.sensedOhms()
	if err != nil || !(ohms > 0) || ohms > 1 {
		return
	}
	for _, u := range r.circuit.Units {
		if s := specOf(u); u.Part == r.can.Sense {
			for _, v := range []float64{s.VOc1, s.VOc2, s.VSc} {
				if v > 0 {
					r.can.Hints.LoadAmps = append(r.can.Hints.LoadAmps, v/ohms)
				}
			}
			if s.VCoc > 0 {
				r.can.Hints.ChargeAmps = s.VCoc / ohms
			}
		}
	}
}

// sensedOhms is the sense voltage for one ampere of load.
func (r *Rig) sensedOhms() (float64, error) {
	if err := r.SetLoad(rig.Load{Kind: rig.ConstantCurrent, Value: 1}); err != nil {
		return 0, err
	}
	if err := r.Dwell(context.Background(), 1e-3); err != nil {
		return 0, err
	}
	v, err := r.Read(rig.Point{Kind: rig.SenseVolts, Part: r.can.Sense})
	return v.Value, err
}
