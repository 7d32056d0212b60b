package rehearse

import (
	"math/rand/v2"

	"cupel/internal/board"
	"cupel/internal/ringout"
	"cupel/internal/ringout/strip"
)

// Rates are the shares of readings that come out wrong.
type Rates struct {
	FalseBeep  float64 // connected for open: a slipped probe, flux, a clip that touches
	MissedBeep float64 // open for connected: lacquer, a probe not landed
	LowValue   float64 // a low value for copper: a bad contact
}

// Even are rates of which each is p.
func Even(p float64) Rates { return Rates{p, p, p} }

// Errors counts what a meter got wrong.
type Errors struct{ FalseBeep, MissedBeep, LowValue int }

// Meter probes a board that is known. It errs at its rates, each time anew.
type Meter struct {
	truth  strip.Truth
	rates  Rates
	rng    *rand.Rand
	Errors Errors
}

// NewMeter makes a meter whose errors come from rng.
func NewMeter(truth strip.Truth, r Rates, rng *rand.Rand) *Meter {
	return &Meter{truth: truth, rates: r, rng: rng}
}

// Shown is what the meter shows.
type Shown struct {
	Result ringout.Result
	Value  float64
}

// The range of a low value for copper, Ω: between what copper can have and what
// is surely none. Beepers in use stop anywhere between 40 and 100 Ω.
const lowest, highest = 5, 50

// Read probes pad a against pads b, which are bridged if they are several.
func (m *Meter) Read(a int, b []int) Shown {
	joined := false
	for _, x := range b {
		joined = joined || m.truth[a] != board.NoNet && m.truth[a] == m.truth[x]
	}
	luck := m.rng.Float64()
	switch {
	case !joined && luck < m.rates.FalseBeep:
		m.Errors.FalseBeep++
		return Shown{Result: ringout.Connected}
	case !joined:
		return Shown{Result: ringout.Open}
	case luck < m.rates.MissedBeep:
		m.Errors.MissedBeep++
		return Shown{Result: ringout.Open}
	case luck < m.rates.MissedBeep+m.rates.LowValue:
		m.Errors.LowValue++
		return Shown{Result: ringout.Ohms, Value: lowest + (highest-lowest)*m.rng.Float64()}
	}
	return Shown{Result: ringout.Connected}
}
