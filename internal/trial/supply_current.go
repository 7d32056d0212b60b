package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// SupplyCurrent reads what the board takes from every cell and through every
// tap, at rest and after each trip.
type SupplyCurrent struct{}

// Word names the trial.
func (SupplyCurrent) Word() protection.Trial { return protection.SupplyCurrent }

// supplySeconds is how long a state is held before the currents are read.
const supplySeconds = 60.0

// Jobs has one job for the board at rest and one a trip.
func (SupplyCurrent) Jobs(a rig.Abilities) []Job {
	base := Result{
		Trial: protection.SupplyCurrent, Tap: -1, State: "idle",
		Stimulus:   fmt.Sprintf("nothing attached, %.3g s", supplySeconds),
		Cautions:   []string{cautionFault, "a meter in a tap's lead drops voltage: use one with a low burden"},
		Conditions: []Condition{ohmsCondition(a)},
	}
	jobs := []Job{work{
		base: base, name: "supply current at rest", after: supplyQuantities,
		run: supplyAtRest,
	}.job()}
	for _, t := range []trip{
		{word: protection.Overcharge, cell: 1, port: chargePort},
		{word: protection.Overdischarge, cell: 1, port: dischargePort},
		{word: protection.DischargeOvercurrent, stage: "1", port: dischargePort},
	} {
		b := base
		b.State = t.state()
		b.Conditions = append([]Condition{cellCondition(a.CellMiddle)}, base.Conditions...)
		jobs = append(jobs, work{
			base: b, name: "supply current after " + t.String(), after: supplyQuantities, absent: missingPort(a, t.port),
			run: func(s *stand, l *logbook) error { return supplyAfter(s, l, t) },
		}.job())
	}
	return jobs
}

var supplyQuantities = []protection.Quantity{protection.TapCurrent, protection.CellCurrent, protection.SumError}

// supplyAtRest reads half full and full.
func supplyAtRest(s *stand, l *logbook) error {
	was := l.base
	for _, v := range []float64{s.a.CellMiddle, s.a.CellFull} {
		l.base = was
		l.base.Step = fmt.Sprintf("cells %.3f V", v)
		l.with(cellCondition(v))
		if err := s.rest(v); err != nil {
			return err
		}
		if err := s.dwell(supplySeconds); err != nil {
			return err
		}
		if err := s.currents(l, false); err != nil {
			return err
		}
	}
	l.base = was
	return nil
}

// supplyAfter trips the board and reads with the load on, the load off and a
// charger on.
func supplyAfter(s *stand, l *logbook, t trip) error {
	e, err := t.find(s)
	if err != nil {
		return err
	}
	if !e.found() {
		l.absent(supplyQuantities, e, "V", "there is no "+string(t.word)+" to look at")
		return nil
	}
	was := l.base
	for _, c := range []column{columnL1, columnN, columnC1} {
		if c.charges && !s.a.Charge || c.loads && !s.a.Discharge {
			continue
		}
		l.base = was
		l.base.Step = map[string]string{"L1": "load on", "N": "load off", "C1": "charger on"}[c.name]
		l.base.Stimulus = fmt.Sprintf("tripped by %s, %s, %.3g s", t, c.says, supplySeconds)
		if err := t.make(s); err != nil {
			return err
		}
		if err := c.do(s); err != nil {
			return err
		}
		if err := s.dwell(supplySeconds); err != nil {
			return err
		}
		if err := s.currents(l, true); err != nil {
			return err
		}
	}
	l.base = was
	return nil
}

// currents reads every tap, every cell and every port, as a slow meter would.
// What passes the ports goes with the results as a condition if conditions is
// set: it is part of what the cells give. The taps' sum is zero, once the port
// currents that do not pass a tap are counted, so what is left of it is the
// error of the readings.
func (s *stand) currents(l *logbook, conditions bool) error {
	var points []rig.Point
	for n := 0; n <= s.a.Cells; n++ {
		points = append(points, rig.Point{Kind: rig.TapAmps, N: n})
	}
	for k := 1; k <= s.a.Cells; k++ {
		points = append(points, rig.Point{Kind: rig.CellAmps, N: k})
	}
	for _, p := range s.ports() {
		points = append(points, p.amps())
	}
	is, err := s.averages(points)
	if err != nil {
		return err
	}
	taps, cells, ports := is[:s.a.Cells+1], is[s.a.Cells+1:2*s.a.Cells+1], is[2*s.a.Cells+1:]
	outside := 0.0
	for n, p := range s.ports() {
		if conditions {
			l.with(Condition{p.amps().Kind.String(), ports[n], "A"})
		}
		if p == chargePort {
			outside -= ports[n]
		} else {
			outside += ports[n]
		}
	}
	sum := 0.0
	for n, i := range taps {
		sum += i
		l.current(protection.TapCurrent, i).Tap = n
	}
	for n, i := range cells {
		l.current(protection.CellCurrent, i).Cell = n + 1
	}
	r := l.current(protection.SumError, sum)
	if with := sum + outside; math.Abs(with) < math.Abs(sum) {
		r.Value, r.Low, r.High = with, with, with
		r.Note = join(r.Note, "with what load and charger take from the top of the pack beside the taps")
	}
	return nil
}

// current adds a current, which a floating node may keep from being known.
func (l *logbook) current(q protection.Quantity, i float64) *Result {
	if math.IsNaN(i) {
		return l.none(q, protection.Undefined, "the node floats")
	}
	return l.reading(q, i)
}
