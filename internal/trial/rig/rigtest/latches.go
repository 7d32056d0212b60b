package rigtest

import (
	"fmt"
	"math"

	"cupel/internal/trial/rig"
)

const never = math.MaxFloat64

// latches builds the board's memory from its description. The wake latch, if
// any, is the last.
func (r *Ideal) latches() {
	b := r.board
	for k := 1; k <= b.Cells; k++ {
		r.cellLatches(k, per(b.Over, k), per(b.Under, k), per(b.Bleed, k))
	}
	r.currentLatches()
	r.thermistorLatches()
	if b.Starve > 0 {
		r.latch = append(r.latch, latch{
			part: "U1", opens: [2]bool{true, true}, setDelay: b.StarveAfter, clrDelay: never,
			set: func(r *Ideal) bool { return r.terminal(1) < b.Starve }, clear: no,
		})
	}
	if b.NeedsWake {
		r.latch = append(r.latch, latch{
			name: "asleep", part: "U1", opens: [2]bool{true, false}, setDelay: never, clrDelay: 1e-3,
			set: no, clear: (*Ideal).charging,
		})
	}
}

func no(*Ideal) bool { return false }

func (r *Ideal) charging() bool { return r.now.charger.Amps > 0 }

// loaded reports whether a load holds a tripped stage.
func (r *Ideal) loaded() bool {
	l := r.now.load
	return l.Kind != rig.Open && (l.Kind != rig.Resistance || r.board.HoldOhms == 0 || l.Value <= r.board.HoldOhms)
}

// allows reports whether the outside is as a rule wants it.
func (r *Ideal) allows(rule Rule) bool {
	switch rule {
	case LoadOff:
		return !r.loaded()
	case LoadOn:
		return r.loaded()
	case ChargerOn:
		return r.charging()
	case ChargerOff:
		return !r.charging()
	case Never:
		return false
	}
	return true
}

func (r *Ideal) cellLatches(k int, over, under, bleed Limit) {
	b := r.board
	part := fmt.Sprintf("U%d", k)
	if over.At > 0 {
		r.latch = append(r.latch, latch{
			name: "OV", part: part, opens: [2]bool{false, true}, chatters: b.ChatterHertz > 0,
			setDelay: over.Delay, clrDelay: over.BackDelay,
			set:   func(r *Ideal) bool { return r.terminal(k) > over.At },
			clear: func(r *Ideal) bool { return r.terminal(k) < over.Back && r.allows(b.OverRule) },
		})
	}
	if under.At > 0 {
		r.latch = append(r.latch, latch{
			name: "UV", part: part, opens: [2]bool{true, false}, chatters: b.ChatterHertz > 0,
			setDelay: under.Delay, clrDelay: under.BackDelay,
			set:   func(r *Ideal) bool { return r.terminal(k) < under.At },
			clear: func(r *Ideal) bool { return r.terminal(k) > under.Back && r.allows(b.UnderRule) },
		})
	}
	if bleed.At > 0 {
		r.bleed[k] = len(r.latch)
		r.latch = append(r.latch, latch{
			name: fmt.Sprintf("bleed %d", k), part: part, setDelay: bleed.Delay, clrDelay: bleed.BackDelay,
			set:   func(r *Ideal) bool { return r.terminal(k) > bleed.At && r.allows(b.BleedWhen) },
			clear: func(r *Ideal) bool { return r.terminal(k) < bleed.Back || !r.allows(b.BleedWhen) },
		})
	}
}

func (r *Ideal) currentLatches() {
	b := r.board
	for i, s := range b.Load {
		name := fmt.Sprintf("OC%d", i+1)
		if i > 0 && i == len(b.Load)-1 {
			name = "SC"
		}
		r.latch = append(r.latch, latch{
			name: name, part: "U1", opens: [2]bool{true, false}, setDelay: s.Delay, clrDelay: b.LoadBack,
			set:   func(r *Ideal) bool { return r.loadAmps() > s.Amps },
			clear: func(r *Ideal) bool { return r.allows(b.LoadRule) },
		})
	}
	if c := b.Charge; c.Amps > 0 {
		r.latch = append(r.latch, latch{
			name: "COC", part: "U1", opens: [2]bool{false, true}, setDelay: c.Delay, clrDelay: b.LoadBack,
			set:   func(r *Ideal) bool { return r.chargeAmps() > c.Amps },
			clear: func(r *Ideal) bool { return r.allows(b.ChargeRule) },
		})
	}
}

func (r *Ideal) thermistorLatches() {
	add := func(l Limit, opens [2]bool, above bool) {
		if l.At == 0 {
			return
		}
		past := func(limit float64) func(*Ideal) bool {
			return func(r *Ideal) bool {
				if above {
					return r.ntc() > limit
				}
				return r.ntc() < limit
			}
		}
		back := past(l.Back)
		r.latch = append(r.latch, latch{
			part: "U1", opens: opens, setDelay: l.Delay, clrDelay: l.BackDelay,
			set: past(l.At), clear: func(r *Ideal) bool { return !back(r) },
		})
	}
	add(r.board.Cold, [2]bool{false, true}, true)
	add(r.board.Hot, [2]bool{false, true}, false)
	add(r.board.HotDischarge, [2]bool{true, false}, false)
}

// ntc is the resistance in the thermistor's place.
func (r *Ideal) ntc() float64 {
	if math.IsNaN(r.now.thermistor) {
		return 10e3
	}
	return r.now.thermistor
}
