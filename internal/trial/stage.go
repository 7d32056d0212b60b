package trial

import (
	"fmt"
	"math"
	"slices"

	"cupel/internal/trial/rig"
)

// point is an edge that was cut, with its delay.
type point struct{ amps, delay float64 }

// Steps of the search for faster stages.
const (
	firstRung  = 1.05 // of the first stage's current: clear of the filter's slowest part
	rung       = 1.3
	fasterThan = 2.0 // a delay this many times shorter may belong to another stage
)

// ladder strikes with growing currents up to limit, limit too, and gives the delays. Its
// note says where it ended, if before limit, and what was not cut.
func (e edge) ladder(s *stand, from, limit float64) (ps []point, note string, err error) {
	for amps, last := firstRung*from, false; amps <= limit && !last; amps = math.Min(limit, amps*rung) {
		last = amps == limit
		c, err := e.strike(s, amps)
		if err != nil {
			return ps, note, err
		}
		switch st := c.step(); st.answer {
		case acted, chattered:
			ps = append(ps, point{amps, c.first})
		case still:
			note = join(note, fmt.Sprintf("not cut at %.4g A", amps))
		default:
			return ps, join(note, st.note), nil
		}
	}
	return ps, note, nil
}

// told finds faster stages on a rig that says which flag a board cuts for: a stage
// begins at the least current that is cut for its flag. Behind a filter, or while
// the gates' supply sags, a stage acts late just above where it begins, so late
// that by its delay alone it could be placed tenths of a current higher.
type told struct {
	edge
	relative float64
	seen     []rig.Edge // of the stages found so far
}

// find finds the stages behind the first up to the last rung.
func (f *told) find(s *stand, from float64, ps []point) (found []ending, err error) {
	for _, p := range ps {
		for p.amps > from {
			c, err := f.see(s, p.amps)
			if err != nil || !f.other(c) {
				break
			}
			flag, _ := c.flag()
			en, err := f.next(s, from, p.amps, flag)
			if err != nil || !en.found() {
				return found, err
			}
			found, from = append(found, en), en.high()
		}
		from = math.Max(from, p.amps)
	}
	if s.learning != nil {
		s.learning.flags = f.seen[1:]
	}
	return found, nil
}

// again finds stages that were found on the nominal board. On this one a stage
// may be hidden, where the next one cuts before it does, or stand out that was
// hidden there.
func (f *told) again(s *stand, from, limit float64) (found []ending, err error) {
	flags := s.guide.flags
	for i, flag := range flags {
		for !slices.ContainsFunc(flags[i:], func(later rig.Edge) bool { return slices.Contains(f.seen, later) }) {
			en, err := f.next(s, from, limit, flag)
			if err != nil || !en.found() {
				return found, err
			}
			found, from = append(found, en), en.high()
		}
	}
	return found, nil
}

// other reports whether a cut was for a flag of none of the stages found so far,
// or by a fuse. A path that opens without either, because what should act has no
// supply left, is no stage.
func (f *told) other(c cut) bool {
	flag, _ := c.flag()
	return c.opened() && (flag.Flag != "" || c.parted() != "") && !slices.Contains(f.seen, flag)
}

// next finds the least current that is cut for a flag not seen yet; looked for is
// the one expected.
func (f *told) next(s *stand, from, to float64, lookedFor rig.Edge) (ending, error) {
	sr := search{
		name: stageSearch(lookedFor), from: from, to: to, coarse: to - from, relative: f.relative,
		try: func(amps float64) (step, error) {
			c, err := f.see(s, amps)
			if err != nil || !f.other(c) {
				return step{}, err
			}
			return step{answer: acted}, nil
		},
	}
	f.foresee(s, &sr)
	en, err := s.search(sr)
	if err != nil || !en.found() {
		return en, err
	}
	c, err := f.see(s, en.high())
	flag, _ := c.flag()
	f.seen = append(f.seen, flag)
	if s.learning != nil && flag != lookedFor { // what was learned is of the stage found
		s.learning.searches[stageSearch(flag)] = s.learning.searches[sr.name]
	}
	return en, err
}

func stageSearch(flag rig.Edge) string { return "stage of " + flag.Part + " " + flag.Flag }

// fastest is a delay below which a stage counts as the short stage. Common
// practice, no source.
const fastest = 1e-3

// stageNames names stages with these delays, slowest first: by number, the
// last one "short" if it is not the only one and fast, or the rig calls it so:
// just above where it begins, and behind slow gates, its delay may be longer.
func stageNames(delays []float64, flags []rig.Edge) []string {
	names := make([]string, len(delays))
	for i := range names {
		names[i] = fmt.Sprint(i + 1)
	}
	n := len(delays)
	isShort := n > 0 && n == len(flags) && flags[n-1].Flag == "SC"
	if n > 1 && (isShort || slices.Min(delays) == delays[n-1] && delays[n-1] < fastest) {
		names[n-1] = "short"
	}
	return names
}
