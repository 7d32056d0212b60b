package trial

import (
	"fmt"
	"math"

	"cupel/internal/trial/rig"
)

// port is one direction of the current and where it is made to flow.
type port int

const (
	dischargePort port = iota
	chargePort
)

func (p port) String() string {
	if p == chargePort {
		return "charge"
	}
	return "discharge"
}

// state is the state of a board whose current flows that way.
func (p port) state() string {
	if p == chargePort {
		return "charging"
	}
	return "discharging"
}

// amps and drop are what a direction is judged by.
func (p port) amps() rig.Point {
	if p == chargePort {
		return rig.Point{Kind: rig.ChargeAmps}
	}
	return rig.Point{Kind: rig.LoadAmps}
}

func (p port) drop() rig.Point {
	if p == chargePort {
		return rig.Point{Kind: rig.ChargeDrop}
	}
	return rig.Point{Kind: rig.MinusDrop}
}

// The limits between the states of a direction, protection trials' common
// definitions.
const (
	probeAmps     = 5e-3 // A, I_t
	probeOver     = 1.5  // V of the probing charger above the pack
	onFraction    = 0.9  // of I_t
	openFraction  = 0.1  // of I_t
	availFraction = 0.8  // of the voltage available, across an open direction
	onDrop        = 0.2  // V
	diodeDrop     = 1.2  // V
)

// The words for the state of a direction.
const (
	isOn        = "on"
	isDiode     = "diode"
	isOpen      = "open"
	isUndefined = "undefined"
)

// direction is the state of one direction and what it was judged by.
type direction struct {
	word       string
	amps, drop float64
}

func (d direction) on() bool { return d.word == isOn }

func (d direction) String() string {
	if d.word == isUndefined {
		amps := d.amps
		if math.Abs(amps) < 1e-9 { // what gmin and rounding leave
			amps = 0
		}
		return fmt.Sprintf("undefined (%.3g A at %.3g V)", amps, d.drop)
	}
	return d.word
}

// judge puts a word to a probe's current and the drop over the path. want is
// the current the probe would drive through a path without drop at full drop
// allowed for, avail the voltage an open path has across it.
func judge(amps, drop, want, avail float64) direction {
	d := direction{isUndefined, amps, math.Abs(drop)}
	switch {
	case amps >= onFraction*want && d.drop < onDrop:
		d.word = isOn
	case amps >= onFraction*want && d.drop < diodeDrop:
		d.word = isDiode
	case math.Abs(amps) < openFraction*want && d.drop >= availFraction*avail:
		d.word = isOpen
	}
	return d
}

// attach connects the probe of p: a load that draws I_t, or a charger limited
// to it.
func (s *stand) attach(p port) error {
	if p == chargePort {
		return s.charger(rig.Charger{Volts: s.pack() + probeOver, Amps: probeAmps})
	}
	return s.load(rig.Load{Kind: rig.Resistance, Value: s.pack() / probeAmps})
}

// benchSettle is how long a person waits before a direction is read; protection
// trials' common definitions.
const benchSettle = 0.1 // s

// probe attaches the probe of p, alone, and judges p when it has settled. What
// fits no word then may still be moving: a capacitor across the port of many
// cells takes longer through the probe's resistance. It gets a second look.
func (s *stand) probe(p port) (direction, error) {
	if err := s.empty(); err != nil {
		return direction{}, err
	}
	if err := s.attach(p); err != nil {
		return direction{}, err
	}
	if err := s.dwell(s.settle()); err != nil {
		return direction{}, err
	}
	d, err := s.state(p)
	if err != nil || d.word != isUndefined || s.settle() >= benchSettle {
		return d, err
	}
	if err := s.dwell(benchSettle - s.settle()); err != nil {
		return direction{}, err
	}
	return s.state(p)
}

// state judges p as it is, with its probe attached.
func (s *stand) state(p port) (direction, error) {
	amps, err := s.read(p.amps())
	if err != nil {
		return direction{}, err
	}
	drop, err := s.read(p.drop())
	if err != nil {
		return direction{}, err
	}
	return s.judge(p, amps, drop), nil
}

// judge judges a probed direction from what was read. A resistor draws less
// through a diode's drop, which with few cells is more than the tenth that is
// allowed: the current wanted is what is left for it.
func (s *stand) judge(p port, amps, drop float64) direction {
	if p == chargePort {
		return judge(amps, drop, probeAmps, s.set.charger.Volts-s.pack())
	}
	pack := s.pack()
	want := probeAmps
	if d := math.Abs(drop); d < diodeDrop {
		want *= 1 - d/pack
	}
	if s.set.load.Kind == rig.Resistance && s.set.load.Value > 0 {
		want *= pack / probeAmps / s.set.load.Value // cells have moved since
	}
	return judge(amps, drop, want, pack)
}
