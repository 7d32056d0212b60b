package cli_test

import (
	"errors"
	"maps"
	"os"
	"os/exec"
	"strconv"
	"testing"

	"cupel/internal/cli"
	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain makes this test binary play the command, so that scripts run it as
// a process of its own, with its exit status.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"cupel": func() {
			defer cli.Caught()
			os.Exit(cli.Main(os.Args[1:], cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
		},
		"crash": func() {
			defer cli.Caught()
			panic("index out of range")
		},
	})
}

// TestScripts runs the command as a person types it.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:  "testdata",
		Cmds: commands(),
	})
}

// commands are what scripts can say besides cupel.
func commands() map[string]func(*testscript.TestScript, bool, []string) {
	all := maps.Clone(ringoutCmds)
	all["exits"] = exits
	return all
}

// exits runs a command that must end with a status: exits 2 cupel check nowhere.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS COMMAND…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var e *exec.ExitError
		if !errors.As(err, &e) {
			ts.Fatalf("%v", err)
		}
		got = e.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}
