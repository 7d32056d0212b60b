package trial

import (
	"fmt"
	"math"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// Temperature puts resistances in the thermistor's place, both ways from its
// own, until a direction opens, and back.
type Temperature struct{}

// Word names the trial.
func (Temperature) Word() protection.Trial { return protection.Temperature }

// side is one way from the thermistor's resistance at rest.
type side struct {
	name    string
	to      float64 // Ω
	extreme float64 // what the thermistor shows when it is broken that way
}

// The range of the sweep; common practice, no source: a 10 kΩ thermistor is
// below 300 Ω above 150 °C and above 1 MΩ below −60 °C.
var sides = []side{{"cold", 1e6, math.Inf(1)}, {"hot", 300, 0}}

const (
	ntcRest     = 10e3 // Ω where nothing is known of the thermistor
	ntcRatio    = 1.25
	ntcRelative = 0.01
)

// Jobs has one job a direction.
func (Temperature) Jobs(a rig.Abilities) []Job {
	var jobs []Job
	for _, p := range []port{dischargePort, chargePort} {
		absent := missingPort(a, p)
		if !a.Thermistor {
			absent = "the board has no thermistor"
		}
		jobs = append(jobs, work{
			base: Result{
				Trial: protection.Temperature, Tap: -1, State: "idle", Port: p.String(),
				Stimulus:  "resistance in the thermistor's place from a box, up and down, also open and shorted",
				OpenMeans: openMeans(p), Cautions: []string{cautionHeat, cautionFault},
				Conditions: []Condition{cellCondition(a.CellMiddle)},
			},
			name: "temperature, " + p.state(), absent: absent,
			after: []protection.Quantity{protection.CutResistance, protection.ReleaseResistance, protection.StateAfter},
			run:   func(s *stand, l *logbook) error { return sweepThermistor(s, l, p) },
		}.job())
	}
	return jobs
}

// sweepThermistor is the job of one direction. It gives the thermistor back.
func sweepThermistor(s *stand, l *logbook, p port) (err error) {
	defer func() {
		if back := s.r.SetThermistor(math.NaN()); err == nil {
			err = back
		}
	}()
	for _, sd := range sides {
		if err := (sweep{s: s, port: p, side: sd}).study(l); err != nil {
			return err
		}
	}
	return nil
}

// sweep is the search to one side.
type sweep struct {
	s    *stand
	port port
	side side
	off  func(direction) bool // what counts as cut off
}

func (w sweep) rest() float64 { return orElse(w.s.a.NTC.Ohms, ntcRest) }

func (w sweep) dwell() float64 { return w.s.wait(w.s.a.Times.Temperature, fallbackTemperature) }

// show puts a resistance in the thermistor's place, lets the board see it and
// judges the direction.
func (w sweep) show(ohms float64) (direction, error) {
	if err := w.s.r.SetThermistor(ohms); err != nil {
		return direction{}, err
	}
	if err := w.s.dwell(w.dwell()); err != nil {
		return direction{}, err
	}
	return w.s.probe(w.port)
}

// start is the board at rest with the box at the thermistor's own resistance.
func (w sweep) start() error {
	return w.s.from("thermistor "+w.port.String(), func() error {
		if err := w.s.r.SetThermistor(w.rest()); err != nil {
			return err
		}
		if err := w.s.dwell(w.dwell()); err != nil {
			return err
		}
		return w.s.ready(w.s.a.CellMiddle, w.port)
	})
}

// study is one side: what a broken thermistor does, where the direction is cut
// off, and where it becomes a diode if it does that apart: a board that stops
// charging in the heat leaves the discharge direction a diode.
func (w sweep) study(l *logbook) error {
	was := l.base
	defer func() { l.base = was }()
	l.base.Stage = w.side.name
	if err := w.broken(l); err != nil {
		return err
	}
	diode := false
	w.off = func(d direction) bool {
		diode = diode || d.word == isDiode
		return !d.on() && d.word != isDiode
	}
	if err := w.both(l); err != nil || !diode {
		return err
	}
	l.base.Step = "becomes a diode"
	l.base.Note = "current still flows through a body diode"
	w.off = func(d direction) bool { return !d.on() }
	return w.both(l)
}

// both searches for the cut and its release.
func (w sweep) both(l *logbook) error {
	e, err := w.s.search(search{
		name: "cut " + w.side.name + " " + l.base.Step,
		from: w.rest(), to: w.side.to, ratio: ntcRatio, relative: ntcRelative,
		try: func(r float64) (step, error) {
			if err := w.start(); err != nil {
				return step{}, err
			}
			d, err := w.show(r)
			if err != nil || !w.off(d) {
				return step{}, err
			}
			return step{answer: acted}, nil
		},
	})
	if err != nil {
		return err
	}
	l.ending(protection.CutResistance, e)
	if !e.found() {
		l.ending(protection.ReleaseResistance, e).Note = "there was no cut to release"
		return nil
	}
	l.kelvin(w.s.a.NTC, protection.CutTemperature, e)
	return w.back(l, e)
}

// back searches for the release on the way back.
func (w sweep) back(l *logbook, cut ending) error {
	far := cut.hi * math.Pow(ntcRatio, math.Copysign(1, w.side.to-w.rest()))
	e, err := w.s.search(search{
		name: "back " + w.side.name + " " + l.base.Step,
		from: far, to: w.rest(), ratio: ntcRatio, relative: ntcRelative,
		try: func(r float64) (step, error) {
			if err := w.cut(far); err != nil {
				return step{}, err
			}
			d, err := w.show(r)
			if err != nil || w.off(d) {
				return step{}, err
			}
			return step{answer: acted}, nil
		},
	})
	if err != nil {
		return err
	}
	if e.outcome == protection.NoneFound {
		e.outcome = protection.NeverReleases
	}
	l.ending(protection.ReleaseResistance, e)
	if e.found() {
		l.kelvin(w.s.a.NTC, protection.ReleaseTemperature, e)
	}
	return nil
}

// cut is the board cut off by a resistance past the threshold.
func (w sweep) cut(ohms float64) error {
	return w.s.from(fmt.Sprintf("cut by thermistor %s %s %g", w.port, w.side.name, ohms), func() error {
		if err := w.start(); err != nil {
			return err
		}
		_, err := w.show(ohms)
		return err
	})
}

// broken adds what the direction does when the thermistor breaks that way.
func (w sweep) broken(l *logbook) error {
	if err := w.start(); err != nil {
		return err
	}
	d, err := w.show(w.side.extreme)
	if err != nil {
		return err
	}
	r := l.word(protection.StateAfter, d.word)
	r.Step = "thermistor " + ohms(w.side.extreme)
	return nil
}

// kelvin adds the temperature that a resistance stands for, by the B value:
// 1/T = 1/T0 + ln(R/R0)/B, the definition in IEC 60539-1 (from memory).
func (l *logbook) kelvin(n rig.NTC, q protection.Quantity, e ending) {
	if n.Ohms == 0 || n.Beta == 0 || n.Kelvin == 0 {
		l.none(q, protection.NotComputed, "the thermistor's resistance and B value are not known")
		return
	}
	at := func(r float64) float64 { return 1 / (1/n.Kelvin + math.Log(r/n.Ohms)/n.Beta) }
	l.value(q, at(e.value()), at(e.high()), at(e.low()))
}
