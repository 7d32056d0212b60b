package claim

// Verdict is the outcome of a judgement, in the words every face prints.
type Verdict string

// The verdicts.
const (
	Meets      Verdict = "meets"
	Fails      Verdict = "fails"
	CannotTell Verdict = "cannot tell"
	NotTested  Verdict = "not tested"
)

// Verdicts lists the verdicts, worst first.
var Verdicts = []Verdict{Fails, CannotTell, NotTested, Meets}

// worse reports whether v weighs more than w: what holds for one cell only
// does not hold for the board.
func (v Verdict) worse(w Verdict) bool { return v.rank() < w.rank() }

func (v Verdict) rank() int {
	for i, x := range Verdicts {
		if x == v {
			return i
		}
	}
	return len(Verdicts)
}
