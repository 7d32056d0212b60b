package ringout

import (
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// parseEntry reads one line of a log.
func parseEntry(line string) (Entry, error) {
	c := csv.NewReader(strings.NewReader(line))
	c.FieldsPerRecord = -1
	f, err := c.Read()
	if err != nil {
		return Entry{}, errors.New("the line is no CSV: " + cause(err))
	}
	if len(f) != len(columns) {
		return Entry{}, fmt.Errorf("the line has %d fields, an entry has %d", len(f), len(columns))
	}
	p := lineParser{field: map[string]string{}}
	for i, name := range columns {
		p.field[name] = f[i]
	}
	e := p.entry()
	if len(e.B) == 0 {
		e.B = nil
	}
	if u := p.field["unit"]; u != "" && u != unit(e.Result) {
		p.fail("unit %q does not go with result %q", u, e.Result)
	}
	if p.err == nil {
		p.err = check(e)
	}
	return e, p.err
}

func cause(err error) string {
	var pe *csv.ParseError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}

// lineParser reads fields by name and keeps the first error.
type lineParser struct {
	field map[string]string
	err   error
}

func (p *lineParser) entry() Entry {
	return Entry{
		Number: p.count("number"), Kind: EntryKind(p.field["entry"]), A: oneLine(p.field["a"]), B: strings.Fields(p.field["b"]),
		Result: Result(p.field["result"]), Value: p.float("value"), Reversed: p.either("red", "a", "b"),
		InCircuit: p.either("board", "stripped", "in circuit"),
		Meter:     Meter{BeepOhms: p.float("beep_Ohm"), LeadOhms: p.float("lead_Ohm")},
		Undoes:    p.count("undoes"), By: oneLine(p.field["by"]), When: oneLine(p.field["when"]), Note: oneLine(p.field["note"]),
	}
}

func (p *lineParser) fail(format string, args ...any) {
	if p.err == nil {
		p.err = fmt.Errorf(format, args...)
	}
}

func (p *lineParser) count(name string) int {
	s := p.field[name]
	if s == "" {
		return 0
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 0 {
		p.fail("%s %q is no whole number", name, s)
	}
	return n
}

func (p *lineParser) float(name string) float64 {
	s := p.field[name]
	if s == "" {
		return 0
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
		p.fail("%s %q is no number of 0 and more", name, s)
	}
	return v
}

// either reads one of two words; the second is true, and no word is the first.
func (p *lineParser) either(name, no, yes string) bool {
	switch s := p.field[name]; s {
	case yes:
		return true
	case no, "":
	default:
		p.fail("%s is %q, want %q or %q", name, s, no, yes)
	}
	return false
}

// Check says what is wrong with an entry on its own, nil if nothing is.
func (e Entry) Check() error { return check(e) }

func check(e Entry) error {
	if e.Number < 1 {
		return errors.New("an entry needs a number from 1 up")
	}
	if e.Value != 0 && e.Result != Ohms && e.Result != Drop {
		return fmt.Errorf("entry %d has a value, which only the results ohms and drop have", e.Number)
	}
	if e.Kind == Undo {
		if e.Undoes < 1 || e.Undoes >= e.Number {
			return fmt.Errorf("entry %d undoes %d, which is none before it", e.Number, e.Undoes)
		}
		return nil
	}
	if err := checkResult(e); err != nil {
		return err
	}
	return checkPads(e)
}

func checkResult(e Entry) error {
	switch e.Result {
	case Connected, Open:
		return nil
	case Ohms, Drop:
		if !(e.Value >= 0) || math.IsInf(e.Value, 0) {
			return fmt.Errorf("result %s needs a value of 0 and more", e.Result)
		}
		return nil
	}
	return fmt.Errorf("result %q is none of connected, open, ohms, drop", e.Result)
}

func checkPads(e Entry) error {
	switch {
	case e.Kind != Pair && e.Kind != Sweep && e.Kind != Bridge:
		return fmt.Errorf("entry %q is none of pair, sweep, bridge, undo", e.Kind)
	case e.A == "" || len(e.B) == 0:
		return errors.New("an entry needs pads a and b")
	case e.Kind == Pair && len(e.B) != 1:
		return fmt.Errorf("a pair has one pad b, this has %d", len(e.B))
	}
	seen := map[string]bool{e.A: true}
	for _, b := range e.B {
		if seen[b] {
			return fmt.Errorf("pad %s stands twice in one entry", b)
		}
		seen[b] = true
	}
	return nil
}
