package transient

import (
	"math"
)

// nextStop is where the next step must end at the latest.
func (r *Run) nextStop(until float64) float64 {
	stop := until
	for _, u := range r.Units {
		stop = min(stop, u.Deadline())
	}
	live := r.breaks[:0]
	for _, b := range r.breaks {
		if b > r.Time+tick(r.Time) {
			live = append(live, b)
			stop = min(stop, b)
		}
	}
	r.breaks = live
	return stop
}

// step takes one accepted step, at most to until, and carries out what falls
// due at its end.
func (r *Run) step(until float64) (ended, switched bool, err error) {
	stop := r.nextStop(until)
	if stop <= r.Time+tick(r.Time) {
		return false, true, r.settle(false)
	}
	h, end := r.fit(r.h, stop)
	for refused := 0; ; refused++ {
		next, e, err := r.attempt(h, refused)
		if err != nil {
			return false, false, err
		}
		if next == h {
			r.accept(h, end, e, refused > 0)
			break
		}
		r.Rejected++
		r.back()
		h, end = next, r.Time+next
	}
	ended = r.Watch != nil && r.Watch(&r.seg)
	if !r.due() {
		return ended, false, nil
	}
	return ended, true, r.settle(false)
}

// attempt tries the step h, refused so many times before, and returns it with
// its error when it may stand, else the step to try instead.
func (r *Run) attempt(h float64, refused int) (next, e float64, err error) {
	e, err = r.try(h)
	switch {
	case err != nil && h/8 < leastStep:
		return 0, 0, err
	case err != nil:
		return h / 8, 0, nil
	case e > 1 && h > r.opt.Fastest:
		factor := safety * math.Pow(e, -1.0/3)
		if refused > 0 {
			factor = min(factor, doubt)
		}
		return max(h*max(factor, 1.0/growth), r.opt.Fastest), e, nil
	}
	if cut := r.melt(h); cut < h {
		return cut, e, nil
	}
	return r.scan(h), e, nil
}

// fit shortens h to end at stop, or to leave room for two equal steps.
func (r *Run) fit(h, stop float64) (step, end float64) {
	switch left := stop - r.Time; {
	case h >= left*(1-1e-9):
		return left, stop
	case 2*h > left:
		return left / 2, r.Time + left/2
	}
	return h, r.Time + h
}

// try computes the step of length h from the present and returns its local
// error in units of what is allowed. The present stays in seg.X0, qn, fn.
func (r *Run) try(h float64) (float64, error) {
	s, g := r.solver.Sys, &r.seg
	r.cold()
	r.predict(h)
	copy(r.qn, s.Q)
	copy(r.fn, s.F)
	s.Alpha = 1 / (d * h)
	s.Time = r.Time + gamma*h
	for i := range s.Hist {
		s.Hist[i] = -s.Alpha*r.qn[i] - r.fn[i]
	}
	if err := r.solver.Solve(newtons); err != nil {
		return 0, err
	}
	copy(g.Xg, s.X)
	copy(r.qg, s.Q)
	copy(r.fg, s.F)
	s.Time = r.Time + h
	for i := range s.Hist {
		s.Hist[i] = -s.Alpha * (a1*r.qg[i] - a2*r.qn[i])
	}
	for i := range s.X {
		s.X[i] = g.X0[i] + (g.Xg[i]-g.X0[i])/gamma
	}
	if err := r.solver.Solve(newtons); err != nil {
		return 0, err
	}
	copy(g.X1, s.X)
	return r.localError(h), nil
}

// predict saves the present in seg.X0 and puts a first guess of the inner point
// into Sys.X: the last parabola drawn on, where there is one not much shorter.
func (r *Run) predict(h float64) {
	x, g := r.solver.Sys.X, &r.seg
	if !r.smooth || h > 2*g.Step {
		copy(g.X0, x)
		return
	}
	w0, wg, w1 := quadratic(1 + gamma*h/g.Step)
	for i := range x {
		now := x[i]
		x[i] = w0*g.X0[i] + wg*g.Xg[i] + w1*g.X1[i]
		g.X0[i] = now
	}
}

// back undoes try.
func (r *Run) back() {
	s := r.solver.Sys
	copy(s.X, r.seg.X0)
	copy(s.Q, r.qn)
	copy(s.F, r.fn)
	r.smooth = false
}

// localError estimates the error of the step in charge, solves for what that
// makes of the unknowns, and returns the largest in units of its allowance.
func (r *Run) localError(h float64) float64 {
	s := r.solver.Sys
	clear(r.rhs)
	for _, p := range r.sides {
		e := h * (errN*r.fn[p.State] + errG*r.fg[p.State] + err1*s.F[p.State])
		r.rhs[p.At] += p.Factor * e * s.Alpha
	}
	r.solver.Correct(r.rhs, r.err)
	worst := 0.0
	for i := 1; i < r.solver.Layout.Nodes; i++ {
		worst = max(worst, math.Abs(r.err[i]))
	}
	worst /= r.opt.Volts
	for i := r.solver.Layout.Nodes; i < r.solver.Layout.Unknowns; i++ {
		worst = max(worst, math.Abs(r.err[i])/(r.opt.Amps+1e-3*math.Abs(s.X[i])))
	}
	return worst
}

// accept makes the step under trial the present. The wish for the next step
// stays as it was when this one was cut short by a stop and not refused.
func (r *Run) accept(h, end, e float64, refused bool) {
	r.seg.Start, r.seg.Step = r.Time, h
	r.Time = end
	r.Steps++
	r.smooth = true
	r.commit()
	r.cycle.add(&r.seg)
	factor := float64(growth)
	if e > 0 {
		factor = min(growth, safety*math.Pow(e, -1.0/3))
	}
	switch natural := max(h*factor, r.opt.Fastest); {
	case !refused && h < r.h && natural < r.h && e < 0.5:
	case factor > keep || factor < 1:
		r.h = natural
	default:
		r.h = h
	}
}
