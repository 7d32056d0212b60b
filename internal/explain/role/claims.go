package role

import (
	"slices"

	"cupel/internal/board/pattern"
	"cupel/internal/evidence"
	"cupel/internal/explain/fault"
	"cupel/internal/protection"
	"cupel/internal/trial"
)

// claim is what a match says of a part.
type claim struct {
	pattern.Claim
	match pattern.Match
}

// same reports whether two claims say the same of a part.
func (c claim) same(d claim) bool {
	return c.Role == d.Role && c.Piece == d.Piece && c.match.Pattern.Block == d.match.Pattern.Block && c.match.Cell == d.match.Cell
}

// claimsOf collects the claims on every part; what yields to another's is left
// out.
func claimsOf(g *pattern.Graph, matches []pattern.Match) [][]claim {
	out := make([][]claim, len(g.Board.Parts))
	for _, m := range matches {
		for _, c := range m.Pattern.Claims {
			for _, part := range m.Parts[c.Var] {
				out[part] = append(out[part], claim{c, m})
			}
		}
	}
	for i, cs := range out {
		out[i] = slices.DeleteFunc(slices.Clone(cs), func(c claim) bool {
			return slices.ContainsFunc(cs, func(d claim) bool {
				return slices.Contains(c.match.Pattern.Yields, d.match.Pattern.Name)
			})
		})
	}
	return out
}

// choose takes the claim that the part's faults support best; of those alike the
// one of the larger drawing. The roles of the others come along.
func (w work) choose(i int, claims []claim) (best *claim, also []string) {
	for k := range claims {
		c := &claims[k]
		if best == nil || w.better(i, *c, *best) {
			best = c
		}
	}
	for _, c := range claims {
		if !c.same(*best) && !slices.Contains(also, c.Role) && c.Role != best.Role {
			also = append(also, c.Role)
		}
	}
	return best, also
}

func (w work) better(i int, a, b claim) bool {
	if x, y := w.agreement(i, a), w.agreement(i, b); x != y {
		return x > y
	}
	return len(a.match.Pattern.Parts) > len(b.match.Pattern.Parts)
}

// agreement is how a claim stands to the part's faults.
type agreement int

const (
	disagrees agreement = iota // a fault does not do what the drawing says
	alone                      // no fault tells
	agrees                     // every fault does
)

// agreement compares what the pattern expects of the part's faults with what
// they do.
func (w work) agreement(i int, c claim) agreement {
	told := alone
	for _, e := range c.match.Pattern.Expects {
		if e.Var != c.Var {
			continue
		}
		r, ok := w.result(i, fault.Kind(e.Fault))
		switch {
		case !ok:
		case holds(e, r, c.match.Cell):
			told = agrees
		case r.Failed == "" && len(r.Floats) == 0: // what floats contradicts nothing
			return disagrees
		}
	}
	if told == alone && w.effective(i) && c.Stimulus == "" {
		return agrees
	}
	return told
}

// effective reports whether a part is missed when it is open.
func (w work) effective(i int) bool {
	r, ok := w.result(i, fault.Open)
	return ok && r.Failed == "" && !r.None()
}

func (w work) result(i int, k fault.Kind) (fault.Result, bool) {
	for _, r := range w.rows[i] {
		if r.Fault.Kind == k {
			return r.Result, true
		}
	}
	return fault.Result{}, false
}

// holds reports whether a result is what a pattern expects.
func holds(e pattern.Expect, r fault.Result, cell int) bool {
	switch e.Effect {
	case pattern.Loses:
		return slices.ContainsFunc(r.Lost, func(l fault.Effect) bool {
			return l.Trial == protection.Trial(e.Word) && (cell == 0 || l.Cell == cell)
		})
	case pattern.Stops:
		return stops(r, e.Word)
	}
	return r.None()
}

// stops reports whether a direction is no longer on at rest.
func stops(r fault.Result, port string) bool {
	return slices.ContainsFunc(r.Changed, func(c fault.Effect) bool {
		return c.What == trial.LooksDirection && c.Port == port && c.State == "idle"
	})
}

func (a agreement) grade() evidence.Grade {
	switch a {
	case disagrees:
		return evidence.Contradicted
	case agrees:
		return evidence.Proven
	}
	return evidence.Implied
}

// blocks are where a part belongs without which a protection is lost.
var blocks = map[protection.Trial]string{
	protection.Overdischarge: "overdischarge line", protection.Overcharge: "overcharge line",
	protection.DischargeOvercurrent: "current sense", protection.LoadShort: "current sense", protection.ChargeOvercurrent: "current sense",
	protection.Balance: "balancing", protection.Temperature: "temperature",
}

// byExperiment gives a part that no pattern knows the role that its absence
// shows.
func (w work) byExperiment(i int, p *Part) {
	r, ok := w.result(i, fault.Open)
	switch {
	case !ok || r.Failed != "":
	case len(r.Lost) > 0:
		first := r.Lost[0]
		p.Role, p.Block, p.Cell, p.Grade = SignalPath, blocks[first.Trial], first.Cell, evidence.Implied
		for _, l := range r.Lost {
			if l.Cell != first.Cell {
				p.Cell = 0
			}
		}
	case stops(r, "discharge"):
		p.Role, p.Block, p.Grade = EnablePath, "discharge bank", evidence.Implied
	case stops(r, "charge"):
		p.Role, p.Block, p.Grade = EnablePath, "charge bank", evidence.Implied
	}
}
