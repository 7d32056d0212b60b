package ringout

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/finding"
)

// LogName is the name of the log in a dossier.
const LogName = "ringout.csv"

// columns are the columns of the log. One entry is one line, always: line
// breaks in notes become spaces, so that a line that has its end is whole.
var columns = []string{
	"number", "entry", "a", "b", "result", "value", "unit", "red", "board",
	"beep_Ohm", "lead_Ohm", "undoes", "by", "when", "note",
}

// Log is the append-only log of a ring-out.
type Log struct {
	Entries []Entry
	// Sound is how many bytes of the text were whole lines. What stands behind
	// is a line that a crash tore; it must be cut off before the next is added.
	Sound int
}

// The codes of the findings about a log. A code never changes its meaning.
const (
	TornLine = "L101" // the last line has no end and is not read
	BadLine  = "L102" // a line that is no entry
	NoHeader = "L103" // the first line does not name the columns
)

// ReadLog reads the text of a log. A last line without its end is what a crash
// leaves behind: it is reported as a note and not read. Every other line that
// cannot be read is an error finding, and the rest is read all the same.
func ReadLog(file string, src []byte) (Log, finding.List) {
	r := logReader{file: file}
	r.read(1, src)
	return r.log, r.list
}

// ReadOn reads the text of a log that begins with the sound part of l's text, all
// of which was in order: only what stands behind is read.
func (l Log) ReadOn(file string, src []byte) (Log, finding.List) {
	r := logReader{file: file, log: Log{Entries: slices.Clip(l.Entries), Sound: l.Sound}}
	r.read(1+bytes.Count(src[:l.Sound], []byte("\n")), src[l.Sound:])
	return r.log, r.list
}

type logReader struct {
	file string
	log  Log
	list finding.List
}

func (r *logReader) read(line int, src []byte) {
	for ; len(src) > 0; line++ {
		text, rest, whole := bytes.Cut(src, []byte("\n"))
		if !whole {
			r.torn(line, text)
			return
		}
		r.log.Sound += len(text) + 1
		src = rest
		r.line(line, strings.TrimSuffix(string(text), "\r"))
	}
}

func (r *logReader) report(code string, level finding.Level, line int, src, text, do string) {
	r.list.Add(finding.Finding{
		Code: code, Level: level, Place: finding.Place{File: r.file, Line: line}, Source: src, Text: text, Do: do,
	})
}

func (r *logReader) torn(line int, text []byte) {
	r.report(TornLine, finding.Note, line, string(text), "the last line has no end and is not read",
		"nothing, if a crash left it; if you wrote it, end it with a line break")
}

func (r *logReader) line(n int, text string) {
	if n == 1 {
		if text != strings.Join(columns, ",") {
			r.report(NoHeader, finding.Error, n, text, "the first line does not name the columns of a ring-out log",
				"begin the file with: "+strings.Join(columns, ","))
		}
		return
	}
	if text == "" {
		return
	}
	e, err := parseEntry(text)
	if err == nil {
		err = r.follows(e)
	}
	if err != nil {
		r.report(BadLine, finding.Error, n, text, err.Error(), "correct the line, or delete it and take the reading again")
		return
	}
	r.log.Entries = append(r.log.Entries, e)
}

// follows holds e against the entries before it.
func (r *logReader) follows(e Entry) error {
	if n := len(r.log.Entries); n > 0 && e.Number <= r.log.Entries[n-1].Number {
		return fmt.Errorf("number %d does not follow %d", e.Number, r.log.Entries[n-1].Number)
	}
	return nil
}

// Next is the number of the entry that comes next.
func (l Log) Next() int {
	if n := len(l.Entries); n > 0 {
		return l.Entries[n-1].Number + 1
	}
	return 1
}

// Undone returns the numbers of the entries that are taken back. An undo can
// itself be undone.
func (l Log) Undone() map[int]bool {
	gone := map[int]bool{}
	for i := len(l.Entries) - 1; i >= 0; i-- {
		if e := l.Entries[i]; e.Kind == Undo && !gone[e.Number] {
			gone[e.Undoes] = true
		}
	}
	return gone
}

// Active returns the entries that still stand: neither undone nor an undo.
func (l Log) Active() []Entry {
	gone := l.Undone()
	var out []Entry
	for _, e := range l.Entries {
		if e.Kind != Undo && !gone[e.Number] {
			out = append(out, e)
		}
	}
	return out
}

// Last returns the last entry that still stands, as undo needs it.
func (l Log) Last() (Entry, bool) {
	if a := l.Active(); len(a) > 0 {
		return a[len(a)-1], true
	}
	return Entry{}, false
}

// Header is the first line of a log.
func Header() []byte { return []byte(strings.Join(columns, ",") + "\n") }

// AppendEntry writes one entry as one whole line in one call of Write, so that a
// crash leaves either the line or a torn tail.
func AppendEntry(w io.Writer, e Entry) error {
	var b bytes.Buffer
	c := csv.NewWriter(&b)
	if err := c.Write(fields(e)); err != nil {
		return fmt.Errorf("entry %d: %w", e.Number, err)
	}
	c.Flush()
	_, err := w.Write(b.Bytes())
	return err
}

func fields(e Entry) []string {
	return []string{
		strconv.Itoa(e.Number), string(e.Kind), oneLine(e.A), oneLine(strings.Join(e.B, " ")), string(e.Result),
		number(e.Value, e.Result == Ohms || e.Result == Drop), unit(e.Result), red(e), state(e),
		number(e.Meter.BeepOhms, e.Meter.BeepOhms != 0), number(e.Meter.LeadOhms, e.Meter.LeadOhms != 0),
		whole(e.Undoes), oneLine(e.By), oneLine(e.When), oneLine(e.Note),
	}
}

// oneLine keeps an entry on its line.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

func number(v float64, given bool) string {
	if !given {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

func whole(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func unit(r Result) string {
	switch r {
	case Ohms:
		return "Ohm"
	case Drop:
		return "V"
	}
	return ""
}

func red(e Entry) string {
	switch {
	case e.Kind == Undo:
		return ""
	case e.Reversed:
		return "b"
	}
	return "a"
}

func state(e Entry) string {
	switch {
	case e.Kind == Undo:
		return ""
	case e.InCircuit:
		return "in circuit"
	}
	return "stripped"
}
