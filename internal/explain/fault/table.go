package fault

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"cupel/internal/board"
	"cupel/internal/catalog"
	"cupel/internal/circuit/transient"
	"cupel/internal/elaborate"
	"cupel/internal/finding"
	"cupel/internal/trial"
	"cupel/internal/trial/rig"
	"cupel/internal/trial/simulated"
)

// Runner runs jobs 0 to n−1 and gives their errors in order.
type Runner func(ctx context.Context, n int, do func(context.Context, int) error) []error

// Store keeps results by the content they were computed from, so that work that
// was stopped goes on where it was. Both may be called from several jobs at once.
type Store interface {
	Get(key string) (Result, bool)
	Put(key string, r Result)
}

// Bench is what faults are tried on.
type Bench struct {
	Board  *board.Board
	Sheets func(string) (*catalog.Sheet, bool)
	Rated  float64 // A the board is sold for; 0 if nothing is
	Run    Runner
	Store  Store // nil: nothing is kept
	Fine   bool  // screen as finely as the trials simulate; twice as slow
	Plain  bool  // leave nothing out that the whole board's record proves
}

// Row is a fault with what it does.
type Row struct {
	Fault  Fault
	Result Result
	Done   bool // false where the work was stopped before
}

// Table tries faults, each on a board of its own. Its error says why the whole
// board itself cannot be tried; a fault that cannot be computed is a row.
func (t Bench) Table(ctx context.Context, faults []Fault) ([]Row, error) {
	whole, abilities, err := t.whole(ctx)
	if err != nil {
		return nil, err
	}
	rows := make([]Row, len(faults))
	boards := make([]*board.Board, len(faults))
	keys := make([]string, len(faults))
	first := map[string]int{} // boards that come out alike are tried once
	var work []int
	for i, f := range faults {
		rows[i].Fault = f
		boards[i] = Apply(t.Board, f)
		keys[i] = t.key(boards[i], abilities, f)
		if _, ok := first[keys[i]]; ok {
			continue
		}
		first[keys[i]] = i
		if t.recall(keys[i], &rows[i]) {
			continue
		}
		work = append(work, i)
	}
	x := trial.NewScreening(abilities)
	errs := t.Run(ctx, len(work), func(ctx context.Context, n int) error {
		i := work[n]
		r, err := t.try(ctx, x, whole, boards[i], faults[i])
		if err != nil {
			return err
		}
		rows[i].Result, rows[i].Done = r, true
		if t.Store != nil {
			t.Store.Put(keys[i], r)
		}
		return nil
	})
	for n, err := range errs {
		if err != nil && ctx.Err() == nil { // a crash: the others stand
			rows[work[n]].Result, rows[work[n]].Done = Result{Failed: err.Error(), Unseen: true}, true
		}
	}
	for i := range rows {
		rows[i].Result, rows[i].Done = rows[first[keys[i]]].Result, rows[first[keys[i]]].Done
	}
	return rows, nil
}

func (t Bench) recall(key string, row *Row) bool {
	if t.Store == nil {
		return false
	}
	r, ok := t.Store.Get(key)
	row.Result, row.Done = r, ok
	return ok
}

// whole screens the board as it is.
func (t Bench) whole(ctx context.Context) (trial.Whole, rig.Abilities, error) {
	c, list := elaborate.Elaborate(t.Board, t.Sheets, elaborate.Options{})
	if err := list.Err(); err != nil {
		return trial.Whole{}, rig.Abilities{}, err
	}
	r, err := t.made(t.Board, c)
	if err != nil {
		return trial.Whole{}, rig.Abilities{}, err
	}
	_, pts := points(t.Board)
	if t.Plain {
		pts = nil
	}
	w, err := trial.NewScreening(r.Can()).RunWhole(ctx, r, pts)
	return w, r.Can(), err
}

// try screens a faulted board and compares it. Its error is ctx's alone.
func (t Bench) try(ctx context.Context, x trial.Screening, whole trial.Whole, b *board.Board, f Fault) (Result, error) {
	c, list := elaborate.Elaborate(b, t.Sheets, elaborate.Options{})
	switch {
	case has(list, elaborate.CellShorted):
		return Result{Shorted: true, Shows: true}, nil
	case unusable(list) != nil:
		return Result{Failed: unusable(list).Error(), Unseen: true}, nil
	}
	r, err := t.made(b, c)
	unplugged := err != nil && f.Kind == LeadOpen
	if unplugged {
		r, err = t.unplugged(ctx, f.Pad)
	}
	if err != nil {
		return Result{Failed: err.Error(), Unseen: true}, ctx.Err()
	}
	checks, err := x.RunLike(ctx, r, t.likeness(whole, b, f))
	if ctx.Err() != nil {
		return Result{}, fmt.Errorf("screening: %w", ctx.Err())
	}
	out := Compare(whole.Checks, checks)
	if unplugged { // its leads are part of the path, those of the whole board are not
		out.Changed = slices.DeleteFunc(out.Changed, func(e Effect) bool { return e.What == trial.LooksDrop })
	}
	var not *rig.NotComputed
	if errors.As(err, &not) {
		out.Failed = not.Text
	} else if err != nil {
		out.Failed = err.Error()
	}
	out.Floats = floating(b, list, c)
	return out, nil
}

// coarse is the accuracy of a screening, which asks whether a board acts, not
// when to the microsecond. Edges of less than 200 ns are not followed; with 1 µs a
// supply that collapses was seen to lose a protection that finer steps find there.
var coarse = transient.Options{Volts: 20e-3, Fastest: 200e-9}

// made puts a circuit that was made already on a rig.
func (t Bench) made(b *board.Board, made *elaborate.Circuit) (*simulated.Rig, error) {
	build := func(kelvin float64) (*elaborate.Circuit, error) {
		if made != nil {
			c := made
			made = nil
			return c, nil
		}
		c, list := elaborate.Elaborate(b, t.Sheets, elaborate.Options{Kelvin: kelvin})
		return c, unusable(list)
	}
	return simulated.New(b, build, simulated.Options{RatedAmps: t.Rated, Solve: t.accuracy()})
}

func (t Bench) accuracy() transient.Options {
	if t.Fine {
		return transient.Options{}
	}
	return coarse
}

// NewRig puts a board, whole or faulted, on a rig of full accuracy.
func (t Bench) NewRig(b *board.Board) (rig.Rig, error) {
	build := func(kelvin float64) (*elaborate.Circuit, error) {
		c, list := elaborate.Elaborate(b, t.Sheets, elaborate.Options{Kelvin: kelvin})
		return c, unusable(list)
	}
	return simulated.New(b, build, simulated.Options{RatedAmps: t.Rated})
}

// tolerable are findings that a whole board must not have and a faulted one may:
// the circuit stands all the same.
var tolerable = []string{elaborate.FloatingNet, elaborate.NoSupply, elaborate.Backwards, elaborate.WrongSpan}

// unusable is the error of a circuit that cannot be simulated.
func unusable(l finding.List) error {
	var rest finding.List
	for _, f := range l {
		if f.Level == finding.Error && !slices.Contains(tolerable, f.Code) {
			rest.Add(f)
		}
	}
	return rest.Err()
}

func has(l finding.List, code string) bool {
	return slices.ContainsFunc(l, func(f finding.Finding) bool { return f.Code == code && f.Level == finding.Error })
}

// floating names the nets that nothing holds and on which a gate, or an input
// that judges the current, lies. What a protector's other inputs do when they
// float is part of its sheet.
func floating(b *board.Board, l finding.List, c *elaborate.Circuit) []string {
	if !has(l, elaborate.FloatingNet) {
		return nil
	}
	var out []string
	for _, n := range c.Floating {
		if controls(b, c.Nodes[n]) {
			out = append(out, c.Nodes[n])
		}
	}
	return out
}

// controls reports whether a pin that must not float lies on a node, by the
// node's name: that of its net, or of a pin on no net.
func controls(b *board.Board, node string) bool {
	for i := range b.Parts {
		p := &b.Parts[i]
		for _, pin := range p.Pins {
			name := p.Ref + "." + pin.Name
			if pin.Net != board.NoNet {
				name = b.Nets[pin.Net].Name
			}
			if name == node && slices.Contains([]string{"g", "cs", "vm"}, pin.Name) {
				return true
			}
		}
	}
	return false
}
