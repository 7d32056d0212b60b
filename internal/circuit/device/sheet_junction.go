package device

import (
	"fmt"
	"math"
)

// DiodeSheet is what a data sheet tells of a diode at 25 °C; 0 is not given.
type DiodeSheet struct {
	ForwardVolts, ForwardAmps float64
	HighVolts, HighAmps       float64 // a second point, for the series resistance
	N                         float64 // 0: 1.7
	Gap                       float64 // eV; 0: told from the forward voltage
	RatedVolts                float64 // reverse
	LeakAmps, LeakDouble      float64
	Farads                    float64
	Recovery                  float64 // s
}

const (
	defaultDiodeN = 1.7
	// A junction that drops less than this at 1 mA is taken for a metal's:
	// common practice, no source.
	schottkyBelow = 0.4 // V
	// Band gap and exponent that SPICE's manual gives for Schottky barriers;
	// from memory.
	schottkyGap = 0.69 // eV
	schottkyXTI = 2
)

// FitDiode returns the parameters that give the sheet's forward points and
// leakage back. Reverse recovery t is taken as t = τ·ln 2, the charge of equal
// forward and reverse currents.
func FitDiode(s DiodeSheet) (DiodeParams, error) {
	if s.ForwardVolts <= 0 || s.ForwardAmps <= 0 {
		return DiodeParams{}, fmt.Errorf("forward voltage is %g V at %g A: both must be above 0", s.ForwardVolts, s.ForwardAmps)
	}
	p := DiodeParams{
		N: or(s.N, defaultDiodeN), LeakDouble: s.LeakDouble,
		Farads: s.Farads, Transit: s.Recovery / math.Ln2, Nominal: room,
	}
	s.fitForward(&p)
	if s.LeakAmps > 0 && p.Sat > s.LeakAmps {
		s.fitTight(&p)
	}
	w := p.N * ThermalVolts(room)
	p.Gap, p.XTI = or(s.Gap, siliconGap), siliconXTI
	if s.Gap == 0 && w*math.Log1p(1e-3/p.Sat) < schottkyBelow {
		p.Gap, p.XTI = schottkyGap, schottkyXTI
	}
	p.Leak = max(0, s.LeakAmps-p.Sat)
	if s.RatedVolts > 0 {
		p.Breakdown, p.BreakdownSlope = avalancheOverRated*s.RatedVolts, defaultAvalancheSlope
		p.BreakdownOhms = p.Ohms
	}
	return p, nil
}

// fitTight lowers the emission coefficient until no more than the sheet's
// leakage flows in reverse: a forward point far below is told by the coefficient
// that was only assumed.
func (s *DiodeSheet) fitTight(p *DiodeParams) {
	bisect(leastN, p.N, func(n float64) float64 {
		p.N = n
		s.fitForward(p)
		return p.Sat - s.LeakAmps
	})
}

// leastN is the emission coefficient of no junction.
const leastN = 0.9

// fitForward solves v = w·ln(i/Is + 1) + i·R for one point, or two. Where two
// would need a negative R, they make the emission coefficient instead.
func (s *DiodeSheet) fitForward(p *DiodeParams) {
	s.fitSat(p)
	if s.HighAmps <= s.ForwardAmps {
		return
	}
	// Is and R each from the other: the logarithms barely move, so a few rounds
	// settle all digits.
	for range 20 {
		p.Ohms = (s.HighVolts - s.ForwardVolts - p.N*ThermalVolts(room)*s.nepers(p)) / (s.HighAmps - s.ForwardAmps)
		if p.Ohms < 0 {
			break
		}
		s.fitSat(p)
	}
	for range 20 {
		if p.Ohms > 0 {
			return
		}
		p.N = max(0.5, (s.HighVolts-s.ForwardVolts)/(ThermalVolts(room)*s.nepers(p)))
		p.Ohms = 0
		s.fitSat(p)
	}
}

// fitSat takes Is from the first point.
func (s *DiodeSheet) fitSat(p *DiodeParams) {
	p.Sat = s.ForwardAmps / math.Expm1((s.ForwardVolts-s.ForwardAmps*p.Ohms)/(p.N*ThermalVolts(room)))
}

// nepers is how far apart the two points lie on the exponential.
func (s *DiodeSheet) nepers(p *DiodeParams) float64 {
	return math.Log1p(s.HighAmps/p.Sat) - math.Log1p(s.ForwardAmps/p.Sat)
}

// ZenerSheet is what a data sheet tells of a zener at 25 °C; 0 is not given.
type ZenerSheet struct {
	Volts, Amps, Ohms         float64 // breakdown voltage at the test current, its slope
	KneeAmps, KneeOhms        float64 // slope at a small current
	Tempco                    float64 // V/K
	LeakAmps, LeakDouble      float64 // below the knee
	LeakVolts                 float64 // at which
	ForwardVolts, ForwardAmps float64 // 0: 0.75 V at 10 mA
	N                         float64 // 0: 1.3
	Farads                    float64
}

// FitZener returns the parameters of a diode that breaks down as the sheet
// says. An exponential breakdown with a series resistance has the slope
//
//	z = w/i + R
//
// which the two slopes of the sheet solve; where that makes R negative, the
// slope at the test current alone is kept. Where the exponential so found
// would carry more than the sheet's leakage at its voltage, it is made steeper.
func FitZener(s ZenerSheet) (DiodeParams, error) {
	if s.Volts <= 0 || s.Amps <= 0 || s.Ohms <= 0 {
		return DiodeParams{}, fmt.Errorf("breakdown is %g V at %g A with a slope of %g Ω: all must be above 0",
			s.Volts, s.Amps, s.Ohms)
	}
	p, err := FitDiode(DiodeSheet{
		ForwardVolts: or(s.ForwardVolts, 0.75), ForwardAmps: or(s.ForwardAmps, 10e-3),
		N: or(s.N, 1.3), Gap: siliconGap, LeakAmps: s.LeakAmps, LeakDouble: s.LeakDouble, Farads: s.Farads,
	})
	if err != nil {
		return p, err
	}
	p.Breakdown, p.BreakdownAmps, p.BreakdownTempco = s.Volts, s.Amps, s.Tempco
	s.fitKnee(&p)
	m := p.At(room)
	through, _ := m.Breakdown.At(s.LeakVolts)
	p.Leak = max(0, p.Leak-through)
	return p, nil
}

// sharpest is the steepest knee a breakdown gets: sharper than anything on a
// board can tell, and still easy to iterate on.
const sharpest = 5e-3 // V

func (s *ZenerSheet) fitKnee(p *DiodeParams) {
	w := s.Ohms * s.Amps
	if s.KneeAmps > 0 && s.KneeAmps < s.Amps && s.KneeOhms > s.Ohms {
		two := (s.KneeOhms - s.Ohms) / (1/s.KneeAmps - 1/s.Amps)
		w = min(w, two)
	}
	w = min(w, s.steepEnough())
	r := max(0, s.Ohms-w/s.Amps)
	if w < sharpest {
		w, r = sharpest, s.Ohms
	}
	p.BreakdownSlope, p.BreakdownOhms = w, r
}

// steepEnough returns the slope w with which no more than the leakage flows at
// its voltage: (V − I·R − Vr)/w = ln(I/Ir) with R = z − w/I.
func (s *ZenerSheet) steepEnough() float64 {
	if s.LeakVolts <= 0 || s.LeakAmps <= 0 || s.LeakVolts >= s.Volts-s.Ohms*s.Amps || s.LeakAmps*math.E >= s.Amps {
		return math.Inf(1)
	}
	return (s.Volts - s.Ohms*s.Amps - s.LeakVolts) / (math.Log(s.Amps/s.LeakAmps) - 1)
}

// BJTSheet is what a data sheet tells of a bipolar transistor at 25 °C; 0 is
// not given. Voltages and currents are positive for both polarities.
type BJTSheet struct {
	Polarity             Polarity
	Gain                 float64
	ReverseGain          float64 // 0: 4
	GainTempco           float64 // 1/K
	BaseVolts, Amps      float64 // base to emitter at that collector current
	EmitterVolts         float64 // rated, emitter to base
	LeakAmps, LeakDouble float64 // I_CBO
	EmitterFarads        float64
	CollectorFarads      float64
	TransitionHertz      float64
	StorageSeconds       float64
}

const (
	defaultReverseGain = 4
	emitterOverRated   = 1.3 // breakdown over rating; common practice, no source
)

// FitBJT returns the parameters that give the sheet's gain and base voltage
// back. Transit times follow from transition frequency and storage time by the
// charge-control equations (from memory),
//
//	τf = 1/(2π·fT),  τs = (αf·(τf + αr·τr))/(1 − αf·αr),  ts = τs·ln 2
func FitBJT(s BJTSheet) (BJTParams, error) {
	if s.Gain <= 0 || s.BaseVolts <= 0 || s.Amps <= 0 {
		return BJTParams{}, fmt.Errorf("gain is %g and base voltage %g V at %g A: all must be above 0", s.Gain, s.BaseVolts, s.Amps)
	}
	p := BJTParams{
		Polarity: s.Polarity, Forward: s.Gain, Reverse: or(s.ReverseGain, defaultReverseGain),
		Sat: s.Amps / math.Expm1(s.BaseVolts/ThermalVolts(room)),
		XTB: s.GainTempco * room, Nominal: room,
		EmitterBreakdown: emitterOverRated * s.EmitterVolts,
		Leak:             s.LeakAmps, LeakDouble: s.LeakDouble,
		EmitterFarads: s.EmitterFarads, CollectorFarads: s.CollectorFarads,
	}
	if s.TransitionHertz > 0 {
		p.ForwardTransit = 1 / (2 * math.Pi * s.TransitionHertz)
	}
	af, ar := p.Forward/(1+p.Forward), p.Reverse/(1+p.Reverse)
	store := s.StorageSeconds / math.Ln2
	p.ReverseTransit = max(0, (store*(1-af*ar)/af-p.ForwardTransit)/ar)
	return p, nil
}

// SaturationVolts returns collector to emitter in saturation,
//
//	vce = Vt·ln((1 + 1/βr + (ic/ib)/βr)/(1 − (ic/ib)/βf))
//
// or +Inf where the base current does not saturate it. A sheet's figure is
// more by the resistance of the collector, which the model leaves out.
func (m *BJTModel) SaturationVolts(ic, ib float64) float64 {
	forced := ic / ib
	if forced >= m.Forward {
		return math.Inf(1)
	}
	return m.Junction.Slope * math.Log((1+1/m.Reverse+forced/m.Reverse)/(1-forced/m.Forward))
}
