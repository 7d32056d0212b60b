package transient

import (
	"cupel/internal/circuit"
)

// Fuse is an element that parts once, for good: where its Margin, which its
// states alone tell, has fallen to 0. The run finds that instant and opens it.
type Fuse interface {
	Name() string
	Margin(s *circuit.System) float64
	Blown() bool
	Open()
}

const (
	// spent is the margin at which a fuse has parted.
	spent = 1e-6
	// burnt is how much of the margin one step may use up: no error estimate
	// sees the heat of a fuse, which moves no voltage until it parts. With a
	// twentieth the time is right within 1e-3; a test holds that.
	burnt = 0.05
)

// margins of one fuse at the start and the end of the step under trial.
type margins struct{ start, end float64 }

// cold keeps the margins at the start of a step.
func (r *Run) cold() {
	if len(r.margins) != len(r.Fuses) {
		r.margins = make([]margins, len(r.Fuses))
	}
	for i, f := range r.Fuses {
		r.margins[i].start = f.Margin(r.solver.Sys)
	}
}

// melt returns how far the step under trial may go for the fuses: h, or less
// where one would part inside it or lose too much of its margin.
func (r *Run) melt(h float64) float64 {
	cut := h
	for i, f := range r.Fuses {
		m := &r.margins[i]
		m.end = f.Margin(r.solver.Sys)
		if f.Blown() || m.end >= m.start {
			continue
		}
		if lost := m.start - m.end; lost > burnt {
			cut = min(cut, safety*h*burnt/lost)
		}
		if m.end < -spent {
			cut = min(cut, h*m.start/(m.start-m.end))
		}
	}
	return max(cut, leastStep)
}

// spends reports whether a fuse has no margin left.
func (r *Run) spends() bool {
	for _, f := range r.Fuses {
		if !f.Blown() && f.Margin(r.solver.Sys) <= spent {
			return true
		}
	}
	return false
}

// burst opens the fuses that have no margin left and reports whether any had.
func (r *Run) burst() bool {
	any := false
	for _, f := range r.Fuses {
		if f.Blown() || f.Margin(r.solver.Sys) > spent {
			continue
		}
		f.Open()
		any = true
		if r.Parted != nil {
			r.Parted(r.Time, f)
		}
	}
	if any {
		r.solver.Touch()
	}
	return any
}
