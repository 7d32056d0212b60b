package device

import (
	"fmt"
	"math"
)

// OnPoint is one on-resistance of a sheet. Ohms 0 is not given.
type OnPoint struct {
	GateVolts, Ohms float64
	Amps            float64 // test current; 0: so small that it does not matter
}

// MOSFETSheet is what a data sheet tells of a MOSFET, at 25 °C. Voltages and
// currents are positive for both polarities; 0 is not given unless said.
type MOSFETSheet struct {
	Polarity   Polarity
	RatedVolts float64 // drain to source

	ThresholdVolts, ThresholdAmps float64 // gate at the drain; Amps 0: 250 µA
	ThresholdTempco               float64 // V/K

	On, Low  OnPoint // Low: with less gate voltage
	OnTempco float64 // 1/K of On, straight from 25 to 125 °C

	Input, Output, Reverse float64 // F: Ciss, Coss, Crss
	FaradsVolts            float64 // V drain to source at which; 0: 15 V

	LeakAmps, LeakDouble float64
	GateLeakAmps         float64
	GateLeakVolts        float64 // at which; 0: 20 V

	DiodeVolts, DiodeAmps float64
	DiodeN                float64
	Recovery              float64 // s, reverse recovery
}

// Common practice, no source: a part breaks down a little above its rating,
// and its drain follows the avalanche current with about twice the on
// resistance.
const (
	avalancheOverRated = 1.1
	avalancheOhmsShare = 2
	millerPeakShare    = 0.5 // of Ciss
	bodyOhmsShare      = 0.2 // at most, of the diode's forward voltage
)

// FitMOSFET returns the parameters that give the sheet's own figures back:
// on-resistance at one or two gate voltages, threshold at its current, the
// capacitances at their voltage, the diode's forward voltage and the rise of
// on-resistance to 125 °C.
//
// With one on-resistance all of it is laid to the channel, which makes it grow
// fastest as gate voltage falls. With two, the second gives the resistance in
// series. Where two and a threshold would make that negative, the channel's
// threshold follows from the two and weak inversion is spread so that the
// sheet's threshold current flows at the sheet's threshold.
func FitMOSFET(s MOSFETSheet) (MOSFETParams, error) {
	if err := s.check(); err != nil {
		return MOSFETParams{}, err
	}
	p := MOSFETParams{
		Polarity: s.Polarity, ThresholdTempco: s.ThresholdTempco, Swing: defaultSwing,
		Leak: s.LeakAmps, LeakDouble: s.LeakDouble, BodyN: or(s.DiodeN, defaultBodyN),
	}
	s.fitChannel(&p)
	s.fitTempco(&p)
	s.fitCapacitances(&p)
	s.fitBody(&p)
	if s.RatedVolts > 0 {
		p.Breakdown = avalancheOverRated * s.RatedVolts
		p.BreakdownOhms = avalancheOhmsShare * s.On.Ohms
	}
	if s.GateLeakAmps > 0 {
		p.GateOhms = or(s.GateLeakVolts, 20) / s.GateLeakAmps
	}
	return p.filled(), nil
}

func (s *MOSFETSheet) check() error {
	switch {
	case s.On.Ohms <= 0:
		return fmt.Errorf("on resistance is %g Ω: it must be above 0", s.On.Ohms)
	case s.On.GateVolts <= s.ThresholdVolts:
		return fmt.Errorf("on resistance is stated at a gate voltage of %g V, not above the threshold of %g V",
			s.On.GateVolts, s.ThresholdVolts)
	case s.Low.Ohms != 0 && (s.Low.GateVolts >= s.On.GateVolts || s.Low.Ohms <= s.On.Ohms):
		return fmt.Errorf("the second on resistance, %g Ω at %g V, must be more at less gate voltage than %g Ω at %g V",
			s.Low.Ohms, s.Low.GateVolts, s.On.Ohms, s.On.GateVolts)
	case s.Low.Ohms != 0 && s.Low.GateVolts <= s.ThresholdVolts:
		return fmt.Errorf("the second on resistance is stated at a gate voltage of %g V, not above the threshold of %g V",
			s.Low.GateVolts, s.ThresholdVolts)
	case s.Reverse > s.Input || s.Reverse > s.Output:
		return fmt.Errorf("c_rss of %g F is more than c_iss of %g F or c_oss of %g F, of which it is a part",
			s.Reverse, s.Input, s.Output)
	}
	return nil
}

// fitChannel alternates between threshold and strength until both stand.
func (s *MOSFETSheet) fitChannel(p *MOSFETParams) {
	p.Threshold = s.ThresholdVolts
	negative := false
	for range 200 {
		before := p.Threshold
		s.fitStrength(p)
		if negative = p.SeriesOhms < 0; negative {
			a, _ := s.onRow(p, s.On)
			p.K, p.SeriesOhms = 1/a, 0
		}
		p.Threshold = bisect(s.ThresholdVolts-5, s.ThresholdVolts+5, func(vth float64) float64 {
			p.Threshold = vth
			return s.thresholdAmps() - p.diodeConnected(s.ThresholdVolts)
		})
		if math.Abs(p.Threshold-before) < 1e-12 {
			break
		}
	}
	if negative {
		s.fitSteep(p)
	}
}

func (s *MOSFETSheet) thresholdAmps() float64 { return or(s.ThresholdAmps, defaultAvalancheAmps) }

// diodeConnected returns the channel current with the gate at the drain.
func (p MOSFETParams) diodeConnected(volts float64) float64 {
	m := p.At(room)
	id, _, _ := m.Channel(volts, 0)
	return id
}

// fitStrength solves for K and the series resistance at the present threshold.
// The channel equation at an on-point, (1 + θ·S/2)·I = K·D·S/2 with D = f − r
// and S = f + r, is linear in K and θ = K·Rs.
func (s *MOSFETSheet) fitStrength(p *MOSFETParams) {
	a1, b1 := s.onRow(p, s.On)
	if s.Low.Ohms == 0 {
		p.K, p.SeriesOhms = 1/a1, 0
		return
	}
	// a·K − b·θ = 1 twice
	a2, b2 := s.onRow(p, s.Low)
	det := a2*b1 - a1*b2
	p.K = (b1 - b2) / det
	p.SeriesOhms = (a1 - a2) / det / p.K
}

// onRow returns D·S/(2·I) and S/2 of an on-point.
func (s *MOSFETSheet) onRow(p *MOSFETParams, on OnPoint) (a, b float64) {
	amps := on.Amps
	if amps == 0 {
		amps = smallDrop / on.Ohms
	}
	m := p.At(room)
	f, _ := m.overdrive(on.GateVolts)
	r, _ := m.overdrive(on.GateVolts - amps*on.Ohms)
	return (f - r) * (f + r) / (2 * amps), (f + r) / 2
}

// smallDrop is a drain voltage at which the channel is a resistance.
const smallDrop = 1e-4 // V

// fitSteep takes the threshold from the two on-points, without a series
// resistance, and the swing from the threshold figure.
func (s *MOSFETSheet) fitSteep(p *MOSFETParams) {
	p.SeriesOhms = 0
	for range 50 {
		before := p.Swing
		p.Threshold = bisect(s.ThresholdVolts-5, s.Low.GateVolts, func(vth float64) float64 {
			p.Threshold = vth
			a1, _ := s.onRow(p, s.On)
			a2, _ := s.onRow(p, s.Low)
			return a1 - a2
		})
		a, _ := s.onRow(p, s.On)
		p.K = 1 / a
		p.Swing = bisect(1, 20, func(n float64) float64 {
			p.Swing = n
			return p.diodeConnected(s.ThresholdVolts) - s.thresholdAmps()
		})
		if math.Abs(p.Swing-before) < 1e-12 {
			return
		}
	}
}

// bisect returns where f, negative at lo and rising, crosses 0; an end where
// it does not.
func bisect(lo, hi float64, f func(float64) float64) float64 {
	for range 100 {
		mid := (lo + hi) / 2
		if f(mid) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	f(lo + (hi-lo)/2)
	return lo + (hi-lo)/2
}

// OnOhms returns the on-resistance at a gate voltage and a small drain
// voltage.
func (p MOSFETParams) OnOhms(gateVolts, kelvin float64) float64 {
	m := p.At(kelvin)
	id, _, _ := m.Channel(gateVolts, gateVolts-smallDrop)
	return smallDrop / id
}

// fitTempco chooses the rise of the resistances so that that of the whole, in
// which the threshold falls too, is the sheet's.
func (s *MOSFETSheet) fitTempco(p *MOSFETParams) {
	const span = 100 // K
	cold := p.OnOhms(s.On.GateVolts, room)
	hot := p.OnOhms(s.On.GateVolts, room+span)
	p.ResistanceRise = ((1+span*s.OnTempco)*cold/hot - 1) / span
}

func (s *MOSFETSheet) fitCapacitances(p *MOSFETParams) {
	volts := or(s.FaradsVolts, 15)
	p.MillerPeak = max(millerPeakShare*s.Input, s.Reverse)
	p.MillerVolts, p.MillerWidth = 1, 1
	_, tail := softplus((p.MillerVolts - volts) / p.MillerWidth)
	p.Miller = max(0, (s.Reverse-p.MillerPeak*tail)/(1-tail))
	p.GateSource, p.DrainSource = s.Input-s.Reverse, s.Output-s.Reverse
}

// fitBody makes the diode's forward voltage the sheet's. Its series resistance
// is that of the open channel, which the diode's current passes for the most
// part too, but never more than a fifth of the forward voltage.
func (s *MOSFETSheet) fitBody(p *MOSFETParams) {
	if s.DiodeAmps <= 0 || s.DiodeVolts <= 0 {
		return
	}
	p.BodyOhms = min(s.On.Ohms, bodyOhmsShare*s.DiodeVolts/s.DiodeAmps)
	w := p.BodyN * ThermalVolts(room)
	p.BodySat = s.DiodeAmps / math.Expm1((s.DiodeVolts-s.DiodeAmps*p.BodyOhms)/w)
	p.Transit = s.Recovery / math.Ln2
}
