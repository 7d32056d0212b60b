package heat

import (
	"cupel/internal/catalog"
	"cupel/internal/thermal"
)

// dieShape is how a power FET warms from junction to case, as shares of r_th_jc:
// a quarter of it after 1 ms, two thirds after 10 ms, growing with the root of
// time before. From memory of the class, no source; known to half either way.
var dieShape = thermal.Foster{{KelvinPerWatt: 0.04, Seconds: 30e-6}, {KelvinPerWatt: 0.11, Seconds: 0.3e-3}, {KelvinPerWatt: 0.35, Seconds: 3e-3}, {KelvinPerWatt: 0.5, Seconds: 20e-3}}

// dieFactor is how far off the shape may be.
const dieFactor = 1.5

// packageSeconds is how slowly package and land warm; common practice, no source.
const packageSeconds = 5.

// silentToCase stands for r_th_jc where a sheet is silent, K/W; typical of the
// class, no source.
const silentToCase = 3.

// transient is the network from junction to case.
func (st *stand) transient(s *catalog.Sheet) thermal.Foster {
	total := kelvinPerWatt(s, "r_th_jc", typical)
	if total == 0 {
		total = silentToCase
	}
	out := make(thermal.Foster, len(dieShape))
	for i, stage := range dieShape {
		out[i] = thermal.Stage{KelvinPerWatt: total * stage.KelvinPerWatt, Seconds: stage.Seconds}
	}
	return out
}

// response is the network from a FET's junction to the board's mean: the ladder of
// the die, then that of package and land.
func (f *off) response(i int) thermal.Foster {
	p, ok := f.subject.Board.Part(f.spots[i].ref)
	if !ok {
		return nil
	}
	s, _ := f.subject.Sheets(p.Sheet)
	die := f.transient(s)
	rest := f.spots[i].own - die.Total()
	if rest <= 0 {
		return die
	}
	land := thermal.Foster{{KelvinPerWatt: rest, Seconds: packageSeconds}}
	return append(die.Cauer(), land.Cauer()...).Foster()
}
