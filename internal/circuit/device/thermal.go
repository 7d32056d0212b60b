package device

import (
	"math"

	"cupel/internal/circuit"
)

// Exact by the SI of 2019 (CODATA).
const (
	Boltzmann = 1.380649e-23    // J/K
	Charge    = 1.602176634e-19 // C
)

// SpiceKelvin is 27 °C, where SPICE states device parameters.
const SpiceKelvin = 300.15

// Silicon's band gap and saturation-current exponent as SPICE has them.
const (
	siliconGap = 1.11 // eV
	siliconXTI = 3
)

// ThermalVolts returns kT/q.
func ThermalVolts(kelvin float64) float64 { return Boltzmann * kelvin / Charge }

// saturationRatio returns Is(T)/Is(Tn) as SPICE has it:
//
//	(T/Tn)^(XTI/N) · exp(Eg·q/(N·k)·(1/Tn − 1/T))
func saturationRatio(kelvin, nominal, n, xti, gap float64) float64 {
	return math.Pow(kelvin/nominal, xti/n) *
		math.Exp(gap*Charge/(n*Boltzmann)*(1/nominal-1/kelvin))
}

// leakage is a current that saturates over a few tenths of a volt and doubles
// with temperature, apart from the junction's own saturation current:
//
//	i = I·2^((T−Tn)/D)·tanh(v/V)
//
// That leakage doubles about every 10 K is common practice; the form of its
// saturation is ours, between the kT/q of an ideal junction and the rated
// voltage of a surface path. It is odd, so it can never deliver power.
type leakage struct{ amps, volts float64 }

// defaultLeakVolts is where a leakage saturates unless told: no source.
const defaultLeakVolts = 0.5

// defaultDouble is the rise that doubles a leakage unless told.
const defaultDouble = 10 // K

func leakageAt(amps, volts, double, kelvin, nominal float64) leakage {
	return leakage{
		amps * math.Exp2((kelvin-nominal)/or(double, defaultDouble)),
		or(volts, defaultLeakVolts),
	}
}

func (l leakage) at(v float64) (i, g float64) {
	if l.amps == 0 {
		return 0, 0
	}
	t := math.Tanh(v / l.volts)
	return l.amps * t, l.amps / l.volts * (1 - t*t)
}

// or returns v, or d where v was left at 0.
func or(v, d float64) float64 {
	if v == 0 {
		return d
	}
	return v
}

// room is where data sheets state figures.
const room = circuit.RoomKelvin
