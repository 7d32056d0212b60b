// Package cli is the command line: commands, flags and exit codes.
//
// # Rules
//
// A command parses, calls a study, prints its answer. Figures and findings go
// to stdout, or to the file of --out; progress and notes go to stderr, progress
// only when that is a terminal. With --json stdout carries one answer and
// nothing else, also when the answer is an error. What a command prints is
// held back until it is complete, so that a file is never half written.
package cli

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"syscall"

	"github.com/spf13/cobra"
)

// Streams are where a command reads and writes.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer
}

// Main runs the command line and returns the exit status.
func Main(args []string, s Streams) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// The first signal stops the work in good order; a second one kills.
	context.AfterFunc(ctx, stop)
	return run(ctx, args, s)
}

// run is Main without the signals.
func run(ctx context.Context, args []string, s Streams) int {
	if len(args) > 0 && args[0] == "--version" { // as every other program takes it
		args = append([]string{"version"}, args[1:]...)
	}
	a := &app{Streams: s, json: wantsJSON(args)}
	root := a.root()
	root.SetArgs(args)
	root.SetIn(s.In)
	root.SetOut(s.Out)
	root.SetErr(s.Err)
	return a.conclude(root.ExecuteContext(ctx))
}

// wantsJSON looks for --json before the flags are parsed: a mistake in the
// flags is answered in JSON too.
func wantsJSON(args []string) bool {
	if i := slices.Index(args, "--"); i >= 0 {
		args = args[:i]
	}
	return slices.Contains(args, "--json") || slices.Contains(args, "--json=true")
}

// app is one run of the command line.
type app struct {
	Streams
	json, quiet, force bool
	out                string
}

// The commands are listed in the order of the work, not of the alphabet.
func init() { cobra.EnableCommandSorting = false }

// root builds the tree of commands.
func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "cupel",
		Short: "tell what a lithium protection board really does",
		Long: `Cupel tells what a lithium protection board really does: it simulates the whole circuit
and sets every predicted limit, current and delay beside what the board's table states.`,
		Example:       "cupel demo",
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          cobra.ArbitraryArgs, // empty says better what is wrong with them
		RunE:          a.empty,
	}
	f := root.PersistentFlags()
	f.BoolVar(&a.json, "json", a.json, "print the answer as one JSON object")
	f.StringVarP(&a.out, "out", "o", "", "write the answer to `FILE`; - is stdout")
	f.BoolVar(&a.force, "force", false, "let --out replace a file that exists")
	f.BoolVar(&a.quiet, "quiet", false, "no progress and no notes")
	root.AddGroup(groups...)
	root.AddCommand(a.commands()...)
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error { return usage(c, plainFlagError(err)) })
	dress(root)
	return root
}

// empty answers a bare "cupel": what it is for and where to begin. An argument
// that is no command comes here too.
func (a *app) empty(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return unknownCommand(c, args[0])
	}
	return c.Help()
}

func unknownCommand(c *cobra.Command, word string) error {
	err := fmt.Errorf("unknown command %q", word)
	c.SuggestionsMinimumDistance = 2 // not inherited
	if near := c.SuggestionsFor(word); len(near) > 0 {
		err = fmt.Errorf("%w, did you mean %q?", err, near[0])
	}
	return usage(c, err)
}

// usage turns a mistake in the command's words into exit status 2.
func usage(c *cobra.Command, err error) error {
	return &exit{status: Wrong, err: err, do: fmt.Sprintf("see: %s --help", c.CommandPath())}
}

// conclude prints what went wrong, if anything did, and gives the status.
func (a *app) conclude(err error) int {
	if err == nil {
		return Done
	}
	var e *exit
	if !errors.As(err, &e) {
		e = &exit{status: Wrong, err: err}
	}
	a.printExit(e)
	return e.status
}
