package heat

import (
	"fmt"
	"math"
	"strings"

	"cupel/internal/board"
	"cupel/internal/catalog"
)

// deratedFrom is the temperature up to which a chip resistor stands its rating.
const deratedFrom = zeroCelsius + 70

// Derated is what a chip resistor stands at a temperature of its surroundings,
// W: its rating up to 70 °C, then along a straight line to none at 155 °C (data
// sheets; the straight line from memory).
func Derated(rating, kelvin float64) float64 {
	if kelvin <= deratedFrom {
		return rating
	}
	return math.Max(0, rating*(chipMost-kelvin)/(chipMost-deratedFrom))
}

// grades are the ratings at 70 °C of the chip resistors of a size, W, the usual
// grade and a better one (two data sheets). Two grades exist of each size, so a
// size alone never tells.
var grades = map[string][2]float64{
	"0201": {1. / 20, 1. / 20}, "0402": {1. / 16, 1. / 10}, "0603": {1. / 16, 1. / 10}, "0805": {1. / 10, 1. / 8},
	"1206": {1. / 8, 1. / 4}, "1210": {1. / 4, 1. / 2}, "2010": {1. / 2, 3. / 4}, "2512": {1, 2},
}

// ratedWatts is what a resistor stands at 70 °C: as its line or sheet says, or
// by the lesser grade of its size; grade then says so.
func ratedWatts(p *board.Part, s *catalog.Sheet) (watts float64, grade string) {
	if p.Rated.Power > 0 {
		return p.Rated.Power, ""
	}
	size := p.Size
	if s != nil {
		if q := s.Limit("p"); q.Given() {
			return q.Nominal(), ""
		}
		if size == "" {
			size = s.Package.Name
		}
	}
	if g, ok := grades[strings.TrimSpace(size)]; ok {
		return g[0], fmt.Sprintf("rated %.3g W by its size %s; parts of %.3g W exist too", g[0], size, g[1])
	}
	watts = silentWatts
	if p.Value.Given() && p.Value.Nominal() < shuntOhms {
		watts = shuntWatts
	}
	return watts, fmt.Sprintf("rated %.3g W: neither rating nor size is stated", watts)
}

// Ratings of resistors of which nothing is known: that of the least size in use, or
// of the usual shunt. Common practice, no source.
const (
	silentWatts = 1. / 16
	shuntWatts  = 1.
	shuntOhms   = 0.1
)
