package cli

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"cupel/internal/ringout"
	"cupel/internal/ringout/planner"
	"cupel/internal/study"
	"github.com/spf13/cobra"
	"golang.org/x/term"
)

func (a *app) ringoutEnterCommand() *cobra.Command {
	var q seen
	var p planned
	c := &cobra.Command{
		Use: "enter [DIR]", Short: "ring out at the keyboard: one key an answer",
		Long: `Ring out at the keyboard. It says what to probe next and why; one key answers:

` + enterKeys + `
An entry is on the disk before its number appears. Nothing is drawn but lines, so that it works over a slow
link. Without a terminal it reads the same words line by line.`,
		Example: "cupel ringout enter sluice-5s --beep 50 --lead 0.2",
		Args:    most(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := a.free(a.out); err != nil {
				return err
			}
			o, err := p.options()
			if err != nil {
				return err
			}
			r, err := a.ringoutToWrite(args, o)
			if err != nil {
				return err
			}
			nets := len(r.session.Copper().Roots())
			d := &seat{ringing: r, seen: q}
			err = a.sit(c.Context(), d)
			if err := errors.Join(err, r.close()); err != nil {
				return asWrong(err)
			}
			if a.json {
				return a.printAdded(r, d.added, nets)
			}
			return nil
		},
	}
	q.flags(c)
	p.flags(c)
	return c
}

// sit reads keys from a terminal, or lines from elsewhere, until the end.
func (a *app) sit(ctx context.Context, d *seat) error {
	f, ok := a.In.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return a.lines(ctx, d)
	}
	old, err := term.MakeRaw(int(f.Fd()))
	if err != nil {
		return fmt.Errorf("the terminal gives no single keys: %w", err)
	}
	defer term.Restore(int(f.Fd()), old) // nothing can be done about a terminal that is gone
	d.raw = true
	k := &keys{seat: d, out: a.Err}
	if !a.json {
		k.out = a.Out
	}
	k.greet()
	return each(ctx, a.In, func(r rune) bool { return k.press(r) })
}

// lines takes an action a line; what it says of each goes to stdout, unless that
// is for JSON.
func (a *app) lines(ctx context.Context, d *seat) error {
	out := a.Out
	if a.json {
		out = a.Err
	}
	var line []rune
	err := each(ctx, a.In, func(r rune) bool {
		if r != '\n' {
			line = append(line, r)
			return true
		}
		text := string(line)
		line = line[:0]
		return d.act(text, out)
	})
	if err == nil && len(line) > 0 {
		d.act(string(line), out)
	}
	return err
}

// each hands out what is read, rune by rune, until do returns false. The reader
// blocks, so it has a goroutine of its own; one that still waits for a key when
// the program ends is of no harm.
func each(ctx context.Context, in io.Reader, do func(rune) bool) error {
	type key struct {
		r   rune
		err error
	}
	read := make(chan key)
	done := make(chan struct{})
	defer close(done)
	go func() {
		b := bufio.NewReader(in)
		for {
			r, _, err := b.ReadRune()
			select {
			case read <- key{r, err}:
			case <-done:
				return
			}
			if err != nil {
				return
			}
		}
	}()
	for {
		select {
		case <-ctx.Done():
			return &exit{status: Stopped}
		case k := <-read:
			if k.err == io.EOF {
				return nil
			}
			if k.err != nil {
				return k.err
			}
			if !do(k.r) {
				return nil
			}
		}
	}
}

// seat is a ring-out that a person works at.
type seat struct {
	*ringing
	seen seen
	// ask is the question that stands, asked says whether there is one.
	ask   planner.Ask
	asked bool
	held  string // the pad that was jumped to
	raw   bool   // whoever calls asks again after every action
	added []ringout.Entry
}

// question is the question that stands: that which was jumped to, else what the
// planner asks.
func (d *seat) question() (planner.Ask, bool) {
	if !d.asked {
		d.ask, d.asked = d.session.Next()
	}
	return d.ask, d.asked
}

// record takes one entry in and says so.
func (d *seat) record(e ringout.Entry, out io.Writer) bool {
	with, err := d.seen.entry(ringout.Entry{}, d.session.Log())
	if err == nil {
		with.Kind, with.A, with.B, with.Result, with.Value = e.Kind, e.A, e.B, e.Result, e.Value
		e, err = d.session.Add(with, d.keep)
	}
	return d.told(e, err, out)
}

// told says what became of an entry.
func (d *seat) told(e ringout.Entry, err error, out io.Writer) bool {
	if err != nil {
		fmt.Fprintf(out, "not taken: %v\n", err)
		return false
	}
	d.added = append(d.added, e)
	d.asked, d.held, d.seen.note = false, "", ""
	fmt.Fprintf(out, "%s\n", study.RingoutLine(e))
	for _, c := range d.session.Copper().Contradictions() {
		for _, n := range c.Readings {
			if n == e.Number {
				fmt.Fprintf(out, "contradiction: %s; repeat %d first\n", c.Text, c.Repeat[0])
			}
		}
	}
	return true
}
