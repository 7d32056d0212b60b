package deck

import (
	"math"

	"cupel/internal/circuit/protector"
)

// A Witness is a machine that remembers why its outputs moved: which comparator
// crossed its level, and how much later the output followed. It finds out by
// asking the machine again, with one comparator as it would be without the
// crossing or with one timer not yet run out: what then does not happen was
// caused by it.
type Witness struct {
	protector.Machine
	last   protector.Truth
	timers map[ending]Cause
	moves  []move
	links  []bool
}

// ending is a timer with the time at which it runs out, which no two starts of
// it share.
type ending struct {
	timer int
	at    float64
}

// Cause is the crossing that something goes back to. Where there is none, as of
// a timer that ran before the witness came, Comparator is -1.
type Cause struct {
	Comparator int
	Rises      bool    // the comparator turned true
	Seconds    float64 // when
}

// unknown is no cause that was seen.
var unknown = Cause{Comparator: -1}

// move is a link that changed.
type move struct {
	link  int
	on    bool
	cause Cause
	at    float64
}

// NewWitness returns a witness of a machine whose links stand as given.
func NewWitness(m protector.Machine, s *protector.State) *Witness {
	w := &Witness{Machine: m, timers: map[ending]Cause{}}
	w.links = w.outputs(s)
	return w
}

// Advance advances the machine and remembers what it was moved by.
func (w *Witness) Advance(s *protector.State, t float64, truth protector.Truth) {
	before := *s
	w.Machine.Advance(s, t, truth)
	if *s != before {
		w.explain(&before, s, t, truth)
	}
	w.last = append(w.last[:0], truth...)
}

// explain finds causes for all timers that began and all links that moved.
func (w *Witness) explain(before, after *protector.State, t float64, truth protector.Truth) {
	q := question{w, *before, after, t, append(protector.Truth(nil), truth...)}
	for i, due := range after.Due[:w.Timers()] {
		if due != before.Due[i] && !math.IsInf(due, 1) {
			w.timers[ending{i, due}] = q.cause(func(s *protector.State) bool { return s.Due[i] == due })
		}
	}
	was, is := w.outputs(before), w.outputs(after)
	for i, on := range is {
		if on != was[i] {
			w.moves = append(w.moves, move{i, on, q.cause(func(s *protector.State) bool { return w.outputs(s)[i] == on }), t})
		}
	}
}

// Moved returns which links differ since it was asked last, with the causes; on
// is the position of each.
func (w *Witness) Moved(s *protector.State) (moved []Moved) {
	is := w.outputs(s)
	for i, on := range is {
		if on != w.links[i] {
			moved = append(moved, w.latest(i, on))
		}
	}
	w.links = is
	return moved
}

// Moved is a link that moved, and why. Delay is from the crossing to the move.
type Moved struct {
	Link  int
	On    bool
	Cause Cause
	Delay float64 // s
}

func (w *Witness) latest(link int, on bool) Moved {
	m := Moved{Link: link, On: on, Cause: unknown}
	for i := len(w.moves) - 1; i >= 0; i-- {
		if v := w.moves[i]; v.link == link && v.on == on {
			m.Cause, m.Delay = v.cause, v.at-v.cause.Seconds
			break
		}
	}
	return m
}

func (w *Witness) outputs(s *protector.State) []bool {
	links, sinks := make([]bool, len(w.Links())), make([]float64, len(w.Sinks()))
	w.Outputs(s, links, sinks)
	return links
}

// question is one advance of a machine that is gone through again.
type question struct {
	w      *Witness
	before protector.State
	after  *protector.State
	t      float64
	truth  protector.Truth
}

// cause returns what an effect goes back to.
func (q *question) cause(effect func(*protector.State) bool) Cause {
	for i, due := range q.before.Due[:q.w.Timers()] {
		if due > q.t || q.after.Due[i] == due {
			continue
		}
		s := q.before
		s.Due[i] = q.t + 1 // not yet
		if q.w.Machine.Advance(&s, q.t, q.truth); !effect(&s) {
			if c, ok := q.w.timers[ending{i, due}]; ok {
				return c
			}
			return unknown
		}
	}
	return q.crossing(effect)
}

// crossing returns the comparator without which there is no effect; of several
// the one that changed last.
func (q *question) crossing(effect func(*protector.State) bool) Cause {
	found := unknown
	for j := range q.truth {
		s := q.before
		q.truth[j] = !q.truth[j]
		q.w.Machine.Advance(&s, q.t, q.truth)
		q.truth[j] = !q.truth[j]
		if effect(&s) {
			continue
		}
		fresh := j >= len(q.w.last) || q.w.last[j] != q.truth[j]
		if found.Comparator < 0 || fresh {
			found = Cause{j, q.truth[j], q.t}
		}
		if fresh {
			break
		}
	}
	return found
}
