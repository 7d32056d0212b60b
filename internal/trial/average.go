package trial

import (
	"math"
	"strings"

	"cupel/internal/trial/rig"
)

// averages reads points as a slow meter does. Where ICs take current by turns,
// as for a look at the thermistor every second, one instant is nobody's supply
// current: the points are recorded over the longest such turn and averaged. A
// node that floats gives NaN, as a reading does.
//
// A rig that itself passes over a limit cycle reads its average already, and
// its record of that time would be of two instants: the readings stand then.
func (s *stand) averages(points []rig.Point) ([]float64, error) {
	out := make([]float64, len(points))
	for i, p := range points {
		v, err := s.read(p)
		if err != nil {
			return nil, err
		}
		out[i] = v
	}
	if s.a.Times.Sampling == 0 {
		return out, nil
	}
	rec, err := s.r.Capture(s.ctx, rig.Capture{Points: points, Seconds: s.a.Times.Sampling})
	if err != nil {
		return nil, err
	}
	if len(rec.Times) < 2 || cycles(rec) {
		return out, nil
	}
	for i := range out {
		if !math.IsNaN(out[i]) {
			out[i] = mean(rec.Times, rec.Values[i])
		}
	}
	return out, nil
}

// cycles reports whether the rig passed over a limit cycle during a record.
func cycles(rec rig.Record) bool {
	for _, e := range rec.Events {
		if strings.HasPrefix(e.What, rig.Cycles) {
			return true
		}
	}
	return false
}

// mean is the average of v over the times t, by the trapezoidal rule.
func mean(t, v []float64) float64 {
	sum := 0.0
	for j := 1; j < len(t); j++ {
		sum += (v[j] + v[j-1]) / 2 * (t[j] - t[j-1])
	}
	return sum / (t[len(t)-1] - t[0])
}
