package boardfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"cupel/internal/finding"
	"cupel/internal/finding/text"
)

// ListedParts are alike parts as a parts list has them: one row, several
// references. Their nets are yet to be rung out.
type ListedParts struct {
	Refs               []string
	Value, Sheet, Size string // Value or Sheet
	Count              int    // parallel parts under each reference; at least 1
}

// The codes of the findings about a list of parts. A code never changes its
// meaning.
const (
	ListForm = "B201" // a row that is none
	ListRef  = "B202" // a reference that cannot be one, or stands twice
)

// listFile is what findings call a list that was typed or pasted.
const listFile = "parts list"

// mostListed is the most parts a list may have: more are on no protection board.
const mostListed = 5000

var (
	oneRef  = regexp.MustCompile(`^[A-Za-z]{1,4}[0-9]{1,5}[A-Za-z]?$`)
	between = regexp.MustCompile(`[\s,;]+`)
)

// listColumns are the words a first row may call the columns by.
var listColumns = map[string]string{
	"ref": "ref", "reference": "ref", "references": "ref", "designator": "ref", "part": "ref",
	"value": "value", "sheet": "sheet", "size": "size", "package": "size", "footprint": "size", "count": "count", "parallel": "count",
}

// ReadList reads rows of references, value or sheet, size, and how many stand in
// parallel, with commas, semicolons or tabs between. A first row may name the
// columns. known says which words are part sheets. All mistakes are found in
// one pass.
func ReadList(src string, known func(sheet string) bool) ([]ListedParts, finding.List) {
	var list finding.List
	report := func(line int, code, what, do string) {
		list.Add(finding.Finding{Code: code, Level: finding.Error, Place: finding.Place{File: listFile, Line: line}, Text: what, Do: do})
	}
	r := csv.NewReader(strings.NewReader(src))
	r.Comma, r.FieldsPerRecord, r.TrimLeadingSpace, r.LazyQuotes = separator(src), -1, true, true
	columns := []string{"ref", "value", "size", "count"}
	seen := map[string]bool{}
	var out []ListedParts
	for first := true; ; first = false {
		row, err := r.Read()
		if err != nil {
			if !errors.Is(err, io.EOF) {
				report(0, ListForm, "the list cannot be read: "+err.Error(), "put one row of parts on a line, with commas between")
			}
			return out, list
		}
		line, _ := r.FieldPos(0)
		if named := headings(row); first && named != nil {
			columns = named
			continue
		}
		p, what := listed(columns, row, known)
		if what != "" {
			report(line, ListForm, what, "write: reference, value or part sheet, size, as R1, 330 Ω ±5 %, 0603")
			continue
		}
		for _, ref := range p.Refs {
			if !oneRef.MatchString(ref) || seen[ref] || len(seen) >= mostListed {
				report(line, ListRef, fmt.Sprintf("%q cannot be a reference, or stands in the list before", ref), "name each part once, by letters and a number, as R12")
			}
			seen[ref] = true
		}
		out = append(out, p)
	}
}

// separator is what stands between the columns: of a first line with a tab that,
// with a semicolon that, so that a decimal comma can be written.
func separator(src string) rune {
	line, _, _ := strings.Cut(src, "\n")
	for _, c := range "\t;" {
		if strings.ContainsRune(line, c) {
			return c
		}
	}
	return ','
}

// headings are the columns that a first row names; nil when it names none.
func headings(row []string) []string {
	var out []string
	for _, word := range row {
		out = append(out, listColumns[strings.ToLower(strings.TrimSpace(word))])
	}
	if !slices.Contains(out, "ref") {
		return nil
	}
	return out
}

// listed reads one row, and says what is wrong with it.
func listed(columns, row []string, known func(string) bool) (p ListedParts, wrong string) {
	p.Count = 1
	for i, field := range row {
		field = strings.TrimSpace(field)
		if i >= len(columns) || field == "" {
			continue
		}
		switch columns[i] {
		case "ref":
			p.Refs = between.Split(field, -1)
		case "value":
			if known(field) {
				p.Sheet = field
			} else {
				p.Value = field
			}
		case "sheet":
			p.Sheet = field
		case "size":
			p.Size = field
		case "count":
			n, err := strconv.Atoi(field)
			if err != nil || n < 1 || n > MaxCount {
				return p, fmt.Sprintf("%q is no number of parallel parts", field)
			}
			p.Count = n
		}
	}
	switch {
	case len(p.Refs) == 0:
		return p, "a row without a reference"
	case p.Sheet == "" && p.Value == "":
		return p, fmt.Sprintf("nothing is said of what %s is", strings.Join(p.Refs, " "))
	case p.Sheet != "":
		p.Value = ""
	}
	return p, ""
}

// noParts is how a board without parts is written.
var noParts = regexp.MustCompile(`(?m)^parts:[ \t]*\{[ \t]*\}[ \t]*(#.*)?$`)

// AddParts adds the parts of a list to the text of a board, one a line, and
// leaves everything else as it was.
func AddParts(src []byte, parts []ListedParts) ([]byte, error) {
	for _, p := range parts {
		for _, ref := range p.Refs {
			entry := p.entry()
			if at := noParts.FindIndex(src); at != nil {
				src = slices.Concat(src[:at[0]], []byte("parts:\n  "+ref+": "+entry), bytes.TrimLeft(src[at[1]:], " "))
				continue
			}
			next, err := text.Insert(src, []string{"parts", ref}, entry)
			if err != nil {
				return nil, fmt.Errorf("add %s: %w", ref, err)
			}
			src = next
		}
	}
	return src, nil
}

// entry is a part as board.yaml writes it, without pins.
func (p ListedParts) entry() string {
	var fields []string
	add := func(key, value string) {
		if value != "" {
			fields = append(fields, key+": "+text.Scalar(value))
		}
	}
	add("sheet", p.Sheet)
	add("value", p.Value)
	add("size", p.Size)
	if p.Count > 1 {
		fields = append(fields, fmt.Sprintf("count: %d", p.Count))
	}
	return "{" + strings.Join(fields, ", ") + "}"
}
