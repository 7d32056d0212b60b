package study_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"cupel/internal/answer"
	"cupel/internal/board"
	"cupel/internal/board/boardtest"
	"cupel/internal/dossier"
	"cupel/internal/finding"
	"cupel/internal/protection"
	"cupel/internal/study"
	"cupel/internal/study/batch"
	"cupel/internal/trial/rig"
)

// How many boards are tried: few as a rule, all of them with `make anyboard`,
// which also keeps what came out, goes on where it was stopped, and writes
// docs/any-board.md.
const (
	boardsEnv, fewBoards, allBoards    = "CUPEL_BOARDS", 3, 300
	mutantsEnv, fewMutants, allMutants = "CUPEL_MUTANTS", 24, 3000

	keepEnv = "CUPEL_ANYBOARD" // folder of what came out
)

// patience is how long one job of one board may take by the clock. The longest
// that was seen took less than a minute of a core; on a machine that gave it a
// thirtieth of one, jobs that do not hang took more than ten minutes.
const patience = 2 * time.Hour

// share is how many of something to try.
func share(t *testing.T, env string, few int) int {
	t.Helper()
	if s := os.Getenv(env); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil {
			t.Fatalf("%s: %v", env, err)
		}
		return n
	}
	if testing.Short() {
		return (few + 2) / 3
	}
	return few
}

// tally counts how one board ended, and keeps what must not be.
type tally struct {
	Name  string
	Count map[string]int
	Wrong []string
}

func (c *tally) add(what string, n int) {
	if c.Count == nil {
		c.Count = map[string]int{}
	}
	c.Count[what] += n
}

func (c *tally) fault(format string, args ...any) {
	c.Wrong = append(c.Wrong, fmt.Sprintf(format, args...))
}

// tryAll tries so many boards on all cores and reports what came out.
func tryAll(t *testing.T, kind string, n int, try func(context.Context, int, *tally)) {
	t.Helper()
	all := make([]tally, n)
	for i, err := range batch.Runner(batch.Options{})(t.Context(), n, func(ctx context.Context, i int) error {
		if recall(t, kind, i, &all[i]) {
			return nil
		}
		try(ctx, i, &all[i])
		return record(kind, i, all[i])
	}) {
		if err != nil {
			all[i].fault("%s %d: %v", kind, i, err)
		}
	}
	report(t, all)
}

func report(t *testing.T, all []tally) {
	t.Helper()
	t.Logf("\n%s", strings.Join(totals(all), "\n"))
	for _, c := range all {
		for _, w := range c.Wrong {
			t.Error(w)
		}
	}
}

// totals adds up what boards came to, a line for each kind of end.
func totals(all []tally) []string {
	sum := map[string]int{}
	for _, c := range all {
		for what, n := range c.Count {
			sum[what] += n
		}
	}
	var lines []string
	for what, n := range sum {
		lines = append(lines, fmt.Sprintf("%7d %s", n, what))
	}
	sort.Strings(lines)
	return lines
}

// made reads a board that the generator wrote.
func made(t *testing.T, s boardtest.Spec) *dossier.Dossier {
	t.Helper()
	d, err := dossier.Read(fstest.MapFS{"board.yaml": {Data: []byte(boardtest.Text(s))}})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// drawn is random board number i.
func drawn(i int) (boardtest.Spec, *rand.Rand) {
	r := rand.New(rand.NewPCG(uint64(i), 7))
	return boardtest.Random(r), r
}

// TestAnyBoard runs every trial on boards of every topology: each gives an
// answer for each of its jobs, and none hangs, crashes or fails without saying
// where.
func TestAnyBoard(t *testing.T) {
	tryAll(t, "board", share(t, boardsEnv, fewBoards), func(ctx context.Context, i int, c *tally) {
		s, _ := drawn(i)
		c.Name = fmt.Sprintf("board %d, %s", i, s.Name())
		c.all(ctx, made(t, s), study.Question{Cells: cellsOf(s.Cells)})
	})
}

// cellsOf are the cells that are tried one by one: the lowest, whose protector
// sees the current, the middle one and the highest.
func cellsOf(cells int) []int {
	return slices.Compact([]int{1, (cells + 1) / 2, cells})
}

// TestAnyMutant runs a trial or two on boards with one thing wrong: a part that
// is missing, bridged or turned, two nets exchanged.
func TestAnyMutant(t *testing.T) {
	tryAll(t, "mutant", share(t, mutantsEnv, fewMutants), func(ctx context.Context, i int, c *tally) {
		name, d, q := mutant(t, i)
		c.Name = name
		c.all(ctx, d, q)
	})
}

// mutant is board number i with one thing wrong, and what is tried on it: the
// path and each of the other trials in turn. Three of four are small.
func mutant(t *testing.T, i int) (string, *dossier.Dossier, study.Question) {
	t.Helper()
	s, r := drawn(i)
	for i%4 > 0 && s.Cells > 6 {
		s = boardtest.Random(r)
	}
	d := made(t, s)
	m, what := boardtest.Mutate(r, d.Board)
	d.Board = m
	q := study.Question{Cells: []int{1 + r.IntN(s.Cells)}, Trials: []protection.Trial{protection.Path}}
	if w := protection.Trials[i%len(protection.Trials)]; w != protection.Path {
		q.Trials = append(q.Trials, w)
	}
	return fmt.Sprintf("mutant %d, %s, %s", i, s.Name(), what), d, q
}

// all predicts a board and looks at every answer.
func (c *tally) all(ctx context.Context, d *dossier.Dossier, q study.Question) {
	name := c.Name
	p, err := study.Predict(ctx, d, q, c.oneByOne(name))
	var refused *finding.Errors
	var unsolved *rig.NotComputed
	switch {
	case errors.As(err, &refused):
		c.refused(name, refused.List, d.Board)
	case errors.As(err, &unsolved):
		c.add("boards without a state of rest, said where", 1)
		c.says(name, unsolved.Text)
	case err != nil:
		c.fault("%s: %v", name, err)
	default:
		c.add("boards predicted", 1)
		c.answers(name, p.Answer)
	}
}

// oneByOne runs jobs in a row, none for longer than patience.
func (c *tally) oneByOne(name string) study.Runner {
	one := batch.Runner(batch.Options{Workers: 1})
	return func(ctx context.Context, n int, do func(context.Context, int) error) []error {
		errs := one(ctx, n, func(ctx context.Context, i int) error {
			ctx, cancel := context.WithTimeout(ctx, patience)
			defer cancel()
			return do(ctx, i)
		})
		c.add("jobs", n)
		for i, err := range errs {
			var crash *batch.Panic
			switch {
			case errors.As(err, &crash):
				c.fault("%s, job %d crashed: %v\n%s", name, i, crash.Value, crash.Stack)
			case errors.Is(err, context.DeadlineExceeded):
				c.fault("%s, job %d hangs: %v", name, i, err)
			case err != nil:
				c.fault("%s, job %d: %v", name, i, err)
			}
		}
		return errs
	}
}

// refused holds a board that is not simulated to having said why, and of what.
func (c *tally) refused(name string, l finding.List, b *board.Board) {
	c.add("boards refused, with what is wrong", 1)
	for _, f := range l {
		if f.Level == finding.Error && (f.Code == "" || f.Do == "" || !namesAPlace(f.Text, b)) {
			c.fault("%s: finding without a place or advice: %s %s", name, f.Code, f.Text)
		}
	}
}

// namesAPlace reports whether a text names a part, a net, a pad or a cell.
func namesAPlace(text string, b *board.Board) bool {
	if strings.Contains(text, "cell") || strings.Contains(text, "tap") || strings.Contains(text, "pad") {
		return true
	}
	has := func(word string) bool {
		return regexp.MustCompile(`(^|[^\w-])` + regexp.QuoteMeta(word) + `($|[^\w-])`).MatchString(text)
	}
	return slices.ContainsFunc(b.Parts, func(p board.Part) bool { return has(p.Ref) }) ||
		slices.ContainsFunc(b.Nets, func(n board.Net) bool { return has(n.Name) }) ||
		slices.ContainsFunc(b.Pads, func(p board.Pad) bool { return has(p.Name) })
}

// said is what the text of a failed computation must have: a node and an
// element, or the parts that keep switching; and when.
var said = regexp.MustCompile(`node \S+.* at .+ still moves|the outputs of \S+.* (keep changing|change) each other|gave up at .* the last of \S+|voltage of node \S+`)

func (c *tally) says(name, text string) {
	if !said.MatchString(text) {
		c.fault("%s: not computed without saying where: %s", name, text)
	}
}

// answers looks at every result.
func (c *tally) answers(name string, a answer.Predict) {
	c.add("figures", len(a.Results))
	for _, r := range a.Results {
		o := protection.Outcome(r.Outcome)
		c.add(r.Outcome, 1)
		at := fmt.Sprintf("%s: %s %s %s %s", name, r.Trial, r.Quantity, r.State, r.Step)
		switch {
		case o == protection.Found && r.Unit != "" && r.Value == nil:
			c.fault("%s: found, but what?", at)
		case o == protection.NotComputed:
			c.says(at, string(r.Note))
		case (o == protection.Undefined || o == protection.NotApplicable) && r.Note == "":
			c.fault("%s: %s, but why?", at, r.Outcome)
		}
	}
	for _, w := range protection.Trials {
		if strings.HasPrefix(name, "board") && !slices.ContainsFunc(a.Results, func(r answer.Result) bool { return r.Trial == string(w) }) {
			c.fault("%s: not a word of %s", name, w)
		}
	}
}
