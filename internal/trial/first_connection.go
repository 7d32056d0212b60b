package trial

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// FirstConnection joins the taps of a board that was in no pack before, in the
// order B−, T1, T2 … and in random ones, and looks what its pins must stand
// and in which state it ends.
type FirstConnection struct {
	// Source gives the random numbers of random order i, 0 the first. It must
	// depend on i alone. Nil: no random orders.
	Source func(i int) rand.Source
	// Orders is how many random orders are tried; 0: 20.
	Orders int
}

// Word names the trial.
func (FirstConnection) Word() protection.Trial { return protection.FirstConnection }

// The leads and the pace of joining, as the protection trials define them.
const (
	joinSeconds  = 0.5
	randomOrders = 20
	leadOhms     = 50e-3
	leadHenry    = 1e-6
)

// Jobs has one job.
func (f FirstConnection) Jobs(a rig.Abilities) []Job {
	n := 0
	if f.Source != nil {
		n = f.Orders
		if n == 0 {
			n = randomOrders
		}
	}
	return []Job{work{
		base: Result{
			Trial: protection.FirstConnection, Tap: -1, State: "idle",
			Stimulus:  fmt.Sprintf("every capacitor empty, taps joined %.3g s apart through %.3g mΩ and %.3g µH: in order, and in %d random orders", joinSeconds, leadOhms*1e3, leadHenry*1e6, n),
			OpenMeans: "a direction not on after the last tap (5 mA probe)", Cautions: []string{cautionPlug, cautionFault},
			Conditions: []Condition{cellCondition(a.CellMiddle)},
		},
		name:  "first connection",
		after: []protection.Quantity{protection.PeakPinVoltage, protection.StateAfter, protection.WakeNeeded},
		run:   func(s *stand, l *logbook) error { return f.study(s, l, n) },
	}.job()}
}

// peak is the worst a pin saw and the order it saw it in.
type peak struct {
	volts float64
	order []int
}

func (f FirstConnection) study(s *stand, l *logbook, n int) error {
	c, ok := s.r.(rig.Connector)
	if !ok {
		l.missing([]protection.Quantity{protection.PeakPinVoltage, protection.StateAfter, protection.WakeNeeded},
			protection.NotApplicable, "this rig cannot put a pack together tap by tap")
		return nil
	}
	j := joining{s: s, c: c, pins: c.Pins()}
	j.peaks = make([]peak, len(j.pins))
	order := make([]int, s.a.Cells+1)
	for i := range order {
		order[i] = i
	}
	if err := j.join(order); err != nil {
		return err
	}
	if err := j.after(l); err != nil {
		return err
	}
	for i := range n {
		if err := j.join(f.shuffled(i, order)); err != nil {
			return err
		}
	}
	j.report(l)
	return nil
}

// shuffled is random order i.
func (f FirstConnection) shuffled(i int, order []int) []int {
	o := slices.Clone(order)
	rand.New(f.Source(i)).Shuffle(len(o), func(a, b int) { o[a], o[b] = o[b], o[a] })
	return o
}

// joining is the trial under way.
type joining struct {
	s     *stand
	c     rig.Connector
	pins  []rig.PinLimit
	peaks []peak
}

// join empties the board and joins its taps in an order. Where the rig can go
// back, orders that begin alike share that beginning.
func (j *joining) join(order []int) error {
	if err := j.s.from("apart", j.apart); err != nil {
		return err
	}
	for n := range order {
		if err := j.s.from(fmt.Sprint("joined ", order[:n+1]), func() error { return j.joinNext(order, n) }); err != nil {
			return err
		}
	}
	return nil
}

// apart takes the board out of any pack.
func (j *joining) apart() error {
	s := j.s
	for k := range s.set.cells {
		if err := s.cell(k+1, s.a.CellMiddle); err != nil {
			return err
		}
	}
	if err := s.empty(); err != nil {
		return err
	}
	return j.c.Disconnect()
}

// joinNext joins tap number n of an order to those before it.
func (j *joining) joinNext(order []int, n int) error {
	if err := j.c.Connect(order[n], rig.Lead{Ohms: leadOhms, Henry: leadHenry}); err != nil {
		return err
	}
	points := make([]rig.Point, len(j.pins))
	for i, p := range j.pins {
		points[i] = rig.Point{Kind: rig.PinStress, Part: p.Part, Pin: p.Pin}
	}
	rec, err := j.s.r.Capture(j.s.ctx, rig.Capture{Points: points, Seconds: joinSeconds})
	if err == nil {
		j.see(rec, order)
	}
	return err
}

// see keeps what is furthest beyond each pin's limits, or the highest voltage
// where none is.
func (j *joining) see(rec rig.Record, order []int) {
	for i, p := range j.pins {
		for _, v := range rec.Values[i] {
			was := j.peaks[i]
			now, then := beyondLimit(p, v), beyondLimit(p, was.volts)
			if was.order == nil || now > then || now == 0 && then == 0 && math.Abs(v) > math.Abs(was.volts) {
				j.peaks[i] = peak{v, order}
			}
		}
	}
}

// beyondLimit is how far v is beyond the limits of a pin; 0 inside.
func beyondLimit(p rig.PinLimit, v float64) float64 {
	return math.Max(0, math.Max(v-p.Max, p.Min-v))
}

// after judges the directions after the proper order, and wakes the board if
// that is what it takes.
func (j *joining) after(l *logbook) error {
	s := j.s
	on, err := s.look()
	if err != nil {
		return err
	}
	for _, p := range s.ports() {
		r := l.word(protection.StateAfter, s.set.seen[p].word)
		r.Port, r.Step = p.String(), "taps in order"
	}
	word := "no"
	if !on {
		if err := s.wake(); err != nil {
			return err
		}
		word = "yes"
		for _, p := range s.ports() {
			if !s.set.seen[p].on() {
				word = "a charger does not wake it"
			}
		}
		s.woke = false // here it is a result, not a circumstance
	}
	l.word(protection.WakeNeeded, word)
	return nil
}

// report adds the worst of every pin over all orders.
func (j *joining) report(l *logbook) {
	for i, p := range j.pins {
		at := j.peaks[i]
		r := l.reading(protection.PeakPinVoltage, at.volts)
		r.Step = p.Part + "." + p.Pin
		r.Conditions = append(r.Conditions, Condition{"least allowed", p.Min, "V"}, Condition{"most allowed", p.Max, "V"})
		r.Word = "within limits"
		if beyondLimit(p, at.volts) > 0 {
			r.Word = "beyond limits"
		}
		r.Note = "taps joined in the order " + orderText(at.order)
	}
}

// orderText writes an order of taps as people do: B− T1 T2 …
func orderText(order []int) string {
	names := make([]string, len(order))
	for i, tap := range order {
		switch tap {
		case 0:
			names[i] = "B−"
		case len(order) - 1:
			names[i] = "B+"
		default:
			names[i] = fmt.Sprintf("T%d", tap)
		}
	}
	return strings.Join(names, " ")
}
