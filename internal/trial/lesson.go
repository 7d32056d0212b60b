package trial

import (
	"math"
	"slices"

	"cupel/internal/protection"
	"cupel/internal/trial/rig"
)

// guide is what the searches of one run of a job taught, by their names. The
// same job on a board of the same kind with other values looks there first.
type guide struct {
	searches map[string]lesson
	stages   []faster   // of an overcurrent, behind the first, where only delays tell them apart
	flags    []rig.Edge // of the same, where the rig tells what it cut for
	shorts   []float64  // Ω of the shorts that gave a sweep's figures
}

// twice the nominal time is how long an end of a search for a time is waited for.
const twice = 2

// lesson is how a search ended on the nominal board, and how near to that the
// comparator that ended it had been seen before.
type lesson struct {
	ending
	edge  int     // among the rig's comparators; −1: not known
	slope float64 // of its distance, V per unit of the stimulus
	start float64 // where the line through the starting points alone meets the edge
	at    float64 // where the line through the last of them and a look near the end meets it
	after float64 // s after the stimulus at which that look was taken; 0: when it stood still
	told  float64 // what was foretold; NaN: nothing
}

// sighting is how far the comparators were from their edges under a stimulus.
type sighting struct {
	x float64
	d []float64
}

// meets is the stimulus at which the line through two sightings of a
// comparator reaches its edge; not finite where it runs along it.
func meets(a, b sighting, edge int) float64 {
	slope := (b.d[edge] - a.d[edge]) / (b.x - a.x)
	return b.x - b.d[edge]/slope
}

// sight appends a sighting to *to; nothing on a rig that cannot foresee.
func (s *stand) sight(to *[]sighting) func(x float64) error {
	return func(x float64) error {
		f, ok := s.r.(rig.Foreseer)
		if !ok {
			return nil
		}
		d, err := f.Distances(nil)
		if err == nil {
			*to = append(*to, sighting{x, d})
		}
		return err
	}
}

// learnSearch runs a search and keeps what it taught.
func (s *stand) learnSearch(sr search) (ending, error) {
	e, err := s.unguided(sr)
	if err != nil {
		return e, err
	}
	l := lesson{ending: e, edge: -1, told: math.NaN()}
	if e.found() && sr.foretell != nil {
		if l.told, err = sr.foretell(twice * e.value()); err != nil {
			return e, err
		}
	}
	if f, ok := s.r.(rig.Foreseer); ok && e.found() && sr.start != nil {
		if err := s.findEdge(sr, &l, f.Edges()); err != nil {
			return e, err
		}
	}
	s.learning.searches[sr.name] = l
	return e, nil
}

// findEdge finds the comparator that a search ended at, and where lines through
// what is seen of it before meet its edge. It is the one of the flag that was
// set, if the search says which, or the one whose line meets the edge nearest
// to the last bracket.
func (s *stand) findEdge(sr search, l *lesson, edges []rig.Edge) error {
	flag := rig.Edge{}
	if sr.set != nil {
		if flag, l.after = sr.set(l.hi); flag.Flag == "" {
			return nil
		}
	}
	var seen []sighting
	if err := sr.start(s.sight(&seen)); err != nil {
		return err
	}
	n := len(seen)
	if ok, err := s.lookAt(sr, l.lo, l.after, &seen); err != nil || !ok {
		return err
	}
	nearest := 2 * math.Max(l.high()-l.low(), 0.01*math.Abs(l.value())) // a comparator further off is another's
	for i := range edges {
		at := meets(seen[n-1], seen[n], i)
		off := math.Abs(at - l.value())
		if flag.Flag != "" {
			off = 0
		}
		if off < nearest && edges[i] == flag || off < nearest && flag.Flag == "" {
			nearest, l.edge, l.at = off, i, at
			l.slope = (seen[n].d[i] - seen[n-1].d[i]) / (seen[n].x - seen[n-1].x)
			l.start = seen[n-1].x - seen[n-1].d[i]/l.slope
			if n > 1 {
				l.start = meets(seen[0], seen[n-1], i)
			}
		}
	}
	if !finite(l.at, l.start, l.slope) {
		l.edge = -1
	}
	return nil
}

// lookAt sees the comparators under stimulus x: some time after it, or when the
// board stands still under it. It reports whether the board had not acted.
func (s *stand) lookAt(sr search, x, after float64, seen *[]sighting) (bool, error) {
	if sr.under != nil {
		if err := sr.under(x, after); err != nil {
			return false, err
		}
		return true, s.sight(seen)(x)
	}
	clear(s.cuts) // the state is wanted, not what was seen of it
	st, err := sr.try(x)
	if err != nil || st.answer != still {
		return false, err
	}
	return true, s.sight(seen)(x)
}

// expects is where a search is expected to end on this board: the nominal
// board's, moved by as much as the lines through the same points moved.
func (l lesson) expects(seen []sighting) float64 {
	if l.edge < 0 || len(seen) == 0 {
		return l.value()
	}
	last := seen[len(seen)-1]
	x := l.value() + last.x - last.d[l.edge]/l.slope - l.start
	if len(seen) > 1 {
		x = l.value() * meets(seen[0], last, l.edge) / l.start
	}
	if !finite(x) {
		return l.value()
	}
	return x
}

// sharper is expects with one more sighting, where the search was to end.
func (l lesson) sharper(last, near sighting) float64 {
	return l.value() * meets(last, near, l.edge) / l.at
}

// nothing reports a search that found nothing to its far end.
func (l lesson) nothing() bool {
	return slices.Contains([]protection.Outcome{protection.NoneFound, protection.NeverReleases}, l.outcome)
}

func finite(xs ...float64) bool {
	return !slices.ContainsFunc(xs, func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) })
}
