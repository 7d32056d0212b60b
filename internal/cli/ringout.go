package cli

import (
	"errors"
	"fmt"
	"os/user"
	"time"

	"cupel/internal/board/boardfile"
	"cupel/internal/dossier"
	"cupel/internal/dossier/folder"
	"cupel/internal/finding"
	"cupel/internal/report"
	"cupel/internal/ringout"
	"cupel/internal/ringout/session"
	"cupel/internal/study"
	"github.com/spf13/cobra"
)

func (a *app) ringoutCommand() *cobra.Command {
	c := &cobra.Command{
		Use: "ringout", Short: "turn the beeps of a meter on a stripped board into its nets", GroupID: groupRingout,
		Long: `Turn the beeps of a continuity meter on a stripped board into its nets. What to probe next is worked out
from everything known so far; each net keeps the readings that prove it. The readings stand in
ringout.csv, one a line, and nothing in it is ever changed: a mistake is undone by a later line.

Discharge the board and take the cells off before a meter touches it.`,
		Example: "cupel ringout next sluice-5s",
		Args:    cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return unknownCommand(c, args[0])
			}
			return c.Help()
		},
	}
	c.AddCommand(
		a.ringoutEnterCommand(), a.ringoutNextCommand(), a.ringoutAddCommand(), a.ringoutSweepCommand(), a.ringoutBridgeCommand(),
		a.ringoutUndoCommand(), a.ringoutStatusCommand(), a.ringoutApplyCommand(), a.ringoutImportCommand(), a.ringoutExportCommand(),
		a.ringoutRehearseCommand(),
	)
	return c
}

// ringing is an open ring-out of a dossier on disk. Only with a lock can entries
// be kept.
type ringing struct {
	dir     string
	dossier *dossier.Dossier
	session *session.Session
	list    finding.List // what is wrong with single entries
	lock    *folder.Lock
	log     *folder.Appender
}

// ringout opens the ring-out of the folder that args name.
func (a *app) ringout(args []string, o session.Options) (*ringing, error) {
	dir, d, err := open(args)
	if err != nil {
		return nil, err
	}
	return ringOf(dir, d, o)
}

func ringOf(dir string, d *dossier.Dossier, o session.Options) (*ringing, error) {
	s, list, err := study.Ringout(d, o)
	if err != nil {
		return nil, judge(err)
	}
	for _, f := range d.Findings {
		if f.Place.File == ringout.LogName || f.Place.File == ringout.PadsName {
			list.Add(f)
		}
	}
	return &ringing{dir: dir, dossier: d, session: s, list: list}, nil
}

// ringoutToWrite is ringout with the lock taken and the log open.
func (a *app) ringoutToWrite(args []string, o session.Options) (*ringing, error) {
	dir, err := where(args)
	if err != nil {
		return nil, err
	}
	// Read under the lock: the log must not grow between reading and writing.
	if _, _, err := open([]string{dir}); err != nil {
		return nil, err
	}
	lock, err := folder.Acquire(dir)
	if err != nil {
		return nil, wrong("", "%w", err)
	}
	r, err := a.ringout([]string{dir}, o)
	if err != nil {
		return nil, errors.Join(err, lock.Release())
	}
	r.lock = lock
	r.log, err = folder.Append(dir, ringout.LogName, r.session.Log().Sound, ringout.Header())
	if err != nil {
		return nil, errors.Join(wrong("", "%w", err), lock.Release())
	}
	return r, nil
}

// keep writes an entry to the log, and returns once it is on the disk.
func (r *ringing) keep(e ringout.Entry) error { return ringout.AppendEntry(r.log, e) }

func (r *ringing) close() error { return errors.Join(r.log.Close(), r.lock.Release()) }

// seen are the flags that say how and by whom a reading was taken. What is not
// said stays as in the entry before.
type seen struct {
	beep, lead          string
	reversed, inCircuit bool
	by, when, note      string
}

func (q *seen) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&q.beep, "beep", "", "the meter beeps below `R`, as 50; as in the entry before if not said")
	f.StringVar(&q.lead, "lead", "", "what the meter shows with its leads held together: `R`, as 0.2")
	f.BoolVar(&q.reversed, "reversed", false, "the red lead was on the second pad")
	f.BoolVar(&q.inCircuit, "in-circuit", false, "the parts are on the board: low readings prove nothing")
	f.StringVar(&q.by, "by", "", "`WHO` took the reading; as in the entry before, else the user")
	f.StringVar(&q.when, "when", "", "`TIME` it was taken; now if not said")
	f.StringVar(&q.note, "note", "", "a `NOTE` on it")
}

// entry fills in what the flags say.
func (q *seen) entry(e ringout.Entry, log ringout.Log) (ringout.Entry, error) {
	if last, ok := log.Last(); ok {
		e.Meter, e.By = last.Meter, last.By
	}
	for _, m := range []struct {
		flag, text string
		to         *float64
	}{{"beep", q.beep, &e.Meter.BeepOhms}, {"lead", q.lead, &e.Meter.LeadOhms}} {
		if m.text == "" {
			continue
		}
		r, v, err := ringout.ReadResult(m.text)
		if err != nil || r != ringout.Ohms {
			return e, wrong("", "--%s: %q is no resistance", m.flag, m.text)
		}
		*m.to = v
	}
	e.Reversed, e.InCircuit, e.Note = q.reversed, q.inCircuit, q.note
	if q.by != "" {
		e.By = q.by
	} else if u, err := user.Current(); e.By == "" && err == nil {
		e.By = u.Username
	}
	e.When = q.when
	if e.When == "" {
		e.When = time.Now().Format("2006-01-02 15:04:05")
	}
	return e, nil
}

// planned are the flags that say how questions are chosen.
type planned struct {
	errorRate float64
	pairs     bool
}

func (q *planned) flags(c *cobra.Command) {
	f := c.Flags()
	f.Float64Var(&q.errorRate, "error-rate", 0, "the share `P` of readings that may be wrong, as 0.02: what hangs on few readings is then asked again")
	f.BoolVar(&q.pairs, "pairs", false, "ask for pairs only, never for bridged pads")
}

func (q *planned) options() (session.Options, error) {
	var o session.Options
	if !(q.errorRate >= 0 && q.errorRate < 0.5) {
		return o, wrong("", "--error-rate: %g is outside 0 to 0.5", q.errorRate)
	}
	o.Plan.ErrorRate, o.Plan.Pairs = q.errorRate, q.pairs
	return o, nil
}

func (a *app) ringoutNextCommand() *cobra.Command {
	var q planned
	c := &cobra.Command{
		Use: "next [DIR]", Short: "say what to probe next, and why",
		Long: `Say which pads to probe next and why, from everything known so far: nets, part types and pin functions, what
repeats from cell to cell, places where known. What is implied is never asked.`,
		Example: "cupel ringout next sluice-5s",
		Args:    most(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			o, err := q.options()
			if err != nil {
				return err
			}
			r, err := a.ringout(args, o)
			if err != nil {
				return err
			}
			ans := study.RingoutNext(r.dossier, r.session)
			return a.print(ans, func() string { return report.RingoutNext(ans) })
		},
	}
	q.flags(c)
	return c
}

func (a *app) ringoutStatusCommand() *cobra.Command {
	var seed uint64
	var far float64
	c := &cobra.Command{
		Use: "status [DIR]", Short: "say what is known, how well, and what contradicts itself",
		Long: `List the nets with their grades, what of all pairs of pads is proven, implied, assumed or open, the residual
risk, where slices differ, and where the readings differ from the nets of board.yaml. Exit status 1 if readings
contradict each other: the smallest set that does is named, and which to repeat.`,
		Example: "cupel ringout status sluice-5s",
		Args:    most(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			r, err := a.ringout(args, session.Options{Rules: ringout.Rules{ApartMM: far}})
			if err != nil {
				return err
			}
			ans := study.RingoutStatus(r.dossier, r.session, seed)
			ans.Findings = study.Findings(r.list)
			if err := a.print(ans, func() string { return report.RingoutStatus(ans) }); err != nil {
				return err
			}
			if len(ans.Contradictions) > 0 || r.list.Has(finding.Error) {
				return &exit{status: Negative}
			}
			return nil
		},
	}
	c.Flags().Uint64Var(&seed, "seed", 1, "`N` picks the pairs proposed to be probed again at random")
	c.Flags().Float64Var(&far, "apart", 0, "take nets farther than `MM` from each other to be apart, as an assumption; needs places of all pads")
	return c
}

func (a *app) ringoutAddCommand() *cobra.Command {
	var q seen
	c := &cobra.Command{
		Use: "add DIR PAD PAD RESULT", Short: "add one reading of a pair of pads",
		Long: `Add one reading of a pair of pads. RESULT is connected, open, a resistance (0.4, 4k7, >20M, OL) or the drop that
the diode range shows (0.61 V). A low value that is no short of copper proves nothing; in circuit only open does.`,
		Example: "cupel ringout add sluice-5s U101.1 R101.2 connected",
		Args:    exactly(4),
		RunE: func(_ *cobra.Command, args []string) error {
			res, value, err := ringout.ReadResult(args[3])
			if err != nil {
				return wrong("", "%w", err)
			}
			return a.addEntry(args[0], ringout.Entry{Kind: ringout.Pair, A: args[1], B: args[2:3], Result: res, Value: value}, &q)
		},
	}
	q.flags(c)
	return c
}

func (a *app) ringoutSweepCommand() *cobra.Command {
	return a.manyCommand(ringout.Sweep, &cobra.Command{
		Use: "sweep DIR PAD PAD…", Short: "add one lead held on the first pad, the other tried on each of the rest",
		Long: `Add a sweep: one lead held on the first pad, the other tried on each of the rest in turn, all with the same
result. Without --result they gave nothing.`,
		Example: "cupel ringout sweep sluice-5s T1 U101.3 R102.2 C101.2",
	})
}

func (a *app) ringoutBridgeCommand() *cobra.Command {
	return a.manyCommand(ringout.Bridge, &cobra.Command{
		Use: "bridge DIR PAD PAD…", Short: "add one lead on the first pad, the other on all of the rest bridged together",
		Long: `Add a probe of the first pad against all of the rest bridged together, by clips on a strip or by foil. Without
--result it gave nothing, and the pad is apart from each of them; connected says that it is joined with one at
least.`,
		Example: "cupel ringout bridge sluice-5s T1 U101.3 R102.2 C101.2",
	})
}

func (a *app) manyCommand(kind ringout.EntryKind, c *cobra.Command) *cobra.Command {
	var q seen
	result := "open"
	c.Args = atLeast(3)
	c.RunE = func(_ *cobra.Command, args []string) error {
		res, value, err := ringout.ReadResult(result)
		if err != nil {
			return wrong("", "--result: %w", err)
		}
		return a.addEntry(args[0], ringout.Entry{Kind: kind, A: args[1], B: args[2:], Result: res, Value: value}, &q)
	}
	c.Flags().StringVar(&result, "result", result, "what the meter showed: `RESULT`")
	q.flags(c)
	return c
}

func (a *app) ringoutUndoCommand() *cobra.Command {
	var q seen
	c := &cobra.Command{
		Use: "undo DIR [NUMBER]", Short: "take an entry back, the last one if none is named",
		Long: `Take an entry back by a later one: the last that still stands, or that with the NUMBER. Nothing is deleted; an
undo can itself be undone by its number.`,
		Example: "cupel ringout undo sluice-5s 1",
		Args:    between(1, 2),
		RunE: func(_ *cobra.Command, args []string) error {
			n := 0
			if len(args) == 2 {
				if _, err := fmt.Sscanf(args[1], "%d", &n); err != nil || n < 1 {
					return wrong("", "%q is no number of an entry", args[1])
				}
			}
			return a.change(args[0], &q, func(r *ringing, e ringout.Entry) (ringout.Entry, error) { return r.session.Undo(n, e, r.keep) })
		},
	}
	q.flags(c)
	return c
}

func (a *app) addEntry(dir string, e ringout.Entry, q *seen) error {
	return a.change(dir, q, func(r *ringing, with ringout.Entry) (ringout.Entry, error) {
		with.Kind, with.A, with.B, with.Result, with.Value = e.Kind, e.A, e.B, e.Result, e.Value
		return r.session.Add(with, r.keep)
	})
}

// change makes one entry and says what it changed.
func (a *app) change(dir string, q *seen, do func(*ringing, ringout.Entry) (ringout.Entry, error)) error {
	if err := a.free(a.out); err != nil {
		return err
	}
	r, err := a.ringoutToWrite([]string{dir}, session.Options{})
	if err != nil {
		return err
	}
	nets := len(r.session.Copper().Roots())
	e, err := q.entry(ringout.Entry{}, r.session.Log())
	if err == nil {
		e, err = do(r, e)
	}
	if err := errors.Join(asWrong(err), r.close()); err != nil {
		return err
	}
	return a.printAdded(r, []ringout.Entry{e}, nets)
}

func asWrong(err error) error {
	var e *exit
	if err == nil || errors.As(err, &e) {
		return err
	}
	return wrong("", "%w", err)
}

// printAdded says what entries changed, from the dossier as it is now.
func (a *app) printAdded(r *ringing, added []ringout.Entry, nets int) error {
	now, err := a.ringout([]string{r.dir}, session.Options{})
	if err != nil {
		return err
	}
	ans := study.RingoutAdded(now.dossier, now.session, added, nets)
	ans.Findings = study.Findings(append(r.list, now.list...))
	return a.print(ans, func() string { return report.RingoutAdd(ans) })
}

func (a *app) ringoutApplyCommand() *cobra.Command {
	var dry bool
	c := &cobra.Command{
		Use: "apply DIR", Short: "write the nets that the readings show into board.yaml",
		Long: `Write the nets into board.yaml with their grades, in place: comments, order and blank lines stay. A net keeps
the name that most of its pads have by hand, and what was written by hand stands until a reading says otherwise.
What differs from the nets by hand is listed. Exit status 1 if board.yaml cannot hold what the readings show:
then nothing is written.`,
		Example: "cupel ringout apply sluice-5s",
		Args:    most(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			return a.apply(args, dry)
		},
	}
	c.Flags().BoolVar(&dry, "dry-run", false, "say what would change, and write nothing")
	return c
}

func (a *app) apply(args []string, dry bool) error {
	dir, err := where(args)
	if err != nil {
		return err
	}
	if !dry {
		if _, _, err := open([]string{dir}); err != nil {
			return err
		}
		lock, err := folder.Acquire(dir)
		if err != nil {
			return wrong("", "%w", err)
		}
		defer lock.Release() // the text is written: a lock that stays behind is taken over
	}
	r, err := a.ringout([]string{dir}, session.Options{})
	if err != nil {
		return err
	}
	ans, src := study.RingoutApply(r.dossier, r.session)
	if ans.Changed && !dry {
		if err := folder.Save(dir, boardfile.Name, src); err != nil {
			return wrong("", "%w", err)
		}
	}
	if err := a.print(ans, func() string { return report.RingoutApply(ans) }); err != nil {
		return err
	}
	if src == nil {
		return &exit{status: Negative}
	}
	return nil
}
