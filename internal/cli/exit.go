package cli

import (
	"fmt"
	"io"
	"os"
	"runtime/debug"

	"cupel/internal/answer"
	"cupel/internal/finding"
	"cupel/internal/report"
	"cupel/internal/study"
)

// Exit statuses, as the commands' contract states them.
const (
	Done        = 0   // whatever the verdicts of a demo, whatever could not be told
	Negative    = 1   // a figure fails, an error finding in what was checked
	Wrong       = 2   // text, arguments or files are wrong
	NotComputed = 3   // no convergence, a tool that is absent, a crash
	Stopped     = 130 // by the person; what is complete was written
)

// exit ends a command with a status other than 0. When the answer itself says
// why, err and findings are empty and nothing more is printed.
type exit struct {
	status   int
	err      error
	do       string       // what to do about it
	findings finding.List // mistakes in the texts
}

func (e *exit) Error() string {
	if e.err == nil {
		return fmt.Sprintf("exit status %d", e.status)
	}
	return e.err.Error()
}

func (e *exit) Unwrap() error { return e.err }

// wrong is an error of status 2 with its remedy.
func wrong(do, format string, args ...any) error {
	return &exit{status: Wrong, err: fmt.Errorf(format, args...), do: do}
}

// printExit says why a command ends: mistakes in texts are findings and go to
// stdout, everything else is a line on stderr.
func (a *app) printExit(e *exit) {
	if e.err == nil && len(e.findings) == 0 {
		return
	}
	if a.json {
		// What cannot be written to stdout cannot be said there either.
		_ = answer.Encode(a.Out, answer.NewError(e.status, e.asFindings()))
		return
	}
	if len(e.findings) > 0 {
		_, _ = io.WriteString(a.Out, report.Findings(study.Findings(e.findings)))
	}
	if e.err != nil {
		fmt.Fprintf(a.Err, "cupel: %v\n", e.err)
	}
	if e.do != "" {
		fmt.Fprintf(a.Err, "  %s\n", e.do)
	}
}

// CodeCommand is the code of the finding that a command's words are wrong.
const CodeCommand = "C001"

// asFindings gives the reason as findings, which is all a JSON error carries.
func (e *exit) asFindings() []answer.Finding {
	l := e.findings
	if len(l) == 0 {
		l = finding.List{{Code: CodeCommand, Level: finding.Error, Text: e.Error(), Do: e.do}}
	}
	return study.Findings(l)
}

// Caught ends the program with status 3 if it is crashing. It is deferred by
// main itself: recover works nowhere else.
func Caught() {
	v := recover()
	if v == nil {
		return
	}
	fmt.Fprintf(os.Stderr, "cupel: this is a defect of cupel, please report it: %v\n", v)
	if os.Getenv("CUPEL_DEBUG") != "" {
		os.Stderr.Write(debug.Stack())
	} else {
		fmt.Fprintln(os.Stderr, "  CUPEL_DEBUG=1 adds where it happened")
	}
	os.Exit(NotComputed)
}
