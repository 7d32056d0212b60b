package heat

import (
	"math"

	"cupel/internal/thermal"
)

// drawn is how losses are drawn on beyond what the board lets pass: those at one
// current, grown with the square of the current, and in a straight line with each
// place's own temperature, as resistances do.
type drawn struct {
	amps   float64
	rises  []float64
	watts  []float64
	slopes []float64 // W/K
	each   []float64 // A
}

// drawnOver is the rise between the two looks that give the slopes.
const drawnOver = 10. // K

// draw looks twice at the largest current that flowed so far, the parts beside the path
// cool: their leakage may be what cuts, and would hide what the path does.
func (st *stand) draw() (*drawn, error) {
	amps, rises := st.base.amps, st.base.rest.Rises
	if amps == 0 {
		amps, rises = probeAmps, make([]float64, len(st.spots)+1)
	}
	s := settled{amps: amps}
	look := func(over float64) ([]float64, error) {
		at := make([]float64, len(rises))
		for i := range st.spots {
			at[i] = rises[i] + over
		}
		return st.flowing(&s, at)
	}
	warm, err := look(drawnOver)
	if err != nil {
		return nil, err
	}
	d := &drawn{amps: amps, rises: rises}
	if d.watts, err = look(0); err != nil {
		return nil, err
	}
	d.each = s.each
	for i := range d.watts {
		d.slopes = append(d.slopes, (warm[i]-d.watts[i])/drawnOver)
	}
	return d, nil
}

// force finds rest at a current the board would cut, as though it did not.
func (st *stand) force(s *settled) (err error) {
	if st.drawn == nil {
		if st.drawn, err = st.draw(); err != nil {
			return err
		}
	}
	d, f := st.drawn, square(s.amps/st.drawn.amps)
	from := thermal.Guess{Rises: d.rises}
	for _, v := range d.slopes {
		from.Slopes = append(from.Slopes, f*v)
	}
	s.holds, s.each = true, nil
	for _, a := range d.each {
		s.each = append(s.each, a*s.amps/d.amps)
	}
	return st.solve(s, func(_ *settled, rises []float64) ([]float64, error) {
		watts := make([]float64, len(rises))
		for i := range watts {
			watts[i] = math.Max(0, f*(d.watts[i]+d.slopes[i]*(rises[i]-d.rises[i])))
		}
		return watts, nil
	}, from)
}
