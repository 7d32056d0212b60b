package protector

import (
	"fmt"
	"math"
	"strings"
)

// CellSpec is the data sheet of a single-cell protector in SI units, at the
// temperature and the corner that the caller wants: volts, seconds, ohms,
// amperes. v is V(vdd)−V(vss) and m is V(cs)−V(vss).
//
// A threshold of 0 or NaN means that the part has no such feature: no second
// overcurrent stage, no charger detection. A delay of 0 or NaN acts at once;
// +Inf never. Where another default holds, the field says so.
type CellSpec struct {
	VOv, VOvr, TOv, TOvr float64   // overcharge: detect, release below
	OvRelease            OvRelease // what else its release waits for
	OvLoad               bool      // a load, m > V_oc1 at v < V_ov, releases it at once

	VUv, VUvr, TUv, TUvr float64 // overdischarge: detect, release above (VUvr only with UvAuto)
	UvAuto               bool    // the voltage alone releases it
	UvLoadOff            bool    // and only while m < v/2

	PowerDown  bool
	PdRatio    float64 // V_pd as a part of v; 0: 0.5
	TPd, TWake float64

	VOc1, TOc1     float64 // discharge overcurrent, first stage
	VOc2, TOc2     float64 // second stage
	VSc, TSc       float64 // load short
	OcRelease      OcRelease
	VOcr, OcrRatio float64 // load gone while m < VOcr + OcrRatio·v; both 0: 0.9 × the lowest stage
	TOcr           float64
	TRetry         float64
	OcOffInOv      bool // the two overcurrent stages sleep during overcharge

	VCoc, TCoc, VCocr, TCocr float64 // charge overcurrent at m < −VCoc, release at m > −VCocr; VCocr 0: 0.9·VCoc
	VChd                     float64 // charger seen while m < VChd, a negative level

	VMin, H     float64 // brown-out below VMin, alive again above VMin+H
	TBo, TStart float64
	Brownout    Brownout
	Start       Start

	ZeroVolt ZeroVolt
	V0, H0   float64 // a dead cell below V0, until above V0+H0; H0 0: H
	V0cha    float64 // charger that may charge it: V(vdd)−V(cs) above this

	Roh, Rol   float64 // output to its high and to its low rail
	CoLow      CoLow
	RVms, RVmd float64 // pulls of cs to vss and to vdd; 0: none
	VCsMax     float64 // cs breaks down at v−VCsMax; 0: never
	I, IPd     float64 // supply current, and powered down
	IBo        float64 // supply current browned out; 0: I
	ICs        float64 // leakage from cs to vss
	Timer      Timer
}

// OvRelease says what the release of an overcharge waits for beside V_ovr.
type OvRelease uint8

const (
	OvChargerGone OvRelease = iota // m > V_chd too (always so where V_chd is not given)
	OvVoltage                      // nothing
)

// OcRelease says what ends an overcurrent or a short.
type OcRelease uint8

const (
	OcLoadOff   OcRelease = iota // m < V_ocr for t_ocr
	OcRetry                      // t_retry after the first stage tripped, all stages together
	OcChargerOn                  // m < V_chd
)

// Brownout says what the outputs do below V_min.
type Brownout uint8

const (
	BrownoutHighZ Brownout = iota // neither switch conducts
	BrownoutLow
	BrownoutHold // as before; an output caught in its break stays open
)

// Start says how a part wakes from a brown-out.
type Start uint8

const (
	StartNormal       Start = iota
	StartNeedsCharger       // in overdischarge and powered down
)

// ZeroVolt says what a part does with a cell below V_0.
type ZeroVolt uint8

const (
	ZeroVoltNone    ZeroVolt = iota // nothing of its own
	ZeroVoltInhibit                 // CO low, browned out or not
	ZeroVoltAllow                   // CO to vdd while a charger above V_0cha is there, browned out or not
)

// CoLow says where a low CO is pulled.
type CoLow uint8

const (
	CoLowCs        CoLow = iota // cs, or vm of a stack protector
	CoLowVss                    // vss
	CoLowOpenDrain              // nowhere: the switch to vdd opens and the board pulls it down
)

// Timer says what a delay does when its condition lapses.
type Timer uint8

const (
	TimerReset Timer = iota // it starts anew
	TimerDecay              // it runs back as fast as it ran
)

// plainDelays makes delays that are not given 0.
func (c *CellSpec) plainDelays() {
	for _, t := range []*float64{
		&c.TOv, &c.TOvr, &c.TUv, &c.TUvr, &c.TPd, &c.TWake, &c.TOc1, &c.TOc2, &c.TSc,
		&c.TOcr, &c.TRetry, &c.TCoc, &c.TCocr, &c.TBo, &c.TStart,
	} {
		*t = or(*t, 0)
	}
}

// SpecError lists all that is impossible in a spec.
type SpecError struct {
	Kind     string // "cell protector"
	Problems []string
}

func (e *SpecError) Error() string {
	return e.Kind + ": " + strings.Join(e.Problems, "; ")
}

// given reports whether a threshold is there; see CellSpec.
func given(x float64) bool { return x != 0 && !math.IsNaN(x) }

// or is x, or def where x is not given.
func or(x, def float64) float64 {
	if given(x) {
		return x
	}
	return def
}

// problems gathers complaints about a spec.
type problems []string

func (p *problems) add(wrong bool, format string, args ...any) {
	if wrong {
		*p = append(*p, fmt.Sprintf(format, args...))
	}
}

// named is a figure with the name that a sheet gives it.
type named struct {
	name  string
	value float64
}

// atLeastZero complains about negative figures.
func (p *problems) atLeastZero(figures ...named) {
	for _, f := range figures {
		p.add(f.value < 0, "%s is %g: it cannot be negative", f.name, f.value)
	}
}

// finite complains about infinite figures.
func (p *problems) finite(figures ...named) {
	for _, f := range figures {
		p.add(math.IsInf(f.value, 0), "%s is infinite: give a number, or leave it out where the part has none", f.name)
	}
}

// rising complains where a later figure that is given does not exceed the
// earlier ones.
func (p *problems) rising(figures ...named) {
	var last *named
	for i := range figures {
		f := &figures[i]
		if !given(f.value) {
			continue
		}
		if last != nil {
			p.add(f.value <= last.value, "%s %g V is not above %s %g V", f.name, f.value, last.name, last.value)
		}
		last = f
	}
}

// err is nil where there is nothing to complain about.
func (p problems) err(kind string) error {
	if len(p) == 0 {
		return nil
	}
	return &SpecError{Kind: kind, Problems: p}
}
