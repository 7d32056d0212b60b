// Package finding says what is wrong with an input: the place, a code, the
// text, notes and a suggestion, kept as data so that every face can print it.
package finding

import (
	"fmt"
	"sort"
	"strings"
)

// Level is how serious a finding is.
type Level int

// The levels. Only Error stops the work on an input.
const (
	Note Level = iota
	Warning
	Error
)

func (l Level) String() string {
	return [...]string{"note", "warning", "error"}[l]
}

// Place is a place in a text. Line and Column count from 1, Column in
// characters; 0 means the place is not known that closely.
type Place struct {
	File         string
	Line, Column int
}

func (p Place) String() string {
	switch {
	case p.Line == 0:
		return p.File
	case p.Column == 0:
		return fmt.Sprintf("%s:%d", p.File, p.Line)
	}
	return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Column)
}

// Figure is a named number that a finding speaks of.
type Figure struct {
	Name  string
	Value float64
	Unit  string
}

// Finding is one thing that is wrong, or worth knowing.
type Finding struct {
	Code       string // stable; never changes its meaning
	Level      Level
	Place      Place
	Source     string // the line of text at Place, without its end
	Text       string // lower case, no full stop
	Do         string // what to do about it
	Suggestion string // the text that would be right there, if one is likely
	Figures    []Figure
	Arithmetic string
}

// String prints the finding on one line: place, level, text.
func (f Finding) String() string {
	if f.Place.File == "" {
		return fmt.Sprintf("%s: %s", f.Level, f.Text)
	}
	return fmt.Sprintf("%s: %s: %s", f.Place, f.Level, f.Text)
}

// List is a list of findings. Its zero value is empty and ready to use.
type List []Finding

// Add appends a finding.
func (l *List) Add(f Finding) { *l = append(*l, f) }

// Has reports whether the list holds a finding of that level or worse.
func (l List) Has(level Level) bool {
	for _, f := range l {
		if f.Level >= level {
			return true
		}
	}
	return false
}

// Sort orders the list by file, line and column, keeping equal places in order.
func (l List) Sort() {
	sort.SliceStable(l, func(i, j int) bool {
		a, b := l[i].Place, l[j].Place
		if a.File != b.File {
			return a.File < b.File
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Column < b.Column
	})
}

// Err returns the list as an error when it holds an Error, else nil.
func (l List) Err() error {
	if !l.Has(Error) {
		return nil
	}
	return &Errors{List: l}
}

// Errors is the error that carries findings.
type Errors struct{ List List }

// shown caps how many findings the text of an Errors holds.
const shown = 10

func (e *Errors) Error() string {
	var b strings.Builder
	n := 0
	for _, f := range e.List {
		if f.Level != Error {
			continue
		}
		if n++; n <= shown {
			fmt.Fprintf(&b, "%s\n", f)
		}
	}
	if n > shown {
		fmt.Fprintf(&b, "and %d more\n", n-shown)
	}
	return strings.TrimRight(b.String(), "\n")
}
