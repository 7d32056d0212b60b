package ringout

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"

	"cupel/internal/finding"
)

// BadPair is the code of the finding that a line of a list of pairs cannot be
// read. The code never changes its meaning.
const BadPair = "L105"

// ReadPairs reads readings from a spreadsheet with the columns a, b, result and,
// if there is one, note. Lines that cannot be read are error findings. The entries
// have no numbers yet.
func ReadPairs(file string, src []byte) ([]Entry, finding.List) {
	var list finding.List
	lines := strings.Split(string(src), "\n")
	fail := func(line, column int, text, do string) {
		f := finding.Finding{Code: BadPair, Level: finding.Error, Place: finding.Place{File: file, Line: line, Column: column}, Text: text, Do: do}
		if line >= 1 && line <= len(lines) {
			f.Source = strings.TrimSuffix(lines[line-1], "\r")
		}
		list.Add(f)
	}
	c := csv.NewReader(bytes.NewReader(src))
	c.FieldsPerRecord = -1
	var out []Entry
	for first := true; ; first = false {
		f, err := c.Read()
		switch {
		case err == io.EOF:
			return out, list
		case err != nil:
			var pe *csv.ParseError
			errors.As(err, &pe)
			fail(pe.Line, pe.Column, cause(err), "close the quotes, or leave them away")
			continue
		case first:
			continue // the columns' names
		}
		line, _ := c.FieldPos(0)
		e, err := pairOfFields(f)
		if err != nil {
			fail(line, 1, err.Error(), "write pad,pad,result with result connected, open, or a value as 0.4 or 4k7")
			continue
		}
		out = append(out, e)
	}
}

func pairOfFields(f []string) (Entry, error) {
	if len(f) < 3 || len(f) > 4 {
		return Entry{}, errors.New("a line has three fields, or four with a note")
	}
	e := Entry{Number: 1, Kind: Pair, A: strings.TrimSpace(f[0]), B: []string{strings.TrimSpace(f[1])}}
	if len(f) == 4 {
		e.Note = oneLine(f[3])
	}
	var err error
	if e.Result, e.Value, err = ReadResult(f[2]); err != nil {
		return e, err
	}
	err = check(e)
	e.Number = 0
	return e, err
}
