package ringout

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"

	"cupel/internal/finding"
)

// PadsName is the name of the list of pads in a dossier: where pads lie, and
// those that no part and no terminal brings, as vias and test points.
const PadsName = "pads.csv"

// padColumns are the columns of the list. Only the first must be there.
var padColumns = []string{"pad", "side", "x_mm", "y_mm", "note"}

// PadRow is one line of the list of pads.
type PadRow struct {
	Name string
	Side Side   // empty when not stated
	At   *Point // nil when not stated
	Note string
}

// BadPad is the code of the finding that a line of the list of pads cannot be
// read. The code never changes its meaning.
const BadPad = "L201"

// ReadPads reads a list of pads. Lines that cannot be read are error findings;
// the rest is read all the same.
func ReadPads(file string, src []byte) ([]PadRow, finding.List) {
	r := padReader{file: file, csv: csv.NewReader(bytes.NewReader(src)), lines: strings.Split(string(src), "\n"), seen: map[string]bool{}}
	r.csv.FieldsPerRecord = -1
	head, err := r.csv.Read()
	if err != nil {
		if err != io.EOF {
			r.fail(1, 1, cause(err), "begin the file with: "+strings.Join(padColumns, ","))
		}
		return nil, r.list
	}
	if !r.columns(head) {
		return nil, r.list
	}
	for {
		f, err := r.csv.Read()
		if err == io.EOF {
			return r.rows, r.list
		}
		if err != nil {
			var pe *csv.ParseError
			errors.As(err, &pe)
			r.fail(pe.Line, pe.Column, cause(err), "close the quotes, or leave them away")
			continue
		}
		r.row(f)
	}
}

type padReader struct {
	file  string
	csv   *csv.Reader
	lines []string
	at    map[string]int // of each column, its place
	seen  map[string]bool
	rows  []PadRow
	list  finding.List
}

func (r *padReader) fail(line, column int, text, do string) {
	f := finding.Finding{
		Code: BadPad, Level: finding.Error, Place: finding.Place{File: r.file, Line: line, Column: column}, Text: text, Do: do,
	}
	if line >= 1 && line <= len(r.lines) {
		f.Source = strings.TrimSuffix(r.lines[line-1], "\r")
	}
	r.list.Add(f)
}

func (r *padReader) columns(head []string) bool {
	r.at = map[string]int{}
	for i, name := range head {
		name = strings.TrimSpace(strings.TrimPrefix(name, "\ufeff")) // spreadsheets begin a file with it
		known := false
		for _, c := range padColumns {
			known = known || c == name
		}
		if !known {
			_, column := r.csv.FieldPos(i)
			r.fail(1, column, fmt.Sprintf("there is no column %q", name), "the columns are "+strings.Join(padColumns, ", "))
		}
		r.at[name] = i
	}
	if _, ok := r.at["pad"]; !ok {
		r.fail(1, 1, "the column pad is missing", "begin the file with: "+strings.Join(padColumns, ","))
	}
	return len(r.list) == 0
}

// noLetter reports whether c cannot stand in a pad's name.
func noLetter(c rune) bool { return unicode.IsSpace(c) || !unicode.IsPrint(c) }

// row reads one line; f has its fields.
func (r *padReader) row(f []string) {
	before := len(r.list)
	p := PadRow{Name: r.field(f, "pad"), Side: Side(r.field(f, "side")), Note: oneLine(r.field(f, "note"))}
	line, _ := r.csv.FieldPos(0)
	switch {
	case len(f) > len(r.at):
		r.fail(line, 1, fmt.Sprintf("the line has %d fields, there are %d columns", len(f), len(r.at)), "a number with a decimal comma needs quotes")
	case p.Name == "" || strings.ContainsFunc(p.Name, noLetter):
		r.fail(line, 1, fmt.Sprintf("%q is no name of a pad", p.Name), "name it without spaces, as U3.2 or via7")
	case r.seen[p.Name]:
		r.fail(line, 1, fmt.Sprintf("pad %s stands twice", p.Name), "delete one of the two lines")
	case p.Side != "" && p.Side != Top && p.Side != Bottom && p.Side != Both:
		r.wrong(f, "side", fmt.Sprintf("side %q is none of top, bottom, both", p.Side))
	}
	x, okX := r.millimetres(f, "x_mm")
	y, okY := r.millimetres(f, "y_mm")
	if okX != okY && len(r.list) == before {
		r.fail(line, 1, "a position needs x_mm and y_mm", "write both or none")
	}
	if okX && okY {
		p.At = &Point{x, y}
	}
	if len(r.list) == before {
		r.seen[p.Name] = true
		r.rows = append(r.rows, p)
	}
}

func (r *padReader) field(f []string, column string) string {
	if i, ok := r.at[column]; ok && i < len(f) {
		return strings.TrimSpace(f[i])
	}
	return ""
}

func (r *padReader) wrong(f []string, column, text string) {
	line, c := r.csv.FieldPos(min(r.at[column], len(f)-1))
	r.fail(line, c, text, "correct it, or leave it empty")
}

func (r *padReader) millimetres(f []string, column string) (float64, bool) {
	s := r.field(f, column)
	if s == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		r.wrong(f, column, fmt.Sprintf("%s %q is no number", column, s))
		return 0, false
	}
	return v, true
}

// WritePads writes a list of pads, all columns of it.
func WritePads(w io.Writer, rows []PadRow) error {
	c := csv.NewWriter(w)
	if err := c.Write(padColumns); err != nil {
		return err
	}
	for _, p := range rows {
		f := []string{p.Name, string(p.Side), "", "", p.Note}
		if p.At != nil {
			f[2], f[3] = number(p.At.X, true), number(p.At.Y, true)
		}
		if err := c.Write(f); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// Place gives the sample's pads the sides and positions of a list, and adds the
// pads that it does not have yet.
func (s *Sample) Place(rows []PadRow) {
	for _, r := range rows {
		i, ok := s.Pad(r.Name)
		if !ok {
			i = len(s.Pads)
			s.AddPad(Pad{Name: r.Name})
		}
		if r.Side != "" {
			s.Pads[i].Side = r.Side
		}
		if r.At != nil {
			at := *r.At
			s.Pads[i].At = &at
		}
	}
}

// MergePads puts a list of pads on top of another: what the new one states goes
// over what the old one has.
func MergePads(old, now []PadRow) []PadRow {
	out := append([]PadRow(nil), old...)
	at := map[string]int{}
	for i, p := range out {
		at[p.Name] = i
	}
	for _, p := range now {
		i, ok := at[p.Name]
		if !ok {
			at[p.Name] = len(out)
			out = append(out, p)
			continue
		}
		if p.Side != "" {
			out[i].Side = p.Side
		}
		if p.At != nil {
			out[i].At = p.At
		}
		if p.Note != "" {
			out[i].Note = p.Note
		}
	}
	return out
}
